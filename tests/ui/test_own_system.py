"""A coating system of one's own in the window: copied, typed into, used, kept by the job."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt

from takeoff.supply.systems import load as load_system
from takeoff.supply.systems import own_systems, save_own
from takeoff.views.system_rows import copy_under

pytestmark = pytest.mark.usefixtures("own_folder")

LEFT = Qt.MouseButton.LeftButton


def page_of(window):
    window.acts.do("system")
    return window.findChild(object, "systems").page


def row_of(page, *path) -> int:
    return next(k for k, row in enumerate(page._rows) if row.path == path)


def need(window) -> float:
    return next(line.need for line in window.document.considered.order.lines if line.unit == "L")


def test_copy_is_typed_into_used_and_undone(sample, qtbot, told) -> None:
    page, document = page_of(sample), sample.document
    assert not page.buttons["use"].isEnabled() or document.job.system_copy is None
    qtbot.mouseClick(page.buttons["copy"], LEFT)
    (name,) = own_systems()
    assert page.choice.currentData() == name
    assert "This job is ordered with another one" in page.about.text()
    qtbot.mouseClick(page.buttons["use"], LEFT)
    assert document.job.system == name
    document.consider_now()
    before = document.considered.order
    page.table.item(row_of(page, "coat", "thickness_mm"), 1).setText("2,8")
    document.consider_now()
    assert load_system(name).coat.thickness_mm == 2.8
    assert document.job.system_copy["coat"]["thickness_mm"] == 2.8
    assert document.considered.order != before
    document.stack.undo()
    document.consider_now()
    assert document.considered.order == before
    assert any(f.code == "system-copy" for f in document.findings)
    assert "as kept in this job" in page.choice.itemText(0)


def test_value_that_cannot_be_is_refused_beside_the_table_and_the_old_one_stays(sample, qtbot) -> None:
    page = page_of(sample)
    qtbot.mouseClick(page.buttons["copy"], LEFT)
    at = row_of(page, "coat", "layers")
    for text, said in (("none", "“none” is not a number"), ("0", "Layers"), ("", "is not a number")):
        page.table.item(at, 1).setText(text)
        assert said in page.refusal.text()
        assert page.table.item(at, 1).text() == "2"


def test_packs_come_and_go(sample, qtbot) -> None:
    page = page_of(sample)
    qtbot.mouseClick(page.buttons["copy"], LEFT)
    page.table.setCurrentCell(row_of(page, "coat", "product", "packs", 0, "size"), 1)
    qtbot.mouseClick(page.buttons["more"], LEFT)
    (name,) = own_systems()
    packs = load_system(name).coat.product.packs
    assert [pack.name for pack in packs][:2] == ["6 L demo tub", "6 L demo tub 2"]
    page.table.setCurrentCell(row_of(page, "coat", "product", "packs", 1, "size"), 1)
    qtbot.mouseClick(page.buttons["less"], LEFT)
    assert len(load_system(name).coat.product.packs) == len(packs) - 1


def test_supplier_delivery_and_mixing_are_typed_and_taken_back(sample, qtbot) -> None:
    page = page_of(sample)
    qtbot.mouseClick(page.buttons["copy"], LEFT)
    (name,) = own_systems()
    for product in (("coat", "product"), ("base", "product"), ("by_edge", 0, "product")):
        for field, text in (("supplier", "North Merchants"), ("lead_days", "5"), ("mixing", "Stir slowly.")):
            page.table.item(row_of(page, *product, field), 1).setText(text)
    page.table.item(row_of(page, "beads", 0, "supplier"), 1).setText("Bead House")
    system = load_system(name)
    for sold in (system.coat.product, system.base.product, system.by_edge[0].product):
        assert (sold.supplier, sold.lead_days, sold.mixing) == ("North Merchants", 5, "Stir slowly.")
    assert system.beads[0].supplier == "Bead House"
    page.table.item(row_of(page, "coat", "product", "lead_days"), 1).setText("five")
    assert "“five” is not a number" in page.refusal.text()
    page.table.item(row_of(page, "coat", "product", "mixing"), 1).setText("")
    assert load_system(name).coat.product.mixing == ""


def test_the_programs_own_systems_cannot_be_typed_into(sample) -> None:
    page = page_of(sample)
    item = page.table.item(row_of(page, "coat", "layers"), 1)
    assert not item.flags() & Qt.ItemFlag.ItemIsEditable
    assert "copy it first" in page.about.text()


def test_new_jobs_begin_with_the_usual_system_and_keep_it_when_it_is_gone(window, qtbot, told) -> None:
    samples = Path(__file__).parents[2] / "sample_plans"
    window.files.open(samples / "terrace_ground.dxf")
    page = page_of(window)
    qtbot.mouseClick(page.buttons["copy"], LEFT)
    qtbot.mouseClick(page.buttons["usual"], LEFT)
    (name,) = own_systems()
    window.files.open(samples / "terrace_first.dxf")
    assert window.document.job.system == name
    page = page_of(window)
    told.answers.append("remove")
    qtbot.mouseClick(page.buttons["remove"], LEFT)
    assert own_systems() == {}
    window.document.consider_now()
    assert window.document.considered.order is not None
    assert any("is no longer among your coating systems" in f.text for f in window.document.findings)


def test_file_of_a_system_is_opened_and_a_wrong_one_refused_in_a_sentence(sample, qtbot, told, tmp_path) -> None:
    page = page_of(sample)
    wrong = tmp_path / "wrong.json"
    wrong.write_text('{"schema": "takeoff-system/1", "id": "x"}')
    told.paths.append(wrong)
    qtbot.mouseClick(page.buttons["open"], LEFT)
    assert "wrong.json is not a coating system" in told.sentences[-1]
    mine = copy_under(load_system("demo-lime-foam"), "Sent by a colleague", ())
    path = save_own(mine)
    sent = tmp_path / "sent.json"
    sent.write_bytes(path.read_bytes())
    told.paths.append(sent)
    qtbot.mouseClick(page.buttons["open"], LEFT)
    assert "You already have a system with the id “sent-by-a-colleague”" in told.questions[-1]
    path.unlink()
    told.paths.append(sent)
    qtbot.mouseClick(page.buttons["open"], LEFT)
    assert page.choice.currentData() == "sent-by-a-colleague"
