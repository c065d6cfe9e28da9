"""A figure and each line of its dims lead to the places that they come from."""

from __future__ import annotations

from pathlib import Path

import pytest
import shapely

from takeoff.measure import Memory
from takeoff.services.opened.opening import open_file
from takeoff.sheets.printed_figures import room_groups
from takeoff.views.board import State, stand
from takeoff.views.figure_places import Traced, together, trace_dims, trace_figure
from takeoff.views.table_lines import ITEMS

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"


@pytest.fixture(scope="module")
def state() -> State:
    return stand(open_file(SAMPLE).job, Memory())


def area(rings) -> float:
    """m² of rings by even-odd."""
    shapes = [shapely.polygons(ring) for ring in rings]
    while len(shapes) > 1:
        shapes[:2] = [shapes[0].symmetric_difference(shapes[1])]
    return shapes[0].area / 1e6


def line_of(state: State, room: str, key: str, what: str):
    lines = room_groups(state.room(room).taken)[key].lines
    return next(line.of for line in lines if line.of is not None and what in line.of.what)


def test_every_line_of_the_sample_leads_somewhere(state) -> None:
    for _, room in state.rooms:
        for key, group in room_groups(state.room(room).taken).items():
            for line in group.lines:
                if line.of is not None:
                    assert not trace_dims(state, room, [line.of]).is_empty, (room, key, line)


@pytest.mark.parametrize("item", ITEMS, ids=lambda item: item.key)
def test_every_figure_of_the_table_leads_somewhere(state, item) -> None:
    for _, room in state.rooms:
        found = trace_figure(state, room, item.key)
        assert not (found.is_empty and state.room(room).figures[item.key]), room


def test_a_kind_of_coat_edge_lights_its_own_edges_alone(state) -> None:
    # the WC ends against what is kept and in corners; both together are all of its coat edge
    kinds = [trace_figure(state, "G3", f"coat_edge_by_kind_m.{kind}") for kind in ("open", "against", "corner")]
    assert [k.is_empty for k in kinds] == [True, False, False]
    assert kinds[1] != kinds[2]
    both = together(kinds)
    whole = trace_figure(state, "G3", "coat_edge_m")
    assert set(both.courses) == set(whole.courses)
    assert set(both.points) == set(whole.points)


def test_walls_of_a_room_are_its_coated_stretches_and_faces(state) -> None:
    found = trace_figure(state, "G2", "wall_net_m2")
    assert {s.side for s in found.stretches} == {f"G2-{k}" for k in range(1, 9)}
    assert {face.side for face in found.faces} == {f"G2-{k}" for k in range(1, 9)}
    assert found.room == "G2"
    net = sum(area(rings) for face in found.faces for rings in face.areas)
    assert net == pytest.approx(state.room("G2").taken.wall_net_m2, rel=1e-6)


def test_window_taken_off_a_wall_is_found_on_plan_and_face(state) -> None:
    found = trace_dims(state, "G2", [line_of(state, "G2", "openings_m2", "window W1")])
    assert found.openings == ("W1",)
    (face,) = found.faces
    assert face.side == "G2-1"
    ((ring,),) = face.areas
    us, zs = {u for u, _ in ring}, {z for _, z in ring}
    assert max(us) - min(us) == pytest.approx(1800.0)
    assert (min(zs), max(zs)) == pytest.approx((900.0, 2100.0))


def test_jambs_and_head_of_a_reveal_are_told_apart(state) -> None:
    jambs = trace_dims(state, "G2", [line_of(state, "G2", "reveal_m2", "jamb")])
    head = trace_dims(state, "G2", [line_of(state, "G2", "reveal_m2", "head")])
    assert len(jambs.faces[0].lines) == 2
    assert all(a[0] == b[0] for a, b in jambs.faces[0].lines)
    ((a, b),) = head.faces[0].lines
    assert a[1] == b[1] == pytest.approx(2100.0)


def test_bead_on_the_chimney_breast_stands_at_its_two_corners(state) -> None:
    dims = [
        line.of
        for line in room_groups(state.room("G2").taken)["bead_m"].lines
        if line.of is not None and line.of.where.startswith("G2-3")
    ]
    found = trace_dims(state, "G2", dims)
    assert set(found.points) == {(4450.0, 1300.0), (4450.0, 2700.0)}
    assert {face.side for face in found.faces} == {"G2-3", "G2-4", "G2-5"}


def test_slopes_of_the_attic_and_its_dormer_are_areas_of_the_plan(state) -> None:
    found = trace_figure(state, "A1", "ceiling_m2")
    light = 0.6 * 0.8
    plan = sum(area(rings) for rings in found.areas)
    assert plan == pytest.approx(state.room("A1").taken.floor_m2, abs=2 * light)
    assert len(found.areas) >= 4
    drops = trace_figure(state, "A1", "drop_m2")
    assert drops.courses
    assert not drops.areas


def test_floor_is_the_whole_outline(state) -> None:
    (rings,) = trace_figure(state, "G3", "floor_m2").areas
    assert area(rings) == pytest.approx(1.53)


def test_figures_of_several_rooms_light_the_plan_and_no_strip(state) -> None:
    both = together([trace_figure(state, room, "wall_net_m2") for room in ("G1", "G2")])
    assert {s.room for s in both.stretches} == {"G1", "G2"}
    assert both.faces == ()
    assert together([]).is_empty


def test_room_that_is_not_there_leads_nowhere(state) -> None:
    assert trace_figure(state, "nowhere", "bead_m") == Traced()
    assert trace_dims(state, "nowhere", ()) == Traced()
