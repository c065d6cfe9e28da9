"""A room looked at: what is cut away, what is hidden, where bead shows, what a click hits."""

from __future__ import annotations

from pathlib import Path

import pytest

from takeoff.geometry.seen import View, holds_point
from takeoff.measure import Memory
from takeoff.plan import edits
from takeoff.plan.model import Job, RoomId, SideId
from takeoff.storage.jobs import load
from takeoff.views.board import State, stand
from takeoff.views.room_seen import Area, Look, Mark, room_look

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"
ABOVE, BELOW = View(-60.0, 30.0), View(-60.0, -30.0)


@pytest.fixture(scope="module")
def state() -> State:
    return stand(load(SAMPLE.read_bytes(), SAMPLE.name), Memory())


def look(state: State, room: str) -> Look:
    found = room_look(state, room)
    assert found is not None
    return found


def seen(a_look: Look, view: View) -> set[str]:
    return {shape.surface for shape in a_look.picture(view) if isinstance(shape, Area)}


def test_from_above_the_floor_is_seen_and_from_below_the_ceiling(state):
    hall = look(state, "G1")
    assert "floor" in seen(hall, ABOVE)
    assert "ceiling" not in seen(hall, ABOVE)
    assert "ceiling" in seen(hall, BELOW)
    assert "floor" not in seen(hall, BELOW)


def test_walls_between_the_eye_and_the_room_are_cut_away(state):
    hall = look(state, "G1")
    # from the lower edge of the plan the wall at y 0 is nearest
    from_below = seen(hall, View(-90.0, 30.0))
    assert "G1-3" in from_below
    assert "G1-1" not in from_below
    assert "G1-1" in seen(hall, View(90.0, 30.0))
    marks = [m for m in hall.picture(View(-90.0, 30.0)) if isinstance(m, Mark)]
    ghosts = {m.surface for m in marks if m.stroke == "ghost"}
    assert "G1-1" in ghosts


def test_reveals_and_bead_of_a_wall_that_is_cut_away_are_not_left_hanging(state):
    living = look(state, "G2")
    # its window is in G2-1, at y 0
    shown = living.picture(View(-90.0, 30.0))
    assert not [s for s in shown if isinstance(s, Area) and s.opening == "W1"]
    beads = [s for s in shown if isinstance(s, Mark) and s.stroke == "bead"]
    from_behind = living.picture(View(90.0, 30.0))
    # its head looks down: it is seen from below
    assert "W1.head" in seen(living, View(90.0, -30.0))
    assert {s.surface for s in from_behind if isinstance(s, Area) and s.opening == "W1"} >= {"W1", "W1.sill"}
    at_window = [s for s in from_behind if isinstance(s, Mark) and s.stroke == "bead" and "W1" in s.surface]
    assert at_window
    assert not [s for s in beads if "W1" in s.surface]


def test_rooflight_in_a_slope_that_is_not_seen_leaves_no_bead(state):
    attic = look(state, "A1")
    (light,) = (light for storey in state.job.storeys for light in storey.rooflights)
    ox, oy = attic.solid.origin
    x, y = (sum(v[k] for v in light.outline) / len(light.outline) for k in (0, 1))

    def beads(view: View) -> int:
        """Those that are seen within a metre of the rooflight."""
        plane = 1200.0 + (y - 1200.0)
        cx, cy, cz = attic.centre
        ((px, py),) = view.flat([(x - ox - cx, y - oy - cy, plane - cz)])
        return sum(
            1
            for s in attic.picture(view)
            if isinstance(s, Mark)
            and s.stroke == "bead"
            and all(abs(qx - px) < 1000.0 and abs(qy - py) < 1000.0 for qx, qy in s.points)
        )

    # its slope looks away from an eye at the lower edge of the plan, above it
    assert beads(View(-90.0, 30.0)) == 0
    assert beads(View(90.0, -30.0)) >= 4


def test_breast_hides_the_alcove_behind_it(state):
    living = look(state, "G2")
    # the breast stands at x 4.45 between two alcoves whose backs are G2-3 … G2-7; seen along y
    # from the low end, its cheek at y 1300 stands before the upper alcove
    view = View(-95.0, 20.0)
    shapes = [s for s in living.picture(view) if isinstance(s, Area)]
    breast = [k for k, s in enumerate(shapes) if s.surface == "G2-3"]
    behind = [k for k, s in enumerate(shapes) if s.surface == "G2-7"]
    assert breast
    assert behind
    assert min(breast) > max(behind)


def test_click_hits_what_is_nearest(state):
    living = look(state, "G2")
    view = View(90.0, 25.0)
    pane = next(s for s in living.picture(view) if isinstance(s, Area) and s.surface == "W1")
    x, y = (sum(p[k] for p in pane.points) / len(pane.points) for k in (0, 1))
    assert holds_point(pane.points, x, y)
    hit = living.at(view, x, y)
    assert hit is not None
    assert hit.opening == "W1"
    assert living.at(view, living.reach_mm * 3.0, 0.0) is None


def test_key_names_only_what_the_room_has(state):
    assert look(state, "A1").key == ("coat", "bead")
    bare = stand(_bare(state.job), Memory())
    assert look(bare, "G1").key == ("bare",)


def _bare(job: Job) -> Job:
    room = edits.room_of(job, RoomId("G1"))
    job = edits.coat_sides(job, {room.id: edits.all_sides(room)}, False)
    return edits.coat_ceilings(job, [room.id], False)


def test_room_that_is_not_there_has_no_look(state):
    assert room_look(state, "nowhere") is None
    gone = edits.remove_room(state.job, RoomId("G1"))
    assert room_look(stand(gone, Memory()), "G1") is None


def test_tall_units_stay_bare_on_their_wall(state):
    from takeoff.plan.edits import part_edits as parts

    room = RoomId("G1")
    curve = edits.side_curve(state.job, room, SideId("G1-4"))[1]
    start, end = (parts.OnWall(room, SideId("G1-4"), curve.where(0.0, y)[0]) for y in (1000.0, 3000.0))
    fitted = stand(parts.fitted_units(state.job, start, end, 2000.0), Memory())
    areas = [s for s in look(fitted, "G1").picture(View(0.0, 30.0)) if isinstance(s, Area)]
    assert {s.fill for s in areas if s.surface == "G1-4"} >= {"coat", "left_on"}
