"""The window at 1366 × 768 in a language two fifths longer than English: no page, no tool and no menu has a text that
is cut off or that reaches out of what holds it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from conftest import CHECKOUT
from cut_off import cut_off
from PySide6.QtWidgets import QApplication, QPushButton, QTableWidget, QVBoxLayout, QWidget

from takeoff.language import use_language
from takeoff.language.catalogue import VARIABLE
from takeoff.ui.document import Ref
from takeoff.ui.panels.page_parts import label
from takeoff.ui.settings import Settings
from takeoff.ui.window.main_window import MENUS, MainWindow
from tests.language.pseudo import pseudo

WIDE_PX, TALL_PX = 1366, 768

ELSEWHERE = frozenset({"new", "open", "open-sample", "save", "save-as", "close", "add-drawing", "quit"})
"""Actions that ask for a file or put another job in the place of the sample."""


@pytest.fixture(params=["longer", "de"])
def spoken(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    monkeypatch.setenv(VARIABLE, "")
    if request.param == "longer":
        with pseudo():
            yield request.param
    else:
        use_language(request.param)
        yield request.param
        use_language("en")


@pytest.fixture
def longer(spoken: str, qtbot, told, tmp_path: Path) -> MainWindow:
    """The window with the sample job, as ``spoken``; every question is answered with its harmless last answer, and no
    file is ever chosen."""
    told.file_to_open = told.file_to_save = told.folder = lambda *asked: None
    told.files_to_open = lambda *asked: ()
    told.printer = lambda *asked: False
    made = MainWindow(Settings(tmp_path / "window.json"), in_order=True)
    qtbot.addWidget(made, before_close_func=lambda _: told.answers.append("discard"))
    made.resize(WIDE_PX, TALL_PX)
    made.show()
    qtbot.waitExposed(made)
    made.files.open(CHECKOUT / "sample_plans" / "terrace.job.json")
    return made


def refs(window: MainWindow) -> tuple[Ref, ...]:
    storey = window.document.job.storeys[0]
    room, opening = storey.rooms[0], storey.openings[0]
    return (
        Ref("side", str(room.sides[0].id), str(room.id)),
        Ref("opening", str(opening.id), str(opening.room)),
        Ref("room", str(room.id)),
    )


def seen(window: QWidget) -> set[str]:
    for _ in range(3):  # a page finds its height in the second turn
        QApplication.processEvents()
    assert (window.width(), window.height()) == (WIDE_PX, TALL_PX)
    return set(cut_off(window))


def test_every_page_is_read_whole(longer: MainWindow) -> None:
    faults = {}
    for page in longer.sides.pages():
        for ref in (None, *refs(longer)):
            longer.document.choose((ref,) if ref else ())
            longer.space.show_step(page)
            found = seen(longer)
            if found:
                faults[page, ref.kind if ref else ""] = found
    assert faults == {}


def test_what_every_action_shows_is_read_whole(longer: MainWindow) -> None:
    faults, done = {}, 0
    for row in longer.acts.rows():
        if row.id in ELSEWHERE or row.id.startswith("language"):
            continue
        for ref in refs(longer):
            longer.document.choose((ref,))
            if longer.acts.q(row.id).isEnabled():
                break
        else:
            continue
        done += 1
        longer.acts.do(row.id)
        found = seen(longer)
        for dialog in QApplication.topLevelWidgets():
            if dialog is not longer and dialog.isVisible():
                found |= set(cut_off(dialog))
                dialog.close()
        if found:
            faults[row.id] = found
        longer.plan.view.escape()
        while longer.document.stack.canUndo():
            longer.document.stack.undo()
    assert faults == {}
    assert done > 80


def test_every_menu_fits_on_the_screen(longer: MainWindow) -> None:
    sizes = {name: longer.acts.menu(name).sizeHint() for name in MENUS}
    assert {name: size for name, size in sizes.items() if size.height() > TALL_PX or size.width() > WIDE_PX} == {}
    assert longer.minimumSizeHint().width() <= WIDE_PX


def test_an_empty_window_is_read_whole(longer: MainWindow) -> None:
    longer.acts.do("new")
    longer.space.back_to_choosing()
    assert seen(longer) == set()


# -- the check itself sees what is cut off


def test_cut_texts_are_seen(qtbot) -> None:
    held = QWidget()
    qtbot.addWidget(held)
    down = QVBoxLayout(held)
    short, button, table = (
        label("a sentence that is far longer than it may be", "name"),
        QPushButton("Print it"),
        QTableWidget(1, 1),
    )
    short.setFixedWidth(60)
    button.setFixedWidth(40)
    table.setHorizontalHeaderLabels(["A head of many letters"])
    table.setColumnWidth(0, 30)
    for widget in (short, button, table):
        down.addWidget(widget)
    held.show()
    qtbot.waitExposed(held)
    found = sorted(line.partition(":")[0] for line in cut_off(held))
    assert found == [
        "QHeaderView 'A head of many letters'",
        "QLabel 'a sentence that is far longer than it may be'",
        "QPushButton 'Print it'",
    ]


def test_what_reaches_out_of_its_holder_is_seen(qtbot) -> None:
    held, inner = QWidget(), QWidget()
    qtbot.addWidget(held)
    inner.setParent(held)
    inner.setGeometry(0, 0, 50, 40)
    word = label("far too wide", "name")
    word.setParent(inner)
    word.setGeometry(0, 0, word.sizeHint().width(), 30)
    held.resize(300, 60)
    held.show()
    qtbot.waitExposed(held)
    assert [line for line in cut_off(held) if "reaches" in line]
