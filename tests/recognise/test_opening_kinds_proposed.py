"""What bare ways through walls are proposed as, and how doors' leaves were drawn."""

from __future__ import annotations

import math
import sys
from pathlib import Path

import pytest
from drawn import Sheet, two_rooms

from takeoff.plan.model import Opening, Swing
from takeoff.plan.opening_groups import opening_groups
from takeoff.readers.dxf import read
from takeoff.recognise import propose
from takeoff.recognise.presets import Settings
from takeoff.recognise.units import decide

CHECKOUT = Path(__file__).parents[2]
HOUSE = CHECKOUT.parent / "shared" / "plans" / "house" / "ground.dxf"


PLAIN = Settings()


def openings(sheet: Sheet, settings: Settings = PLAIN) -> list[Opening]:
    return list(propose(sheet.drawing(), settings)[0].storeys[0].openings)


def closed_rooms() -> Sheet:
    """4000 × 3000 and 3000 × 3000 within walls of 300, a wall of 100 between them that is drawn through."""
    sheet = Sheet().box(-300, -300, 7400, 3300).box(0, 0, 4000, 3000).box(4100, 0, 7100, 3000)
    return sheet.word("Bed", 2000, 1500).word("Bath", 5600, 1500)


def jambs(sheet: Sheet, x: float, width: float) -> Sheet:
    """Two lines across the lower outside wall."""
    return sheet.line(x, -300, x, 0).line(x + width, -300, x + width, 0)


def inside_jambs(sheet: Sheet, y: float, width: float) -> Sheet:
    """Two lines across the wall between the rooms."""
    return sheet.line(4000, y, 4100, y).line(4000, y + width, 4100, y + width)


def test_a_bare_way_in_an_outside_wall_is_proposed_as_a_window_and_stays_in_question() -> None:
    (way,) = openings(jambs(closed_rooms(), 1000, 680))
    assert (way.kind, way.confidence, way.sill_mm, way.head_mm) == ("window", "question", 900, 2100)
    assert (way.sill_source, way.head_source) == ("assumed", "assumed")
    assert (way.reveal.start.depth_mm, way.reveal.start.depth_source) == (150, "assumed")
    assert way.evidence[-1] == "in an outside wall and without a leaf: proposed as a window"
    given = Settings(window_sill_mm=1000.0, given=frozenset({"window_sill_mm"}))
    (way,) = openings(jambs(closed_rooms(), 1000, 680), given)
    assert (way.sill_mm, way.sill_source) == (1000, "typed")


def test_between_rooms_width_and_other_doors_tell_doors_from_doorways() -> None:
    (way,) = openings(inside_jambs(closed_rooms(), 1000, 900))
    assert (way.kind, way.confidence) == ("door", "question")
    (way,) = openings(inside_jambs(closed_rooms(), 1000, 1600))
    assert (way.kind, way.confidence) == ("open", "question")
    swung = inside_jambs(two_rooms(), 2200, 700)
    kinds = {o.confidence: o.kind for o in openings(swung)}
    assert kinds == {"sure": "door", "question": "open"}


def test_a_mark_says_what_a_way_is() -> None:
    sheet = jambs(closed_rooms(), 1000, 1000).word("D4", 1500, -600, "A-DOOR-IDEN")
    (way,) = openings(sheet)
    assert (way.kind, way.confidence, way.mark, way.sill_mm) == ("door", "question", "D4", 0)
    assert way.evidence[-1] == "its mark is D4: proposed as a door"


def test_a_way_as_wide_as_a_door_in_such_a_wall_is_proposed_as_one() -> None:
    sheet = closed_rooms().line(2000, 3000, 2000, 3300).line(2905, 3000, 2905, 3300)
    sheet.line(500, -300, 500, 0).line(1400, -300, 1400, 0)
    sheet.line(500, 0, 500, 900, "A-DOOR")
    sheet.arcs.append((1400, 0, 500, 900, math.tan(math.pi / 8), "A-DOOR"))
    found = sorted(openings(sheet), key=lambda o: o.width_mm)
    assert [(o.kind, o.confidence) for o in found] == [("door", "sure"), ("door", "question")]
    assert found[1].evidence[-1] == "as wide as a door in the same sort of wall: proposed as a door"


def with_bare_gap(leaves: int) -> Sheet:
    """Two rooms 4000 wide with gaps of 900 in the wall of 100 between them, 300 apart, the last without a leaf: with
    three leaves they are as long as four gaps and five pieces of wall, 5100."""
    long = 1200 * (leaves + 1) + 300
    sheet = Sheet().box(-300, -300, 8400, long + 300).box(0, 0, 4000, long).box(4100, 0, 8100, long)
    sheet.segments = [s for s in sheet.segments if s[0] != s[2] or s[0] not in (4000, 4100)]
    for k in range(leaves + 2):
        low = 1200 * k
        sheet.box(4000, low, 4100, low + 300)
        if k < leaves:
            leaf(sheet, low + 300, low + 1200, into_kitchen=True)
    return sheet.word("Bed", 2000, 1500).word("Bath", 6000, 1500)


