"""Quick parts as the window offers them: their dimensions, where they are clicked, how they would look."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Literal

import msgspec

from takeoff.errors import InputError
from takeoff.geometry.curves import Curve, Point
from takeoff.geometry.rings import ring_curves
from takeoff.language import mark, tr
from takeoff.plan import edits
from takeoff.plan.edits import outline_parts
from takeoff.plan.edits import part_edits as parts
from takeoff.plan.edits.part_edits import OnWall
from takeoff.plan.model import Job, Region, RegionId, Ring, Room, RoomId, SideId
from takeoff.plan.shape import curves_by_id, vertex_rings
from takeoff.units.printing import fmt2, shown

Where = Literal["corner", "wall", "on wall", "walls", "line", "slope", "ceiling"]
"""What is clicked: a corner, a wall, a place on a wall, two places on walls, two points, a slope, any ceiling."""

Values = Mapping[str, float | None]
"""Typed dimensions by key, mm; a choice is a number too."""


class Dimension(msgspec.Struct, frozen=True):
    """A length that is typed: ``usual_mm`` stands there first (common practice, no source); ``tip`` says
    what it is of, ``optional``: it may be left empty."""

    key: str
    word: str
    tip: str
    usual_mm: float | None
    optional: bool = False


class Choice(msgspec.Struct, frozen=True):
    """One of two ways, kept as 0 or 1."""

    key: str
    word: str
    tip: str
    ways: tuple[str, str]


class PartKind(msgspec.Struct, frozen=True):
    """A part: its name as a button and in "Place …", what to click, what is typed. ``by_middle``: a click
    means the middle of its width, and a length that is typed goes to its nearer edge."""

    id: str
    name: str
    said: str
    where: Where
    hint: str
    dimensions: tuple[Dimension, ...]
    choice: Choice | None = None
    by_middle: bool = False

    @property
    def usual(self) -> dict[str, float | None]:
        """What stands in its fields at first."""
        values: dict[str, float | None] = {d.key: d.usual_mm for d in self.dimensions}
        if self.choice is not None:
            values[self.choice.key] = 0.0
        return values


KINDS: tuple[PartKind, ...] = (
    PartKind(
        "boxing",
        mark("Boxing"),
        mark("boxing in a corner"),
        "corner",
        mark("Click the corner where the pipes are. Without a height it goes up to the ceiling."),
        (
            Dimension("along", mark("Width"), mark("Along the wall at the left of the corner"), 300.0),
            Dimension("deep", mark("Depth"), mark("Along the wall at the right of the corner"), 200.0),
            Dimension("height", mark("Height"), mark("Height above the floor; blank: up to the ceiling"), None, True),
        ),
    ),
    PartKind(
        "breast",
        mark("Chimney breast"),
        mark("a chimney breast"),
        "on wall",
        mark("Click the wall where its middle is. The alcoves lie beside it; you may type the width of the left one."),
        (
            Dimension("width", mark("Width"), mark("Width of the breast"), 1400.0),
            Dimension("deep", mark("Depth"), mark("How far it stands out from the wall"), 350.0),
            Dimension(
                "left",
                mark("Left alcove"),
                mark("Width of the alcove at the left as one stands before it; blank: where you click"),
                None,
                True,
            ),
        ),
        by_middle=True,
    ),
    PartKind(
        "units",
        mark("Fitted units"),
        mark("fitted units"),
        "walls",
        mark("Click where they begin and where they end, round a corner too. The wall behind them is not coated."),
        (
            Dimension("height", mark("Up to"), mark("Upper edge above the floor"), 900.0),
            Dimension("from", mark("From"), mark("Lower edge above the floor"), 0.0),
        ),
    ),
    PartKind(
        "tiles",
        mark("Tiles"),
        mark("tiles"),
        "wall",
        mark("Click the wall. Tiles are not coated."),
        (
            Dimension("height", mark("Up to"), mark("Upper edge above the floor"), 1200.0),
            Dimension("from", mark("From"), mark("Lower edge above the floor"), 0.0),
        ),
        Choice(
            "round", mark("Where"), mark("This wall, or all of its room"), (mark("This wall"), mark("Round the room"))
        ),
    ),
    PartKind(
        "bulkhead",
        mark("Bulkhead"),
        mark("a bulkhead"),
        "wall",
        mark("Click the wall under whose ceiling it runs: boxing round ducts and beams along a wall."),
        (
            Dimension("out", mark("Out"), mark("How far it stands out from the wall"), 300.0),
            Dimension("down", mark("Down"), mark("How far it comes down from the ceiling"), 250.0),
        ),
    ),
    PartKind(
        "dwarf",
        mark("Dwarf wall"),
        mark("a dwarf wall"),
        "line",
        mark("Click where it begins and where it ends, along its middle."),
        (
            Dimension("thick", mark("Thickness"), mark("Thickness of the wall"), 100.0),
            Dimension("height", mark("Height"), mark("Height above the floor"), 1000.0),
        ),
        Choice("capped", mark("Top"), mark("Whether its top is coated"), (mark("Coated"), mark("Capped, not coated"))),
    ),
    PartKind(
        "dormer",
        mark("Dormer"),
        mark("a dormer"),
        "slope",
        mark("Click the slope where its middle is. It goes back to where the slope is as high as its ceiling."),
        (
            Dimension("width", mark("Width"), mark("Width of the dormer inside"), 1500.0),
            Dimension("height", mark("Ceiling at"), mark("Height of its ceiling above the floor"), 2200.0),
            Dimension(
                "back",
                mark("Set back"),
                mark("How far its front stands in from the wall at the eaves; 0: the front is that wall"),
                0.0,
            ),
        ),
    ),
    PartKind(
        "soffit",
        mark("Stair soffit"),
        mark("a stair soffit"),
        "on wall",
        mark("Click the wall where its low end is. It rises up to the ceiling over its run."),
        (
            Dimension("width", mark("Width"), mark("Width of the stair"), 900.0),
            Dimension("run", mark("Run"), mark("How long it is in plan"), 3000.0),
            Dimension("low", mark("Low end"), mark("Height of its low end above the floor"), 0.0),
        ),
        Choice(
            "rises",
            mark("Rises"),
            mark("Which way, as one stands before the wall"),
            (mark("To the left"), mark("To the right")),
        ),
    ),
    PartKind(
        "rooflight",
        mark("Rooflight"),
        mark("a rooflight"),
        "ceiling",
        mark("Click the ceiling where its middle is. Select it afterwards to set its size, drag it or delete it."),
        (
            Dimension("width", mark("Width"), mark("Width of the opening, across the slope"), 780.0),
            Dimension("length", mark("Length"), mark("Length of the opening, up the slope"), 1180.0),
            Dimension("depth", mark("Shaft"), mark("Depth of its shaft, square to the ceiling; 0: none"), 300.0),
        ),
    ),
)


class Place(msgspec.Struct, frozen=True):
    """Where one points: a point, and where it is on a wall the side and how far along."""

    room: str
    at: Point
    side: str = ""
    along_mm: float = 0.0


def kind_of(name: str) -> PartKind:
    """The kind of part of that id. Raises KeyError for no such kind."""
    return next(kind for kind in KINDS if kind.id == name)


def placed(job: Job, kind: PartKind, values: Values, *places: Place) -> Job:
    """The job with the part at these places (two for units and dwarf walls). Raises InputError where it
    cannot stand there, or a dimension is missing."""
    for dimension in kind.dimensions:
        if values.get(dimension.key) is None and not dimension.optional:
            raise InputError(tr("Type a value for “{field}” first.", field=tr(dimension.word)))
    given = {key: value for key, value in values.items() if value is not None}
    if kind.where in ("walls", "line") and len(places) < 2:
        raise InputError(tr("Click where it ends too."))
    return _PLACED[kind.id](job, given, *places)


def _boxing(job: Job, v: Mapping[str, float], at: Place) -> Job:
    return outline_parts.box_corner(job, RoomId(at.room), SideId(at.side), v["along"], v["deep"], v.get("height"))


def _breast(job: Job, v: Mapping[str, float], at: Place) -> Job:
    length = edits.side_curve(job, RoomId(at.room), SideId(at.side))[1].length
    # one stands before a wall with its start at the right
    start = at.along_mm - v["width"] / 2.0 if "left" not in v else length - v["left"] - v["width"]
    if "left" in v and start < 0.0:
        both = fmt2((v["left"] + v["width"]) / 1000.0)
        raise InputError(
            tr(
                "Alcove and breast are {both} m wide and the wall {length} m: make one of them narrower.",
                both=both,
                length=shown(length / 1000.0),
            )
        )
    return outline_parts.chimney_breast(job, RoomId(at.room), SideId(at.side), start, v["width"], v["deep"])


def _units(job: Job, v: Mapping[str, float], start: Place, end: Place) -> Job:
    one, other = (OnWall(RoomId(p.room), SideId(p.side), p.along_mm) for p in (start, end))
    return parts.fitted_units(job, one, other, v["height"], v["from"])


def _tiles(job: Job, v: Mapping[str, float], at: Place) -> Job:
    room = edits.room_of(job, RoomId(at.room))
    sides = edits.all_sides(room) if v.get("round") else (SideId(at.side),)
    return parts.tile_walls(job, room.id, sides, v["height"], v["from"])


def _bulkhead(job: Job, v: Mapping[str, float], at: Place) -> Job:
    return parts.bulkhead(job, RoomId(at.room), SideId(at.side), v["out"], v["down"])


def _dwarf(job: Job, v: Mapping[str, float], start: Place, end: Place) -> Job:
    return parts.dwarf_wall(
        job, RoomId(start.room), start.at, end.at, v["thick"], v["height"], coat_top=not v.get("capped")
    )


def _dormer(job: Job, v: Mapping[str, float], at: Place) -> Job:
    return parts.dormer(job, RoomId(at.room), at.at, v["width"], v["height"], v["back"])


def _soffit(job: Job, v: Mapping[str, float], at: Place) -> Job:
    towards: Literal["start", "end"] = "start" if v.get("rises") else "end"
    return parts.stair_soffit(
        job, RoomId(at.room), SideId(at.side), at.along_mm, towards, v["width"], v["run"], v["low"]
    )


def _rooflight(job: Job, v: Mapping[str, float], at: Place) -> Job:
    return edits.place_rooflight(job, RoomId(at.room), at.at, v["width"], v["length"], v["depth"])


_PLACED: dict[str, Callable[..., Job]] = {
    "boxing": _boxing,
    "breast": _breast,
    "units": _units,
    "tiles": _tiles,
    "bulkhead": _bulkhead,
    "dwarf": _dwarf,
    "dormer": _dormer,
    "soffit": _soffit,
    "rooflight": _rooflight,
}


# How a part would look, and what parts a room has -------------------------------------------------


class Change(msgspec.Struct, frozen=True):
    """What an edit of a room makes new in its plan: ``rings`` of the room as it would be, outlines of
    ``regions`` and rooflights, and ``covered`` stretches of walls (mm along them)."""

    rings: tuple[Ring, ...] = ()
    regions: tuple[Ring, ...] = ()
    covered: tuple[tuple[Curve, float, float], ...] = ()


def change_of(before: Job, after: Job, room_id: str) -> Change:
    """What is new of a room after an edit; nothing where it did not change."""
    old, new = (edits.room_of(job, RoomId(room_id)) for job in (before, after))
    there = {light.id for storey in before.storeys for light in storey.rooflights}
    lights = tuple(light.outline for s in after.storeys for light in s.rooflights if light.id not in there)
    if old is new:
        return Change(regions=lights)
    known = {region.id for region in _regions(old)}
    rings: tuple[Ring, ...] = ()
    if vertex_rings(old) != vertex_rings(new):
        rings = vertex_rings(new)
    covered = []
    excluded, curves = {e.id for e in edits.wall_exclusions(old)}, curves_by_id(new)
    for side in new.sides:
        for exclusion in side.treatment.exclusions if side.treatment is not None else ():
            if exclusion.id not in excluded:
                us = [u for u, _, _ in exclusion.outline]
                covered.append((curves[side.id], min(us), max(us)))
    regions = tuple(r.outline for r in _regions(new) if r.id not in known)
    return Change(rings, (*regions, *lights), tuple(covered))


def _regions(room: Room) -> tuple[Region, ...]:
    return tuple(r for field in (room.ceiling, room.floor) if field is not None for r in field.regions)


class InRoom(msgspec.Struct, frozen=True):
    """A part that a room has: what it is with its size, and how it is found again."""

    room: str
    kind: Literal["region", "exclusion"]
    id: str
    words: str


def parts_in(room: Room) -> tuple[InRoom, ...]:
    """Every lowered or raised part of a room, then every part of its walls that is left out; what is a part
    of the outline (boxing up to the ceiling, a breast) is drawn and changed as walls are."""
    found = []
    for field, overhead in ((room.ceiling, True), (room.floor, False)):
        for region in field.regions if field is not None else ():
            other = tr("part of lower ceiling") if region.op == "lower" else tr("raised part")
            what = tr(region.what) if region.what else other
            size = _size(region.outline)
            found.append(
                InRoom(
                    str(room.id),
                    "region",
                    str(region.id),
                    f"{what}, {size}" if overhead else tr("{part}, {size} on the floor", part=what, size=size),
                )
            )
    for exclusion in edits.wall_exclusions(room):
        us, zs = ([v[k] for v in exclusion.outline] for k in (0, 1))
        size = f"{fmt2((max(us) - min(us)) / 1000.0)} × {fmt2((max(zs) - min(zs)) / 1000.0)} m"
        what = tr(exclusion.what) if exclusion.what else tr("masked")
        found.append(InRoom(str(room.id), "exclusion", exclusion.id, f"{what}, {size}"))
    return tuple(found)


def without(job: Job, part: InRoom) -> Job:
    """The job without that part. Raises InputError where it is gone already."""
    if part.kind == "region":
        return edits.remove_region(job, RoomId(part.room), RegionId(part.id))
    return edits.remove_exclusion(job, RoomId(part.room), part.id)


def _size(ring: Ring) -> str:
    """ "0.60 × 4.00 m" by the first two sides of an outline."""
    one, other = sorted(curve.length for curve in ring_curves(ring)[:2])
    return f"{fmt2(one / 1000.0)} × {fmt2(other / 1000.0)} m"
