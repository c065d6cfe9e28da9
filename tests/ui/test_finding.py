"""The find field, recent files, what is to settle, the sheets: ways through the window."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt

from takeoff.errors import Finding, Where
from takeoff.plan import edits
from takeoff.ui.document import Ref

SAMPLES = Path(__file__).parents[2] / "sample_plans"


def listed(window) -> list[str]:
    return [window.finder.item(k).text() for k in range(window.finder.count())]


def test_typed_name_finds_the_room_on_another_storey_and_enter_shows_it(sample, qtbot) -> None:
    qtbot.keyClicks(sample.top.field, "attic ro")
    assert listed(sample) == ["A1 Attic room"] + [words for words in listed(sample) if ", " in words]
    qtbot.keyClick(sample.top.field, Qt.Key.Key_Return)
    assert sample.document.choice == (Ref("room", "A1"),)
    assert sample.document.storey.id == "attic"
    assert sample.top.field.text() == ""
    assert not sample.finder.isVisible()


def test_typed_verb_finds_the_action_and_does_it(sample, qtbot) -> None:
    qtbot.keyClicks(sample.top.field, "dark theme")
    assert listed(sample) == ["View: Dark theme"]
    qtbot.keyClick(sample.top.field, Qt.Key.Key_Return)
    assert sample.theme.is_dark


def test_arrows_move_in_what_was_found_and_escape_closes_it(sample, qtbot) -> None:
    qtbot.keyClicks(sample.top.field, "window")
    # the two windows of the job, and what can be done with them
    assert [words.partition(",")[0] for words in listed(sample)] == [
        "Window W1",
        "Window W2",
        "Openings: Place a window",
        "Edit: Select all windows",
    ]
    qtbot.keyClick(sample.top.field, Qt.Key.Key_Down)
    assert sample.finder.currentRow() == 1
    qtbot.keyClick(sample.top.field, Qt.Key.Key_Escape)
    assert not sample.finder.isVisible()


def test_recent_files_are_listed_and_open_again(sample, qtbot) -> None:
    sample.files.open(SAMPLES / "loft.dxf")
    sample.recent.fill()
    names = [action.text().split("    ")[0] for action in sample.recent.actions()]
    assert names == ["loft.dxf", "terrace.job.json"]
    sample.recent.actions()[1].trigger()
    assert sample.document.job.name == "Terrace house, invented example"


def test_finding_leads_to_its_room(sample) -> None:
    sample.space.go_to(Finding("printed-area-differs", "check", "Look at it.", Where(storey="attic", room="A2")))
    assert sample.document.choice == (Ref("room", "A2"),)
    assert sample.document.storey.id == "attic"


def test_finding_with_a_place_only_shows_the_place(sample) -> None:
    sample.space.go_to(Finding("gap", "check", "Look at it.", Where(x_mm=1000.0, y_mm=2000.0)))
    view = sample.plan.view
    middle = view.plan_point(view.viewport().rect().center().toPointF())
    assert abs(middle[0] - 1000.0) < 20.0
    assert abs(middle[1] - 2000.0) < 20.0


def test_openings_that_are_not_sure_are_counted_in_the_steps(sample) -> None:
    assert sample.steps.button("openings").accessibleName() == "Openings: 10"
    first = sample.document.storey.openings[0].id
    sample.document.apply("Ask", lambda job: edits.set_opening_confidence(job, first, "question"))
    assert sample.steps.button("openings").accessibleName() == "Openings: 10, 1 to check"
    assert sample.plan.items.pieces[f"opening:{first}"].asks != ()


def test_sheets_are_written_into_the_chosen_folder(sample, told, tmp_path) -> None:
    told.paths = [tmp_path / "sheets"]
    sample.top.button.click()
    sample.acts.do("write-sheets")
    names = {path.name for path in (tmp_path / "sheets").iterdir()}
    assert {"scope.pdf", "takeoff.xlsx", "result.json"} <= names
    assert "scope.pdf" in told.sentences[0]


def test_window_without_a_room_offers_no_sheets(window) -> None:
    assert not window.top.button.isEnabled()
    assert not window.acts.q("sheets").isEnabled()
    assert window.card.title.text() == "No room yet"


def test_unknown_coating_system_is_said_in_the_order(sample) -> None:
    import msgspec

    sample.document.apply("System", lambda job: msgspec.structs.replace(job, system="no-such-system"))
    sample.document.consider_now()
    sample.space.show_step("order")
    assert "no-such-system" in sample.sides.page("order").note.text()