@pytest.mark.parametrize(("leaves", "kind"), [(3, "open"), (1, "door")])
def test_a_plan_that_draws_its_leaves_has_no_door_where_it_draws_none(leaves: int, kind: str) -> None:
    """One leaf alone may stand for those of all doors."""
    found = sorted(openings(with_bare_gap(leaves)), key=lambda o: o.confidence)
    assert [(o.kind, o.confidence) for o in found] == [(kind, "check"), *[("door", "sure")] * leaves]
    assert {round(o.width_mm) for o in found} == {900}


@pytest.mark.parametrize(("leaves", "kind"), [(3, "window"), (1, "door")])
def test_a_bare_gap_to_outside_is_no_door_in_a_plan_that_draws_its_leaves(leaves: int, kind: str) -> None:
    """The wall between the rooms with its leaves, and the lower wall of the first room with two gaps of 900: one has a
    leaf, the other nothing."""
    sheet = with_bare_gap(leaves)
    sheet.segments = [s for s in sheet.segments if not (s[1] == s[3] in (-300, 0) and {s[0], s[2]} != {4000, 4100})]
    for y, (x0, x1) in ((-300, (-300, 8400)), (0, (0, 4000))):
        for a, b in ((x0, 800), (1700, 2200), (3100, x1)):
            sheet.line(a, y, b, y)
    sheet.line(4100, 0, 8100, 0)
    for x in (800, 1700, 2200, 3100):
        sheet.line(x, -300, x, 0)
    sheet.line(800, 0, 800, 900, "A-DOOR")
    sheet.arcs.append((1700, 0, 800, 900, math.tan(math.pi / 8), "A-DOOR"))
    below = [o for o in openings(sheet) if o.offset_mm in (800.0, 2200.0) and o.width_mm == 900.0]
    assert sorted((o.kind, o.confidence) for o in below) == sorted([("door", "sure"), (kind, "check")])


@pytest.mark.parametrize(("wide", "told"), [(320.0, ("open", "question")), (500.0, ("window", "check"))])
def test_a_bare_gap_narrower_than_windows_is_in_question(wide: float, told: tuple[str, str]) -> None:
    sheet = two_rooms()
    sheet.segments = [s for s in sheet.segments if not (s[1] == s[3] in (-300, 0) and s[0] in (-300, 0))]
    for y, x0, x1 in ((-300, -300, 7400), (0, 0, 4000)):
        sheet.line(x0, y, 1000, y).line(1000 + wide, y, x1, y)
    sheet.line(1000, -300, 1000, 0).line(1000 + wide, -300, 1000 + wide, 0)
    assert [(o.kind, o.confidence) for o in openings(sheet) if o.kind != "door"] == [told]


def hung(hinge_y: float, shut_y: float, into_kitchen: bool) -> Sheet:
    """The gap of 900 from y 1000 to 1900 between the rooms, with leaves on it."""
    sheet = two_rooms(door=False)
    leaf(sheet, hinge_y, shut_y, into_kitchen)
    return sheet


def leaf(sheet: Sheet, hinge_y: float, shut_y: float, into_kitchen: bool) -> None:
    x, way = (4000, -1) if into_kitchen else (4100, 1)
    length = abs(shut_y - hinge_y)
    sheet.line(x, hinge_y, x + way * length, hinge_y, "A-DOOR")
    ends = (x, shut_y), (x + way * length, hinge_y)
    turn = (ends[0][0] - x) * (ends[1][1] - hinge_y) - (ends[0][1] - hinge_y) * (ends[1][0] - x)
    bulge = math.copysign(math.tan(math.pi / 8), turn)
    sheet.arcs.append((*ends[0], *ends[1], bulge, "A-DOOR"))


@pytest.mark.parametrize("hinge_low", [True, False])
@pytest.mark.parametrize("into_kitchen", [True, False])
def test_a_leaf_is_kept_with_its_hinge_and_the_room_it_opens_into(hinge_low: bool, into_kitchen: bool) -> None:
    """The kitchen hosts; its sides run anticlockwise, so the one at x 4000 runs up."""
    ends = (1000, 1900) if hinge_low else (1900, 1000)
    (door,) = openings(hung(*ends, into_kitchen))
    host_is_kitchen = door.room == "r1"
    start_is_low = host_is_kitchen
    assert door.kind == "door"
    assert door.swings == (
        Swing(
            hinge="start" if hinge_low == start_is_low else "end",
            into="host" if into_kitchen == host_is_kitchen else "beyond",
            leaf_mm=900.0,
        ),
    )


