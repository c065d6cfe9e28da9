"""Colours and type of the window: two themes as data, one family of letters, one style sheet."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Literal

import msgspec
from PySide6.QtGui import QColor, QFont, QFontDatabase, QPalette

from takeoff.files.paths import resource

Weight = Literal["light", "regular", "semibold"]

FAMILY = "Open Sans"
_FILES = ("OpenSans-Light.ttf", "OpenSans-Regular.ttf", "OpenSans-SemiBold.ttf")
_QT_WEIGHTS = {"light": QFont.Weight.Light, "regular": QFont.Weight.Normal, "semibold": QFont.Weight.DemiBold}

SMALL_PX, TEXT_PX, NAME_PX, HEAD_PX, TITLE_PX = 13, 14, 15, 18, 24
"""Letter heights on screen in px; nothing that proves a figure is smaller than the first."""


class Theme(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A theme: colours by role ("ink", "coat", "chosen" …) as "#RRGGBB"."""

    name: str
    colours: Mapping[str, str]

    def colour(self, role: str) -> QColor:
        """The colour of a role. Raises KeyError for a role that no theme has."""
        return QColor(self.colours[role])

    @property
    def is_dark(self) -> bool:
        """Whether ink is lighter than paper."""
        return self.colour("ink").lightness() > self.colour("paper").lightness()


@cache
def load(name: str) -> Theme:
    """The theme of that name ("light", "dark"). Raises InputError when there is none."""
    return msgspec.json.decode(resource(f"themes/{name}.json").read_bytes(), type=Theme)


@cache
def load_fonts() -> tuple[int, ...]:
    """Make the family known to Qt; needs a QGuiApplication. Returns Qt's font ids, −1 for a failure."""
    # the package is found and not imported, since it would load a library for pictures with it
    spec = find_spec("ttf_opensans")
    folders = spec.submodule_search_locations if spec else None
    found = (file for folder in folders or () for file in Path(folder).rglob("*.ttf") if file.name in _FILES)
    return tuple(QFontDatabase.addApplicationFont(str(file)) for file in sorted(found))


def font(px: int = TEXT_PX, weight: Weight = "regular") -> QFont:
    """The family at a height in px."""
    load_fonts()
    made = QFont(FAMILY)
    made.setPixelSize(px)
    made.setWeight(_QT_WEIGHTS[weight])
    return made


def qt_palette(theme: Theme) -> QPalette:
    """The theme for Qt's own widgets (menus, dialogs, tables)."""
    palette = QPalette()
    roles = QPalette.ColorRole
    for role, name in (
        (roles.Window, "paper"),
        (roles.WindowText, "ink"),
        (roles.Base, "paper"),
        (roles.AlternateBase, "side"),
        (roles.Text, "ink"),
        (roles.Button, "side"),
        (roles.ButtonText, "ink"),
        (roles.Highlight, "chosen"),
        (roles.HighlightedText, "paper"),
        (roles.ToolTipBase, "side"),
        (roles.ToolTipText, "ink"),
        (roles.PlaceholderText, "grey"),
        (roles.Link, "chosen"),
    ):
        palette.setColor(role, theme.colour(name))
    for role in (roles.Text, roles.WindowText, roles.ButtonText):
        palette.setColor(QPalette.ColorGroup.Disabled, role, theme.colour("line"))
    return palette


def style_sheet(theme: Theme) -> str:
    """The window's style sheet. Widgets say what they are by the property ``part``."""
    return _STYLE.format_map(
        {
            **theme.colours,
            "small": SMALL_PX,
            "text": TEXT_PX,
            "name": NAME_PX,
            "head": HEAD_PX,
            "title": TITLE_PX,
            "family": FAMILY,
            **{icon: resource(f"icons/{icon}-{theme.name}.svg") for icon in ("down", "box", "ticked", "partly")},
        }
    )


