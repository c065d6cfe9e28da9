"""Options on their page: added, compared side by side, and one of them taken."""

from __future__ import annotations

from PySide6.QtCore import Qt

from takeoff.plan.edits.option_edits import coat_of
from takeoff.services.offered.treatment_options import option_typed, taken


def test_three_options_are_added_compared_and_one_is_taken(sample, qtbot) -> None:
    sample.acts.do("options")
    page = sample.findChild(object, "options").page
    sample.document.consider_now()
    for button in page.usual.values():
        qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    job = sample.document.job
    assert [one.name for one in job.options] == ["Outside walls, returns 0.60 m", "All walls", "Walls and ceilings"]
    sample.document.consider_now()
    cells = page.table.cells
    names = [cells.item(row, 0).text() for row in range(cells.rowCount())]
    assert names == ["Outside walls, returns 0.60 m", "All walls", "Walls and ceilings"]
    area = cells.item(0, 1).text()
    # all of it is seen: no column is hidden or narrower than what stands in it
    for at in range(cells.columnCount()):
        assert not cells.isColumnHidden(at)
        assert at == 0 or cells.columnWidth(at) >= cells.sizeHintForColumn(at)
    assert cells.columnWidth(0) >= 90
    assert " ".join(page.takes[0].text().split()) == "Take Outside walls, returns 0.60 m"
    assert not page.takes[3].isVisible()
    qtbot.mouseClick(page.takes[0], Qt.MouseButton.LeftButton)
    after = sample.document.job
    assert coat_of(after) == coat_of(taken(job, "1"))
    sample.document.consider_now()
    assert f"{sample.document.state.totals['coated_m2']}" == area
    assert not page.takes[0].isEnabled()
    sample.document.stack.undo()
    assert sample.document.job is job


def test_typed_option_and_kept_coat_stand_beside_and_one_is_removed(sample, qtbot) -> None:
    sample.acts.do("options")
    page = sample.findChild(object, "options").page
    sample.document.consider_now()
    page.typed.setText("Thin=outside 450 300")
    page.typed.typed.emit("option", "Thin=outside 450 300")
    page.name.typed.emit("keep", "As drawn")
    job = sample.document.job
    assert [one.name for one in job.options] == ["Thin", "As drawn"]
    assert job.options[0].band_mm == option_typed("outside 450 300").band_mm == 300.0
    page.typed.typed.emit("option", "roof")
    assert sample.document.job is job
    qtbot.mouseClick(page.removes[0], Qt.MouseButton.LeftButton)
    assert [one.name for one in sample.document.job.options] == ["As drawn"]
