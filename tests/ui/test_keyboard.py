"""Everything can be done from the keyboard: actions in menus and in the list, names and tab order."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible, QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractScrollArea, QApplication, QWidget

from takeoff.ui.document import Ref
from takeoff.ui.window.main_window import MENUS
from takeoff.ui.window.shortcuts import GESTURES, ShortcutList

TAB = Qt.FocusPolicy.TabFocus


def shown_list(window) -> ShortcutList:
    window.acts.do("shortcuts")
    found = window.findChild(ShortcutList)
    assert found is not None
    return found


def texts(listed: ShortcutList) -> list[tuple[str, str, str]]:
    items = [listed.list.topLevelItem(k) for k in range(listed.list.topLevelItemCount())]
    return [(item.text(0), item.text(1), item.text(2)) for item in items]


def stops(window) -> list[QWidget]:
    """Everything in the window at which Tab stops."""
    ports = {area.viewport() for area in window.findChildren(QAbstractScrollArea)}
    return [
        w
        for w in window.findChildren(QWidget)
        if w.isVisible() and w.isEnabled() and w not in ports and w.focusPolicy() & TAB and w.focusProxy() is None
    ]


def name_of(widget: QWidget) -> str:
    found = QAccessible.queryAccessibleInterface(widget)
    return found.text(QAccessible.Text.Name) if found is not None else ""


def choices(window) -> dict[str, tuple[Ref, ...]]:
    storey = window.document.storey
    opening = storey.openings[0]
    return {
        "nothing": (),
        "a room": (Ref("room", "G5"),),
        "a face": (Ref("side", str(storey.rooms[1].outline[1].id), "G2"),),
        "an opening": (Ref("opening", str(opening.id), str(opening.room)),),
    }


# -- actions


def test_every_action_stands_in_a_menu_and_says_what_it_does(sample) -> None:
    for row in sample.acts.rows():
        assert row.menu in MENUS, row.id
        assert sample.acts.q(row.id) in sample.acts.menu(row.menu).actions(), row.id
        assert row.text[:1].isupper(), row.id
        assert sample.acts.q(row.id).toolTip(), row.id


def test_every_menu_opens_with_a_letter_of_its_own(sample) -> None:
    letters = [action.text().partition("&")[2][:1].casefold() for action in sample.bar.actions()]
    assert all(letters)
    assert len(set(letters)) == len(letters)


def test_no_two_actions_share_a_shortcut_and_all_are_keys_that_qt_knows(sample) -> None:
    keys = [QKeySequence(key).toString() for row in sample.acts.rows() for key in row.keys]
    assert all(keys)
    assert len(set(keys)) == len(keys)


def test_list_holds_every_action_with_its_keys_and_what_the_mouse_does(sample) -> None:
    listed = texts(shown_list(sample))
    assert len(listed) == len(sample.acts.rows()) + len(GESTURES)
    assert ("Undo", "Edit", "Ctrl+Z") in listed
    assert ("Print", "File", "Ctrl+P") in listed
    assert ("Preview sheets", "File", "Ctrl+E") in listed
    assert any(menu == "Mouse and keys" and keys == "Wheel" for _, menu, keys in listed)


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("dark", "Dark theme"),
        ("ctrl+h", "History of edits"),
        ("wheel", "Zoom to the cursor"),
        ("storey without", "Copy the storey without openings"),
    ],
)
def test_list_finds_by_any_word_or_key(sample, words, found) -> None:
    listed = shown_list(sample)
    QTest.keyClicks(listed.field, words)
    assert found in [text for text, _, _ in texts(listed)]


def test_enter_does_what_is_marked_and_the_arrows_move_the_mark(sample) -> None:
    listed = shown_list(sample)
    QTest.keyClicks(listed.field, "storey")
    before = listed.list.currentItem().text(0)
    QTest.keyClick(listed.field, Qt.Key.Key_Down)
    assert listed.list.currentItem().text(0) != before
    listed.field.clear()
    QTest.keyClicks(listed.field, "dark theme")
    QTest.keyClick(listed.field, Qt.Key.Key_Return)
    assert sample.theme.is_dark


def test_what_cannot_be_done_now_says_so_and_stays_listed(sample) -> None:
    listed = shown_list(sample)
    QTest.keyClicks(listed.field, "cut rooms")
    QTest.keyClick(listed.field, Qt.Key.Key_Return)
    assert listed.isVisible()
    assert "not possible now" in listed.note.text()
    listed.field.clear()
    QTest.keyClicks(listed.field, "no such thing")
    assert "No such action" in listed.note.text()


# -- names and tab order


def test_whatever_tab_stops_at_has_a_name(sample) -> None:
    nameless, looked_at = [], 0

    def look(where: str) -> None:
        nonlocal looked_at
        QApplication.processEvents()
        found = stops(sample)
        looked_at += len(found)
        nameless.extend((where, type(w).__name__, type(w.parent()).__name__) for w in found if not name_of(w))

    for what, choice in choices(sample).items():
        sample.document.choose(choice)
        look(what)
    for page in sorted(sample.sides.pages()):
        sample.sides.show_page(page)
        look(page)
    assert nameless == []
    assert looked_at > 300


@pytest.mark.parametrize("page", ["card", "openings", "coat", "sheets", "storeys", "photos", "settle"])
def test_tab_comes_by_everything_and_round(sample, page) -> None:
    sample.document.choose((Ref("room", "G5"),))
    sample.sides.show_page(page)
    sample.activateWindow()
    sample.top.field.setFocus()
    QApplication.processEvents()
    wanted, seen = set(stops(sample)), []
    for _ in range(3 * len(wanted)):
        QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Tab)
        seen.append(QApplication.focusWidget())
        if seen[-1] is sample.top.field:
            break
    missed = [(type(w).__name__, name_of(w)) for w in wanted if w not in seen and not is_grouped(w)]
    assert missed == []


def is_grouped(widget: QWidget) -> bool:
    """Of buttons of which one is chosen, Tab stops at the chosen one and the arrows go on from there."""
    group = getattr(widget, "group", None)
    return group is not None and group() is not None and group().exclusive()