_STYLE = """
* {{ font-family: "{family}"; font-size: {text}px; color: {ink}; }}
QMainWindow, QDialog {{ background: {paper}; }}
QDialogButtonBox {{ dialogbuttonbox-buttons-have-icons: 0; }}
QToolTip {{ background: {side}; color: {ink}; border: 1px solid {hair}; padding: 4px; }}
QMenuBar {{ background: {paper}; }}
QMenuBar::item {{ padding: 4px 10px; background: transparent; }}
QMenuBar::item:selected, QMenu::item:selected {{ background: {hover}; }}
QMenu {{ background: {paper}; border: 1px solid {hair}; padding: 4px; }}
QMenu::item {{ padding: 4px 24px 4px 16px; }}
QMenu::item:disabled {{ color: {line}; }}
QMenu::separator {{ height: 1px; background: {hair}; margin: 4px 8px; }}
*[part="top"], *[part="foot"] {{ background: {paper}; }}
*[part="top"] {{ border-bottom: 1px solid {hair}; }}
*[part="foot"] {{ border-top: 1px solid {hair}; }}
*[part="tools"] {{ background: {paper}; border-bottom: 1px solid {hair}; }}
QToolButton[part="tool"] {{ border: none; border-bottom: 3px solid transparent; background: transparent;
    padding: 5px 8px 4px 8px; }}
QToolButton[part="tool"]:hover, QToolButton[part="tool"]:focus {{ background: {hover}; }}
QToolButton[part="tool"]:checked {{ border-bottom: 3px solid {accent}; background: {hover}; }}
QToolButton[part="tool"]:disabled {{ color: {line}; }}
QToolButton[part="tool"]::menu-indicator {{ image: url("{down}"); width: 10px; height: 10px;
    subcontrol-position: right center; right: 4px; }}
QToolButton[part="tool"][popupMode="2"] {{ padding-right: 20px; }}
QFrame[part="upright"] {{ border: none; border-left: 1px solid {hair}; margin-left: 4px; }}
*[part="steps"] {{ background: {side}; border-right: 1px solid {hair}; }}
*[part="strip"] {{ background: {side}; border-top: 1px solid {hair}; }}
*[part="right"] {{ background: {paper}; border-left: 1px solid {hair}; }}
*[part="page"] {{ background: {paper}; }}
QScrollArea {{ background: transparent; border: none; }}
QScrollArea:focus {{ border: 1px solid {chosen}; }}
QLabel {{ background: transparent; border: none; }}
QLabel[part="job"], QLabel[part="total"] {{ font-size: {name}px; font-weight: 600; }}
QLabel[part="grey"] {{ color: {grey}; font-size: {small}px; }}
QLabel[part="title"] {{ font-size: {title}px; font-weight: 300; }}
QLabel[part="headline"] {{ font-size: {head}px; font-weight: 600; }}
QLabel[part="name"] {{ font-size: {small}px; }}
QLabel[part="figure"] {{ font-size: {small}px; font-weight: 600; }}
QLabel[part="dims"] {{ color: {grey}; font-size: {small}px; }}
QLabel[part="heading"] {{ font-size: {text}px; font-weight: 600; }}
QLabel[part="group"] {{ color: {grey}; font-size: {small}px; font-weight: 600; padding: 8px 0 2px 6px; }}
QLabel[part="urgent"] {{ color: {hold}; font-size: {small}px; }}
*[part="lightable"] {{ border-left: 3px solid transparent; }}
*[part="lightable"]:hover, *[part="lightable"]:focus {{ background: {hover}; }}
*[part="lit"] {{ border-left: 3px solid {chosen}; background: {hover}; }}
QFrame[part="bubble"] {{ background: {paper}; border: 1px solid {ink}; border-radius: 8px; }}
QFrame[part="tour-frame"] {{ background: transparent; border: 3px solid {chosen}; }}
QLabel[part="tour"] {{ font-size: {text}px; }}
QToolButton[part="quiet"] {{ border: none; background: transparent; color: {grey}; padding: 6px 8px; }}
QToolButton[part="quiet"]:hover, QToolButton[part="quiet"]:focus {{ color: {ink}; background: {hover}; }}
QFrame[part="hair"] {{ background: {hair}; border: none; max-height: 1px; min-height: 1px; }}
QPushButton {{ background: {field}; border: 1px solid {hair}; border-radius: 5px; padding: 6px 14px; }}
QPushButton:hover {{ background: {hover}; }}
QPushButton:focus, QLineEdit:focus, QComboBox:focus {{ border: 1px solid {chosen}; }}
QPushButton:disabled {{ color: {line}; }}
QPushButton[part="main"] {{ background: {button}; color: {button_text}; font-weight: 600;
    border: 1px solid {button}; }}
QPushButton[part="main"]:disabled {{ background: {hair}; color: {grey}; border-color: {hair}; }}
QPushButton[part="chip"] {{ padding: 4px 6px; font-size: {small}px; background: transparent; }}
QPushButton[part="chip"]:disabled {{ color: {grey}; }}
QPushButton[part="chip"]:checked {{ background: {hover}; border: 1px solid {ink}; font-weight: 600; }}
QPushButton[part="photo"] {{ padding: 0; border: 1px solid {hair}; border-radius: 5px; background: {field}; }}
QPushButton[part="photo"]:hover {{ background: {hover}; }}
QPushButton[part="photo"]:focus {{ border: 2px solid {chosen}; }}
QPushButton[part="holds"] {{ padding: 3px 4px; border: none; background: transparent; color: {hold};
    font-weight: 600; }}
QPushButton[part="holds"]:hover {{ background: {hover}; }}
QPushButton[part="small"] {{ padding: 3px 8px; font-size: {small}px; }}
QPushButton[part="pass"] {{ padding: 3px 4px; font-size: {small}px; text-align: left; border: none;
  background: transparent; }}
QPushButton[part="pass"]:hover {{ background: {hover}; }}
QPushButton[part="pass"]:disabled {{ color: {grey}; }}
QPushButton[part="step"] {{ text-align: left; border: none; border-left: 4px solid transparent;
    border-radius: 0; background: transparent; padding: 6px 8px 6px 12px; }}
QPushButton[part="step"]:hover {{ background: {hover}; }}
QPushButton[part="step"]:checked {{ border-left: 4px solid {accent}; }}
QPushButton[part="step"]:focus {{ background: {hover}; }}
QPushButton[part="finding"] {{ text-align: left; border: none; background: transparent; color: {grey};
    font-size: {small}px; padding: 2px 0; }}
QPushButton[part="finding"]:hover {{ color: {ink}; }}
QLineEdit, QComboBox, QSpinBox, QDoubleSpinBox {{ background: {field}; border: 1px solid {hair};
    border-radius: 5px; padding: 5px 10px; selection-background-color: {chosen}; selection-color: {paper}; }}
QLineEdit[part="length"] {{ padding: 4px 6px; }}
QLineEdit[part="cell"], QLineEdit[part="cell-wrong"] {{ padding: 3px 6px; border-radius: 3px; }}
QLineEdit[part="cell-wrong"] {{ border: 2px solid {hold}; padding: 2px 5px; }}
QLineEdit[refused="true"] {{ border: 2px solid {hold}; }}
QLabel[part="refusal"] {{ background: {paper}; color: {hold}; border: 1px solid {hold}; border-radius: 4px;
    padding: 4px 6px; font-size: {small}px; }}
QLineEdit:disabled {{ color: {line}; }}
QCheckBox {{ spacing: 6px; }}
QCheckBox::indicator {{ width: 16px; height: 16px; image: url("{box}"); }}
QCheckBox::indicator:checked {{ image: url("{ticked}"); }}
QCheckBox::indicator:indeterminate {{ image: url("{partly}"); }}
QCheckBox:focus {{ color: {chosen}; }}
QComboBox QAbstractItemView {{ background: {paper}; border: 1px solid {hair};
    selection-background-color: {hover}; selection-color: {ink}; }}
QComboBox {{ padding-right: 2px; }}
QComboBox::drop-down {{ border: none; width: 22px; }}
QComboBox::down-arrow {{ image: url("{down}"); width: 12px; height: 12px; }}
QToolButton[part="page-button"] {{ background: {field}; border: 1px solid {hair}; border-radius: 5px;
    font-size: {small}px; padding: 3px; }}
QToolButton[part="page-button"]:hover, QToolButton[part="page-button"]:focus {{ border: 1px solid {chosen}; }}
QToolButton[part="page-button"]:checked {{ border: 2px solid {accent}; background: {hover}; }}
QRadioButton {{ spacing: 8px; padding: 1px 0; }}
QRadioButton::indicator {{ width: 10px; height: 10px; border: 2px solid {grey}; border-radius: 7px;
    background: {field}; }}
QRadioButton::indicator:checked {{ background: {accent}; border-color: {accent}; }}
QRadioButton::indicator:focus {{ border-color: {chosen}; }}
QTableView, QTreeView, QListView {{ background: {paper}; border: none; gridline-color: {hair};
    selection-background-color: {hover}; selection-color: {ink}; outline: 0; }}
QTableView::item {{ padding: 5px 4px; border-bottom: 1px solid {hair}; }}
QHeaderView::section {{ background: {paper}; color: {grey}; border: none; border-bottom: 1px solid {ink};
    padding: 4px 6px; font-size: {small}px; }}
QListWidget[part="finder"] {{ background: {paper}; border: 1px solid {hair}; }}
QListView::item {{ padding: 4px 6px; }}
QListView::item:disabled {{ color: {line}; }}
QProgressBar {{ background: {field}; border: 1px solid {hair}; border-radius: 5px; text-align: center; }}
QProgressBar::chunk {{ background: {coat}; border-radius: 4px; }}
QSplitter::handle {{ background: {hair}; }}
QScrollBar:vertical {{ background: transparent; width: 10px; }}
QScrollBar:horizontal {{ background: transparent; height: 10px; }}
QScrollBar::handle {{ background: {hair}; border-radius: 4px; min-height: 24px; min-width: 24px;
    margin: 2px; }}
QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
QGraphicsView {{ border: none; background: {paper}; }}
"""