def test_two_leaves_hang_one_on_each_jamb() -> None:
    sheet = two_rooms(door=False)
    leaf(sheet, 1000, 1450, True)
    leaf(sheet, 1900, 1450, True)
    (door,) = openings(sheet)
    into = "host" if door.room == "r1" else "beyond"
    assert door.swings == tuple(Swing(hinge=hinge, into=into, leaf_mm=450.0) for hinge in ("start", "end"))


@pytest.mark.parametrize(("wide", "leaves"), [(425.0, 2), (350.0, 0)])
def test_halves_of_a_door_are_narrower_than_its_leaf_alone_would_be(wide: float, leaves: int) -> None:
    """The gap is 850 or 700 wide; below 760 two halves are rather the doors of a cupboard."""
    sheet = two_rooms(door=False)
    end = 1000.0 + 2 * wide
    sheet.segments = [
        (x0, end if y0 == 1900 else y0, x1, end if y1 == 1900 else y1, n) for x0, y0, x1, y1, n in sheet.segments
    ]
    leaf(sheet, 1000, 1000 + wide, True)
    leaf(sheet, end, 1000 + wide, True)
    (way,) = openings(sheet)
    assert [swing.leaf_mm for swing in way.swings] == [wide] * leaves


def test_a_door_without_a_drawn_swing_has_none() -> None:
    sheet = two_rooms(door=False).box(4020, 1000, 4080, 1900, layer="A-DOOR")
    (door,) = openings(sheet)
    assert (door.kind, door.swings) == ("door", ())


@pytest.mark.parametrize("name", ["terrace_ground", "terrace_first", "loft", "flat_feet"])
def test_leaves_of_the_sample_plans_are_read_as_they_were_drawn(name: str) -> None:
    """Where the tip of each leaf is drawn is known from how the sample was made."""
    sys.path.insert(0, str(CHECKOUT / "sample_plans"))
    import plans

    sketch = {
        "terrace_ground": plans.GROUND,
        "terrace_first": plans.FIRST,
        "loft": plans.LOFT,
        "flat_feet": plans.FLAT,
    }[name]
    drawing, _ = decide(read(CHECKOUT / "sample_plans" / f"{name}.dxf")[0])
    storey = propose(drawing)[0].storeys[0]
    per = drawing.unit_mm
    rooms = {room.id: room for room in storey.rooms}
    tips = []
    for opening in storey.openings:
        for swing in opening.swings:
            tips.append(_tip(opening, swing, rooms[opening.room]))
    wanted = [_drawn_tip(hole, per) for hole in sketch.holes if hole.kind == "door"]
    assert len(tips) == len(wanted)
    for tip in wanted:
        assert min(math.dist(tip, other) for other in tips) < 400.0, tip


def _tip(opening: Opening, swing: Swing, room: object) -> tuple[float, float]:
    from takeoff.plan.shape import curves_by_id

    curve = curves_by_id(room)[opening.side]  # type: ignore[arg-type]
    at = opening.offset_mm + (0.0 if swing.hinge == "start" else opening.width_mm)
    (x, y), (dx, dy) = curve.at(at), curve.direction(at)
    way = swing.leaf_mm if swing.into == "host" else -swing.leaf_mm
    return x - dy * way, y + dx * way


def _drawn_tip(hole: object, per: float) -> tuple[float, float]:
    h = hole
    low, high = h.hinge == "low", h.swing == "high"  # type: ignore[attr-defined]
    if h.along == "x":  # type: ignore[attr-defined]
        x = h.x0 if low else h.x1  # type: ignore[attr-defined]
        y = h.y1 + h.width if high else h.y0 - h.width  # type: ignore[attr-defined]
    else:
        x = h.x1 + h.width if high else h.x0 - h.width  # type: ignore[attr-defined]
        y = h.y0 if low else h.y1  # type: ignore[attr-defined]
    return x * per, y * per


def test_ground_floor_of_a_real_house_is_asked_in_groups() -> None:
    if not HOUSE.exists():
        pytest.skip(f"{HOUSE} is not there")
    job = propose(decide(read(HOUSE)[0])[0])[0]
    assert {o.confidence for o in job.storeys[0].openings} == {"question"}
    groups = opening_groups(job)
    assert sum(len(group.openings) for group in groups) == 18
    assert [(len(g.openings), g.kind, g.wall) for g in groups] == [
        (5, "window", "outside"), (2, "window", "outside"), (2, "window", "outside"), (1, "window", "outside"),
        (1, "window", "outside"), (1, "window", "outside"), (2, "open", "inside"), (1, "open", "inside"),
        (2, "door", "inside"), (1, "door", "inside"),
    ]  # fmt: skip
    assert groups[0].words == "5 openings, 0.62 to 0.68 m wide, in outside walls"
