"""The table of figures, and where a figure comes from on the plan and in the wall strip."""

from __future__ import annotations

from decimal import Decimal

import pytest
from PySide6.QtCore import QPoint, Qt

from takeoff.plan import edits
from takeoff.plan.model import StoreyId
from takeoff.ui.document import Ref
from takeoff.ui.panels.figures_table import FiguresPanel
from takeoff.views.table_lines import ITEMS

KEYS = [item.key for item in ITEMS]


@pytest.fixture
def panel(sample) -> FiguresPanel:
    sample.acts.do("figures")
    return sample.findChild(FiguresPanel)


def click_figure(qtbot, panel: FiguresPanel, name: str, key: str = "") -> None:
    """A click on a figure of the table; on the name of its room for no figure."""
    row = next(k for k, line in enumerate(panel.lines) if line.name == name)
    column = KEYS.index(key) + 1 if key else 0
    index = panel.table.rows.index(row, column)
    panel.table.scrollTo(index)
    spot = panel.table.visualRect(index).center()
    qtbot.mouseClick(panel.table.viewport(), Qt.MouseButton.LeftButton, pos=spot)


def test_table_comes_up_below_the_plan_and_goes_beside_it(sample, panel, qtbot) -> None:
    assert panel.isVisible()
    assert sample.acts.q("figures").isChecked()
    top = panel.mapTo(sample, QPoint(0, 0))
    assert top.y() > sample.plan.view.mapTo(sample, QPoint(0, 0)).y()
    qtbot.mouseClick(panel.place, Qt.MouseButton.LeftButton)
    beside = panel.mapTo(sample, QPoint(0, 0))
    assert beside.x() > top.x()
    assert panel.place.text() == "Below the plan"
    qtbot.mouseClick(panel.close_button, Qt.MouseButton.LeftButton)
    assert not panel.isVisible()
    assert not sample.acts.q("figures").isChecked()


def test_totals_are_those_of_the_foot_and_stay_while_rooms_scroll(sample, panel) -> None:
    cells = panel.totals.rows.rows[0].cells
    totals = sample.document.state.totals
    assert cells[0] == "Total"
    assert Decimal(cells[1]) == totals["coated_m2"]
    assert cells[1 + KEYS.index("bead_m")] == str(totals["bead_m"])
    assert panel.order.whole.startswith("To order: ")


def test_table_follows_every_edit_and_its_undoing(sample, panel) -> None:
    before = panel.lines
    sample.document.apply("Set height", lambda job: edits.set_storey_height(job, StoreyId("ground"), 2600.0))
    assert panel.lines != before
    assert panel.table.rows.rows[1].cells[1] == str(panel.lines[1].figures[0])
    sample.document.stack.undo()
    assert panel.lines == before


