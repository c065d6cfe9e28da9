"""The pages of what comes after the order: what is typed and pressed there is in the job and in its file."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pypdfium2
from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from takeoff.measure import measure
from takeoff.plan import edits
from takeoff.plan.edits.price_edits import with_rates
from takeoff.services.opened.job_store import load_job
from takeoff.ui.document import Ref
from takeoff.units.printing import shown


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
            QTest.keyClick(page.typed[key], Qt.Key.Key_Delete)
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


def test_before_anything_is_sent_there_is_no_state_to_choose(sample) -> None:
    page = page_of(sample, "work-states")
    assert page.chosen["state"].currentText() == "none yet"
    assert not page.chosen["state"].isEnabled()


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


def refused(window, qtbot, page, button: str) -> str:
    """What the foot says after a button was pressed that changes nothing."""
    before = window.document.job
    press(qtbot, page, button)
    assert window.document.job is before
    return window.totals.note.text()


def test_what_cannot_be_is_one_sentence(sample, qtbot, told, tmp_path) -> None:
    """Bad input on each page: said at once, nothing entered, what was typed stays to be put right."""
    sample.document.consider_now()
    changes = page_of(sample, "work-changes")
    fill(qtbot, changes, what="Strip", size="2.00 x 1.20", price="40", on="2031-05-24")
    assert refused(sample, qtbot, changes, "add") == "A change needs its place: name the room or wall."
    fill(qtbot, changes, place="Hall", price="")
    assert "“Strip” has no price" in refused(sample, qtbot, changes, "add")
    assert changes.text("what") == "Strip"
    fill(qtbot, changes, price="forty")
    assert "is not a price" in refused(sample, qtbot, changes, "add")
    fill(qtbot, changes, price="40")
    press(qtbot, changes, "add")
    fill(qtbot, changes, number="1", state="agreed", on="2031-05-20")
    assert "20 May 2031 comes before 24 May 2031" in refused(sample, qtbot, changes, "set")

    supply = page_of(sample, "work-supply")
    fill(qtbot, supply, moved="returned", pack="coat/22 L demo bucket", count="1", on="2031-05-20")
    assert "was never delivered" in refused(sample, qtbot, supply, "enter")
    fill(qtbot, supply, moved="ordered", count="2", on="2031-05-20")
    press(qtbot, supply, "enter")
    fill(qtbot, supply, moved="delivered", count="3", on="2031-05-21")
    assert "3 × 22 L demo bucket would be delivered, and 2 are ordered" in refused(sample, qtbot, supply, "enter")
    fill(qtbot, supply, count="2", on="2031-05-19")
    assert "19 May 2031 comes before 20 May 2031" in refused(sample, qtbot, supply, "enter")
    fill(qtbot, supply, count="some", on="2031-05-21")
    assert "gives no number" in refused(sample, qtbot, supply, "enter")
    fill(qtbot, supply, count="2", on="21.5.31")
    assert "is not a date" in refused(sample, qtbot, supply, "enter")

    progress = page_of(sample, "work-progress")
    fill(qtbot, progress, on="2031-05-21", place="window", mm="40")
    assert "A gauge reading of 40.0 mm cannot be" in refused(sample, qtbot, progress, "day")
    fill(qtbot, progress, mm="", place="", stage="coat")
    press(qtbot, progress, "set")
    fill(qtbot, progress, stage="sanded", on="2031-05-20")
    assert "comes before" in refused(sample, qtbot, progress, "set")
    assert "not there any more" in refused(sample, qtbot, progress, "undo")

    account = page_of(sample, "work-account")
    fill(qtbot, account, on="2031-05-30")
    assert "Nothing is agreed yet" in refused(sample, qtbot, account, "bill")
    fill(qtbot, account, paid="soon")
    assert "is not a price" in refused(sample, qtbot, account, "pay")
    fill(qtbot, account, keep="120")
    assert "is not a percentage" in refused(sample, qtbot, account, "keep")

    states = page_of(sample, "work-states")
    assert refused(sample, qtbot, states, "send") == "Name whom the sheets are sent to."
    assert "no state 0" in refused(sample, qtbot, states, "accept")

    defects = page_of(sample, "work-defects")
    fill(qtbot, defects, what="A scratch", on="2031-06-01")
    assert "A defect needs its place" in refused(sample, qtbot, defects, "note")
    assert "no defect 0" in refused(sample, qtbot, defects, "mend")


def test_defects_go_with_the_hand_over(sample, qtbot, told, tmp_path) -> None:
    """Two are entered, one is mended: both stand on the sheet, the open one among the open points."""
    sample.document.consider_now()
    page = page_of(sample, "work-defects")
    fill(qtbot, page, place="Hall", what="A scratch by the door", by="Client Example", on="2031-06-01")
    press(qtbot, page, "note")
    fill(qtbot, page, place="Kitchen", what="Bead stands proud")
    press(qtbot, page, "note")
    fill(qtbot, page, number="1", on="2031-06-02", by="Jo")
    press(qtbot, page, "mend")
    assert [one.mended_on for one in sample.document.job.work.defects] == ["2031-06-02", ""]
    assert page.blocks[0].cells.item(1, 3).text() == "open"
    told.paths = [tmp_path / "over.pdf"]
    press(qtbot, page, "write")
    with pypdfium2.PdfDocument(tmp_path / "over.pdf") as paper:
        text = " ".join("".join(one.get_textpage().get_text_range() for one in paper).split())
    assert "Defect 2, Kitchen: Bead stands proud." in text
    assert "Defect 1" not in text
    assert "A scratch by the door" in text


def test_order_of_a_sent_state_and_the_rest(sample, qtbot, told, tmp_path) -> None:
    """The order of the state that was sent is there; a window less is coated over since, so that more is to be bought,
    which one button orders."""
    sent(sample, qtbot, told, tmp_path)
    height = sample.document.job.storeys[0].height_mm
    storey = sample.document.job.storeys[0].id
    sample.document.apply("Set", lambda job: edits.set_storey_height(job, storey, height + 300))
    sample.document.consider_now()
    page = page_of(sample, "work-supply")
    fill(qtbot, page, of="1", on="2031-05-21")
    press(qtbot, page, "all")
    still = page.blocks[1].cells
    assert Decimal(still.item(still.rowCount() - 1, 2).text()) > 0
    press(qtbot, page, "rest")
    assert page.blocks[1].cells.item(still.rowCount() - 1, 2).text() == "0.00"
    assert "Nothing is still to buy" in refused(sample, qtbot, page, "rest")


def test_own_consumption_of_jobs_that_are_done(sample, qtbot, told, tmp_path) -> None:
    sample.document.consider_now()
    page = page_of(sample, "work-progress")
    room = sample.document.job.storeys[0].rooms[0]
    fill(qtbot, page, room=str(room.id), on="2031-05-21", stage="coat", pack="coat/22 L demo bucket", count="2")
    press(qtbot, page, "set")
    press(qtbot, page, "day")
    told.paths = [tmp_path / "done.takeoff"]
    assert sample.files.save_as()
    before = sample.document.job
    told.paths = [tmp_path / "done.takeoff"]
    press(qtbot, page, "own")
    assert sample.document.job is before
    row = [page.blocks[1].cells.item(0, k).text() for k in range(4)]
    area = next(one.coated_m2 for one in measure(before).rooms if one.room == room.id)
    assert row[1] == shown(44 / area)
    assert row[3] == shown(area, 1)
    press(qtbot, page, "undo")
    assert sample.document.job.work.days == ()
