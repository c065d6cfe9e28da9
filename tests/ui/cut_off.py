"""What of a window a user cannot read: texts with less room than they need, and widgets that reach out of what
holds them. A line that ends in "…" on purpose (``Elided``) is whole in its tooltip and counts as read."""

from __future__ import annotations

from collections.abc import Iterator

from PySide6.QtCore import QPoint, QRect, Qt
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractScrollArea,
    QComboBox,
    QHeaderView,
    QLabel,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QStyle,
    QStyleOptionComboBox,
    QWidget,
)

from takeoff.ui.panels.form_fields import Choice, Roomy
from takeoff.ui.panels.page_parts import Elided

_WITH_WORDS = (QLabel, QComboBox, QLineEdit, QAbstractButton, QHeaderView)

_SLACK_PX = 1
"""Sizes are whole px, and what text needs is not."""


def cut_off(root: QWidget) -> Iterator[str]:
    """A line for every text that is shown within ``root`` and cut off: what it is, what it says, what it lacks."""
    for widget in (root, *root.findChildren(QWidget)):
        if not isinstance(widget, _WITH_WORDS):
            continue
        # what scrolls is covered by its own viewport
        bare = widget.viewport() if isinstance(widget, QAbstractScrollArea) else widget
        if not widget.isVisibleTo(root) or bare.visibleRegion().isEmpty():
            continue
        for text, lacks in (*_short_of(widget), *_beyond(widget, root)):
            yield f"{type(widget).__name__} {text!r}: {lacks}"


def _short_of(widget: QWidget) -> Iterator[tuple[str, str]]:
    if isinstance(widget, QLabel):
        yield from _label(widget)
    elif isinstance(widget, QComboBox):
        yield from _combo(widget)
    elif isinstance(widget, QLineEdit):
        yield from _field(widget)
    elif isinstance(widget, QAbstractButton):
        yield from _button(widget)
    elif isinstance(widget, QHeaderView):
        yield from _header(widget)


def _label(label: QLabel) -> Iterator[tuple[str, str]]:
    if not label.text() or isinstance(label, Elided):
        return
    need = label.minimumSizeHint() if label.wordWrap() else label.sizeHint()
    if need.width() > label.width() + _SLACK_PX:
        yield label.text(), f"{need.width()} px wide, has {label.width()}"
    tall = label.heightForWidth(label.width()) if label.wordWrap() else need.height()
    if tall > label.height() + _SLACK_PX:
        yield label.text(), f"{tall} px high, has {label.height()}"


def _button(button: QAbstractButton) -> Iterator[tuple[str, str]]:
    if not button.text():
        return
    text = button.text().replace("&", "")
    need = QPushButton.sizeHint(button) if isinstance(button, Roomy) else button.sizeHint()
    if need.width() > button.width() + _SLACK_PX:
        yield text, f"{need.width()} px wide, has {button.width()}"
    if need.height() > button.height() + _SLACK_PX:
        yield text, f"{need.height()} px high, has {button.height()}"


def _combo(combo: QComboBox) -> Iterator[tuple[str, str]]:
    option = QStyleOptionComboBox()
    combo.initStyleOption(option)
    style = combo.style()
    rect = style.subControlRect(
        QStyle.ComplexControl.CC_ComboBox, option, QStyle.SubControl.SC_ComboBoxEditField, combo
    )
    wide = combo.fontMetrics().horizontalAdvance(combo.currentText())
    if wide > rect.width() + _SLACK_PX and not (isinstance(combo, Choice) and combo.currentText() in combo.toolTip()):
        yield combo.currentText(), f"{wide} px wide, has {rect.width()}"


def _field(field: QLineEdit) -> Iterator[tuple[str, str]]:
    # what was typed scrolls; what is asked for must be read before
    text = field.text() or field.placeholderText()
    margins = field.textMargins()
    room = field.contentsRect().width() - margins.left() - margins.right() - 4
    wide = field.fontMetrics().horizontalAdvance(text)
    if wide > room + _SLACK_PX and not (field.text() and field.cursorPosition()):
        yield text, f"{wide} px wide, has {room}"


def _header(header: QHeaderView) -> Iterator[tuple[str, str]]:
    model = header.model()
    if header.orientation() != Qt.Orientation.Horizontal or model is None or not header.isVisible():
        return
    for at in range(header.count()):
        if header.isSectionHidden(at):
            continue
        text = str(model.headerData(at, Qt.Orientation.Horizontal) or "")
        wide = max((header.fontMetrics().horizontalAdvance(word) for word in text.splitlines()), default=0)
        if wide > header.sectionSize(at) + _SLACK_PX:
            yield text, f"{wide} px wide, has {header.sectionSize(at)}"


def _beyond(widget: QWidget, root: QWidget) -> Iterator[tuple[str, str]]:
    """A widget with words that reaches out of the one that holds it, sideways (downwards pages scroll)."""
    if not isinstance(widget, QLabel | QAbstractButton | QLineEdit | QComboBox):
        return
    holder = widget.parentWidget()
    while holder is not None and holder is not root:
        scrolls = isinstance(holder.parentWidget(), QScrollArea) and _scrolls_across(holder.parentWidget())
        at = QRect(widget.mapTo(holder, QPoint(0, 0)), widget.size())
        if not scrolls and (at.left() < -_SLACK_PX or at.right() > holder.width() + _SLACK_PX):
            text = getattr(widget, "currentText", getattr(widget, "text", str))()
            yield text, f"reaches from {at.left()} to {at.right()} px of {holder.width()} in {type(holder).__name__}"
            return
        holder = holder.parentWidget()


def _scrolls_across(area: QWidget | None) -> bool:
    return (
        isinstance(area, QAbstractScrollArea)
        and area.horizontalScrollBarPolicy() != Qt.ScrollBarPolicy.ScrollBarAlwaysOff
    )


def overlapping(root: QWidget) -> Iterator[str]:
    """Pairs of shown labels, buttons and fields of one holder that lie over one another."""
    shown = [
        w
        for w in root.findChildren(QWidget)
        if isinstance(w, QLabel | QAbstractButton | QLineEdit | QComboBox) and not w.visibleRegion().isEmpty()
    ]
    for at, one in enumerate(shown):
        for other in shown[at + 1 :]:
            if one.parentWidget() is other.parentWidget() and one.geometry().intersects(other.geometry()):
                yield f"{_said(one)!r} and {_said(other)!r}"


def _said(widget: QWidget) -> str:
    return str(getattr(widget, "currentText", getattr(widget, "text", str))())