def test_click_on_a_head_sorts_the_rooms_of_each_storey(sample, panel, qtbot) -> None:
    as_they_were = [line.name for line in panel.lines]
    header = panel.table.horizontalHeader()
    at = QPoint(header.sectionViewportPosition(1) + 10, header.height() // 2)
    qtbot.mouseClick(header.viewport(), Qt.MouseButton.LeftButton, pos=at)
    ground = [line.figures[0] for line in panel.lines[1:6]]
    assert ground == sorted(ground, reverse=True)
    qtbot.mouseClick(header.viewport(), Qt.MouseButton.LeftButton, pos=at)
    assert [line.figures[0] for line in panel.lines[1:6]] == sorted(ground)
    qtbot.mouseClick(header.viewport(), Qt.MouseButton.LeftButton, pos=at)
    assert [line.name for line in panel.lines] == as_they_were


def test_click_on_a_figure_chooses_its_room_and_lights_its_places(sample, panel, qtbot) -> None:
    click_figure(qtbot, panel, "G2 Living room", "wall_net_m2")
    assert sample.document.choice == (Ref("room", "G2"),)
    lit = sample.plan.lit.traced
    assert {stretch.side for stretch in lit.stretches} == {f"G2-{k}" for k in range(1, 9)}
    assert len(sample.plan.lit) >= 8
    assert len(sample.strip.faces.lit) == 8
    assert panel.note.text() == "Walls, G2 Living room: 28.65 m²"


def test_click_on_a_storey_lights_the_figure_in_all_its_rooms(sample, panel, qtbot) -> None:
    click_figure(qtbot, panel, "Room in the roof", "ceiling_m2")
    assert sample.document.storey.id == "attic"
    assert len(sample.plan.lit.traced.areas) >= 5
    assert sample.strip.faces.lit == ()
    qtbot.mouseClick(
        panel.totals.viewport(),
        Qt.MouseButton.LeftButton,
        pos=panel.totals.visualRect(panel.totals.rows.index(0, 2)).center(),
    )
    assert {stretch.room for stretch in sample.plan.lit.traced.stretches} == {"A1", "A2"}


def test_click_on_a_name_chooses_the_room_and_lights_nothing(sample, panel, qtbot) -> None:
    click_figure(qtbot, panel, "G5 Kitchen")
    assert sample.document.choice == (Ref("room", "G5"),)
    assert sample.plan.lit.traced.is_empty


def test_room_chosen_on_the_plan_is_marked_in_the_table(sample, panel) -> None:
    sample.document.choose((Ref("room", "A1"),))
    assert panel.lines[panel.table.currentIndex().row()].id == "A1"
    sample.document.choose(())
    assert panel.table.selectionModel().selectedIndexes() == []


def test_figure_of_the_card_lights_up_and_goes_out_when_closed(sample, qtbot) -> None:
    sample.document.choose((Ref("room", "G2"),))
    bead = next(row for row in sample.card.rows if row.key == "bead_m")
    qtbot.mouseClick(bead, Qt.MouseButton.LeftButton)
    assert set(sample.plan.lit.traced.points) >= {(4450.0, 1300.0), (4450.0, 2700.0)}
    assert bead.property("part") == "lit"
    qtbot.mouseClick(bead, Qt.MouseButton.LeftButton)
    assert sample.plan.lit.traced.is_empty
    assert bead.property("part") == "lightable"


def test_single_line_of_the_dims_lights_only_its_own_place(sample, qtbot) -> None:
    sample.document.choose((Ref("room", "G2"),))
    walls = next(row for row in sample.card.rows if row.key == "wall_net_m2")
    walls.toggle()
    lines = walls.dims_lines()
    number = next(k for k, line in enumerate(walls.lines()) if line[0] == "− 1.800 × 1.200")
    qtbot.mouseClick(lines[number], Qt.MouseButton.LeftButton)
    assert sample.plan.lit.traced.openings == ("W1",)
    assert sample.plan.lit.traced.stretches == ()
    assert [face.side for face in sample.strip.faces.lit] == ["G2-1"]
    assert [k for k, line in enumerate(lines) if line.property("part") == "lit"] == [number]


def test_dims_are_reached_and_lit_with_the_keyboard(sample, qtbot) -> None:
    sample.document.choose((Ref("room", "G2"),))
    ceiling = next(row for row in sample.card.rows if row.key == "ceiling_m2")
    qtbot.keyClick(ceiling, Qt.Key.Key_Return)
    assert len(sample.plan.lit.traced.areas) == 1
    qtbot.keyClick(ceiling.dims_lines()[0], Qt.Key.Key_Space)
    assert ceiling.dims_lines()[0].property("part") == "lit"


def test_light_goes_out_when_something_else_is_chosen_or_on_escape(sample, panel, qtbot) -> None:
    click_figure(qtbot, panel, "G2 Living room", "wall_net_m2")
    sample.document.choose((Ref("room", "G1"),))
    assert sample.plan.lit.traced.is_empty
    click_figure(qtbot, panel, "G2 Living room", "wall_net_m2")
    qtbot.keyClick(sample.plan.view, Qt.Key.Key_Escape)
    assert sample.plan.lit.traced.is_empty
    assert sample.strip.faces.lit == ()


def test_light_stays_true_while_the_job_changes(sample, panel, qtbot) -> None:
    click_figure(qtbot, panel, "G2 Living room", "wall_net_m2")
    before = sample.strip.faces.lit
    sample.document.apply("Set height", lambda job: edits.set_storey_height(job, StoreyId("ground"), 2600.0))
    assert sample.strip.faces.lit != before
    assert len(sample.strip.faces.lit) == 8
    sample.document.stack.undo()
    assert sample.strip.faces.lit == before


def test_wall_and_window_have_cards_of_their_own(sample) -> None:
    sample.document.choose((Ref("side", "G2-1", "G2"),))
    sample.sides.show_page("card")
    assert sample.card.title.text() == "G2 Living room, wall A"
    assert "Behind it: outside" in sample.card.about.text()
    assert sample.card.figures()["Walls"] == sample.card.total.text()
    sample.document.choose((Ref("opening", "W1", "G2"),))
    sample.sides.show_page("card")
    assert sample.card.title.text() == "G2 Living room, window W1"
    assert sample.card.figures()["Reveals"] == "0.63 m²"
    assert sample.card.figures()["Deducted from the wall"] == "2.16 m²"


def test_faces_add_up_to_the_walls_of_their_room(sample) -> None:
    from takeoff.views.cards import side_card

    state = sample.document.state
    sides = [side.id for side in sample.document.job.storeys[0].rooms[1].outline]
    cards = [side_card(state, "G2", str(side), ()) for side in sides]
    total = sum(Decimal(card.total.split()[0]) for card in cards)
    assert abs(total - state.room("G2").figures["wall_net_m2"]) <= Decimal("0.05")


def test_empty_job_says_what_to_do_in_the_table(window) -> None:
    window.acts.do("figures")
    panel = window.findChild(FiguresPanel)
    assert "No room yet" in panel.note.text()
    assert not panel.table.isVisible()


def test_plan_and_strip_are_as_high_as_before_when_the_table_is_gone(sample) -> None:
    before = sample.middle.sizes()
    sample.acts.do("figures")
    assert sample.middle.sizes()[0] < before[0]
    sample.acts.do("figures")
    assert (sample.middle.sizes()[0], sample.middle.sizes()[-1]) == (before[0], before[-1])


def test_what_to_order_stands_at_the_foot_and_whole_in_its_tooltip(sample) -> None:
    packs = sample.totals.figures[-1]
    assert packs.text().endswith("packs, all materials")
    assert "21 packs of Demo lime foam coat" in packs.toolTip()
