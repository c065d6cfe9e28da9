"""The pages of what comes after the order: what is typed and pressed there is in the job and in its file."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pypdfium2
from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from takeoff.plan.edits.price_edits import with_rates
from takeoff.services.job_store import load_job
from takeoff.ui.document import Ref


def page_of(window, key: str):
    window.acts.do(key)
    return window.findChild(object, "work").pages[key]


def fill(qtbot, page, **texts: str) -> None:
    for key, text in texts.items():
        if key in page.chosen:
            field = page.chosen[key]
            index = field.findData(text)
            assert index >= 0, (key, text)
            field.setCurrentIndex(index)
            field.activated.emit(index)
        else:
            qtbot.mouseClick(page.typed[key], Qt.MouseButton.LeftButton)
            page.typed[key].selectAll()
            QTest.keyClicks(page.typed[key], text)


def press(qtbot, page, key: str) -> None:
    qtbot.mouseClick(page.pushed[key], Qt.MouseButton.LeftButton)


def priced(window) -> None:
    rates = ["walls=31.20", "ceilings=36", "reveals=44", "drops=40", "bead=6.50"]
    window.document.apply("Set", lambda job: with_rates(job, rates))
    window.document.consider_now()


def sent(window, qtbot, told, folder: Path):
    """The sample's sheets sent to a client; the page of states."""
    priced(window)
    page = page_of(window, "work-states")
    fill(qtbot, page, to="Client Example", by="Ann", on="2031-05-20")
    told.paths = [folder / "job.takeoff", folder / "sheets"]
    press(qtbot, page, "send")
    return page


def test_sending_keeps_a_state_that_undo_does_not_take(sample, qtbot, told, tmp_path) -> None:
    page = sent(sample, qtbot, told, tmp_path)
    assert told.sentences == []
    assert (tmp_path / "sheets" / "scope.pdf").is_file()
    kept = load_job(tmp_path / "job.takeoff").states
    assert len(kept) == 1
    assert page.blocks[0].cells.item(0, 2).text() == "Client Example"
    while sample.document.stack.canUndo():
        sample.document.stack.undo()
    assert sample.files.save()
    assert load_job(tmp_path / "job.takeoff").states == kept
    told.paths = [tmp_path / "plain.json"]
    assert not sample.files.save_as()
    assert "no room for what was sent" in told.sentences[-1]


def test_contract_changes_and_account(sample, qtbot, told, tmp_path) -> None:
    page = sent(sample, qtbot, told, tmp_path)
    press(qtbot, page, "accept")
    assert sample.document.job.work.contract is not None
    changes = page_of(sample, "work-changes")
    fill(
        qtbot,
        changes,
        place="Hall",
        what="Coat behind the paper",
        item="walls",
        size="2 x 3.60 x 1.20",
        on="2031-05-21",
    )
    press(qtbot, changes, "add")
    assert changes.text("what") == ""
    # 2 × 3.60 × 1.20 = 8.64 m²; × 31.20 = 269.568
    assert changes.blocks[0].cells.item(0, 3).text() == "269.57"
    fill(qtbot, changes, state="agreed", on="2031-05-22")
    press(qtbot, changes, "set")
    fill(qtbot, changes, state="done", on="2031-05-23")
    press(qtbot, changes, "set")
    account = page_of(sample, "work-account")
    fill(qtbot, account, on="2031-05-24")
    told.paths = [tmp_path / "bill.pdf"]
    press(qtbot, account, "bill")
    assert sample.document.job.work.bills[0].due == "269.57"
    assert (tmp_path / "bill.pdf").read_bytes().startswith(b"%PDF")
    assert (tmp_path / "bill.xlsx").is_file()


def test_deliveries_and_days(sample, qtbot, told) -> None:
    sample.document.consider_now()
    page = page_of(sample, "work-supply")
    fill(qtbot, page, on="2031-05-20")
    press(qtbot, page, "all")
    still = page.blocks[1].cells
    assert still.item(still.rowCount() - 1, 2).text() == "0.00"
    fill(qtbot, page, moved="delivered", pack="coat/22 L demo bucket", count="99")
    before = sample.document.job
    press(qtbot, page, "enter")
    assert sample.document.job is before
    assert page.text("count") == "99"
    progress = page_of(sample, "work-progress")
    room = str(sample.document.job.storeys[0].rooms[0].id)
    fill(qtbot, progress, room=room, on="2031-05-21", hours="6,5", pack="coat/22 L demo bucket", count="1", mm="40")
    press(qtbot, progress, "day")
    assert sample.document.job.work.days == ()
    fill(qtbot, progress, mm="0,7", place="left of the window")
    press(qtbot, progress, "day")
    day = sample.document.job.work.days[0]
    assert (day.hours, day.opened[0].count, day.readings[0].mm) == (6.5, 1, 0.7)
    fill(qtbot, progress, stage="coat")
    press(qtbot, progress, "set")
    assert sample.document.job.work.stages[0].stage == "coat"
    assert Decimal(progress.blocks[0].cells.item(0, 3).text()) == 22


def test_hand_over_is_written(sample, qtbot, told, tmp_path) -> None:
    sample.document.consider_now()
    told.paths = [tmp_path / "over"]
    sample.acts.do("work-handover")
    assert (tmp_path / "over.pdf").is_file()


def test_photo_of_a_change_is_printed(sample, qtbot, told, tmp_path) -> None:
    priced(sample)
    Image.new("RGB", (800, 600), "#8090A0").save(tmp_path / "damp.jpg")
    sample.document.choose((Ref("room", "G5"),))
    told.paths = [tmp_path / "damp.jpg"]
    sample.acts.do("add-photos")
    page = page_of(sample, "work-changes")
    photo = sample.document.job.photos[0].id
    fill(qtbot, page, place="Kitchen", what="Strip", hours="2", price="40", photo=photo, on="2031-05-24")
    press(qtbot, page, "add")
    told.paths = [tmp_path / "change.pdf"]
    press(qtbot, page, "page")
    with pypdfium2.PdfDocument(tmp_path / "change.pdf") as paper:
        assert [one.type for one in paper[0].get_objects()].count(3) == 1
        assert len(paper) == 1
