"""Random rooms as plan types, each from a number: the same number always gives the same room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

import msgspec
from manifold3d import Manifold
from shapely.geometry import Polygon
from shapely.ops import unary_union
from solids_fields import ceiling_regions, field_of, floor_regions, pitched
from solids_outlines import grid, outline
from solids_void import INSIDE_MM, Frame, fields_of, frames_of, on_side, plan_polygon, room_void, side_box, sides_of

from takeoff.plan.model import (
    CeilingTreatment,
    Field,
    Job,
    Opening,
    OpeningId,
    Plane,
    Reveal,
    Room,
    RoomId,
    Side,
    SideId,
    Storey,
    StoreyId,
    Strip,
    WallTreatment,
)

FAMILIES = ("flat", "sloped", "stepped", "floors", "mixed")
STOREY_HEIGHT_MM = 2500.0
CLEAR_MM = 20.0
"""What an opening keeps from an edge of its wall that it does not touch."""
THICKEST_MM = 1000.0
"""A wall thicker than this is not looked through: an opening in it shows on one face."""
EMPTY_MM3 = 10.0


@dataclass(frozen=True)
class Case:
    """A room to compare, as a job for the engine and as a void without openings for the solids."""

    number: int
    family: str
    job: Job
    bare: Manifold

    @property
    def room(self) -> Room:
        return self.job.storeys[0].rooms[0]

    @property
    def recesses(self) -> tuple[Opening, ...]:
        """The openings as each face shows them: an opening through a pier shows on both its faces."""
        return (*self.openings, *(beyond for o in self.openings if (beyond := shown_beyond(self.room, o))))

    @property
    def openings(self) -> tuple[Opening, ...]:
        return self.job.storeys[0].openings


def room_of(points: Sequence[tuple[float, float]], ceiling: Field | None = None, floor: Field | None = None) -> Room:
    """The room "r" of these corners, its sides "s0", "s1" …"""
    sides = tuple(Side(id=SideId(f"s{i}"), x_mm=x, y_mm=y) for i, (x, y) in enumerate(points))
    return Room(id=RoomId("r"), outline=sides, ceiling=ceiling, floor=floor)


def random_case(number: int) -> Case:
    """The room with this number; its family is the number modulo the count of families."""
    rng = Random(number)
    family = FAMILIES[number % len(FAMILIES)]
    room = random_room(rng, family)
    bare = room_void(room, STOREY_HEIGHT_MM)
    openings = random_openings(rng, room, bare)
    storey = Storey(
        id=StoreyId("g"), height_mm=STOREY_HEIGHT_MM, height_source="typed", rooms=(room,), openings=openings
    )
    return Case(number, family, Job(storeys=(storey,)), bare)


def random_room(rng: Random, family: str) -> Room:
    kinds = {"stepped": ("straight", "straight", "chamfered", "oblique"), "flat": ("straight", "oblique")}
    ring, piers = outline(rng, rng.choice(kinds.get(family, ("straight", "chamfered", "oblique"))))
    plan = Polygon(ring, piers)
    counted = iter(range(100))
    bare = rng.random() < 0.25

    def sides(points: list[tuple[float, float]]) -> tuple[Side, ...]:
        return tuple(
            Side(id=SideId(f"s{next(counted)}"), x_mm=x, y_mm=y, treatment=random_treatment(rng, bare))
            for x, y in points
        )

    ceiling: Field | None = None
    floor: Field | None = None
    root = [Plane(z_mm=grid(rng, 2200, 3000))]
    if family == "sloped" or (family == "mixed" and rng.random() < 0.7):
        root = pitched(rng, ring, rng.choice(("mono", "ridge", "hip", "any")))
        ceiling = field_of(root)
    if family in ("stepped", "mixed"):
        ceiling = field_of(root, ceiling_regions(rng, plan, root, sloped=rng.random() < 0.5))
    if family == "floors" or (family == "mixed" and rng.random() < 0.5):
        ground = Plane(z_mm=0.0)
        if rng.random() < 0.15:
            ground = Plane(z_mm=-100.0, slope_x=rng.choice((-1, 1)) / 20, at_x_mm=ring[0][0])
        floor = field_of([ground], floor_regions(rng, plan, all_coated=rng.random() < 0.5))
    return Room(
        id=RoomId("r"),
        outline=sides(ring),
        inner=tuple(sides(pier) for pier in piers),
        ceiling=ceiling,
        floor=floor,
        floor_build_up_mm=rng.choice((0.0, 0.0, 0.0, 70.0)),
        ceiling_build_up_mm=rng.choice((0.0, 0.0, 0.0, 40.0)),
        ceiling_treatment=CeilingTreatment(coat=rng.random() > 0.1),
    )


def random_treatment(rng: Random, bare: bool) -> WallTreatment | None:
    """In a room with bare walls about every third side is not coated."""
    return WallTreatment(coat=False) if bare and rng.random() < 0.35 else None


def random_openings(rng: Random, room: Room, bare: Manifold) -> tuple[Opening, ...]:
    """Up to five openings that fit their walls, some touching floor, ceiling or a square corner."""
    made: list[Opening] = []
    recesses: list[Polygon] = []
    sides, frames = sides_of(room), frames_of(room)
    plan = plan_polygon(room)
    for i in range(rng.randint(0, 14)):
        k = rng.randrange(len(sides))
        if sides[k].treatment or len(made) == 5:
            continue
        opening, touches = random_opening(rng, f"o{i}", room, k)
        if opening is None:
            continue
        beyond = shown_beyond(room, opening)
        behind = THICKEST_MM if beyond is None else 0.0
        recess = recess_of(opening, frames[k], behind)
        if sill_at_coated_top(room, opening, frames[k]):
            continue
        if recess.intersects(unary_union([plan, *recesses])) or not fits(bare, opening, frames[k], touches):
            continue
        if beyond:
            if sides[[side.id for side in sides].index(beyond.side)].treatment:
                continue
            other = frames[[side.id for side in sides].index(beyond.side)]
            recess = unary_union([recess, recess_of(beyond, other, 0.0)])
            if not fits(bare, beyond, other, touches):
                continue
        made.append(opening)
        recesses.append(recess)
    return tuple(made)


def sill_at_coated_top(room: Room, opening: Opening, frame: Frame) -> bool:
    """True where a bare sill would run on level with the coated top of a seat: nobody builds that."""
    floor, _ = fields_of(room, STOREY_HEIGHT_MM)
    tops = [r for r in floor.regions if r.coat_face]
    u0, u1 = opening.offset_mm, opening.offset_mm + opening.width_mm
    front = Polygon([on_side(frame, u, o) for u, o in ((u0, -1.0), (u1, -1.0), (u1, 1.0), (u0, 1.0))])
    return any(
        opening.sill_mm == r.planes[0].z_mm + room.floor_build_up_mm
        and Polygon([(x, y) for x, y, _ in r.outline]).intersects(front)
        for r in tops
    )


def shown_beyond(room: Room, opening: Opening) -> Opening | None:
    """What an opening shows on the other face of its pier; None where its wall is not a thin pier."""
    for ring in room.inner:
        names = [side.id for side in ring]
        if opening.side in names and opening.reveal_beyond:
            beyond = ring[(names.index(opening.side) + 2) % 4]
            length = next(f[4] for s, f in zip(sides_of(room), frames_of(room), strict=True) if s is beyond)
            return msgspec.structs.replace(
                opening,
                id=OpeningId(f"{opening.id}-beyond"),
                side=beyond.id,
                offset_mm=length - opening.offset_mm - opening.width_mm,
                reveal=opening.reveal_beyond,
            )
    return None


def pier_thickness(room: Room, k: int) -> float | None:
    """How thick an upright rectangular pier is behind its side k; None for any other side."""
    frames, first = frames_of(room), len(room.outline)
    for ring in room.inner:
        if first <= k < first + len(ring):
            sides = frames[first : first + len(ring)]
            upright = len(ring) == 4 and all(min(abs(f[2]), abs(f[3])) == 0.0 for f in sides)
            return sides[(k - first + 1) % 4][4] if upright else None
        first += len(ring)
    return None


def random_opening(rng: Random, name: str, room: Room, k: int) -> tuple[Opening | None, frozenset[str]]:
    """An opening in side k, and what it is meant to touch; None where the side is too short."""
    frame = frames_of(room)[k]
    length, touches = frame[4], set()
    floors, ceilings = level_heights(room)
    if length < 500:
        return None, frozenset()
    start_free, end_free = square_ends(room, k)
    width = grid(rng, 300, min(2400, length - 2 * CLEAR_MM))
    offset = grid(rng, CLEAR_MM, max(CLEAR_MM, length - width - CLEAR_MM))
    if start_free and rng.random() < 0.25:
        offset, touches = 0.0, touches | {"start"}
    if end_free and rng.random() < 0.25:
        width, touches = length - offset, touches | {"end"}
    sill, head = grid(rng, 100, 1300), grid(rng, 1500, 2900)
    if floors and rng.random() < 0.4:
        sill, touches = rng.choice(floors), touches | {"floor"}
    if ceilings and rng.random() < 0.25:
        head, touches = rng.choice(ceilings), touches | {"ceiling"}
    depth, beyond = grid(rng, 50, 350), None
    thick = pier_thickness(room, k)
    if thick is not None and thick <= 500:
        depth = grid(rng, 50, thick - 100)
        other = Strip(depth_mm=grid(rng, 50, thick - 50 - depth))
        beyond = Reveal(start=other, end=other, head=other, sill=Strip(depth_mm=other.depth_mm, coat=False))
    coat_sill = "floor" not in touches and rng.random() < 0.5
    coated = Strip(depth_mm=depth)
    opening = Opening(
        id=OpeningId(name),
        kind=rng.choice(("window", "door")),
        room=room.id,
        side=sides_of(room)[k].id,
        offset_mm=offset,
        width_mm=width,
        sill_mm=sill,
        head_mm=head,
        reveal=Reveal(start=coated, end=coated, head=coated, sill=Strip(depth_mm=depth, coat=coat_sill)),
        reveal_beyond=beyond,
    )
    return opening, frozenset(touches)


def level_heights(room: Room) -> tuple[list[float], list[float]]:
    """Heights of the level floors without coat, and of the level ceilings, that an opening may touch."""
    floor, ceiling = fields_of(room, STOREY_HEIGHT_MM)
    bare = [region for region in floor.regions if not region.coat_face]
    floors = level(floor.planes) + [z for region in bare for z in level(region.planes)]
    ceilings = level(ceiling.planes) + [z for region in ceiling.regions for z in level(region.planes)]
    return ([z + room.floor_build_up_mm for z in floors], [z - room.ceiling_build_up_mm for z in ceilings])


def level(planes: tuple[Plane, ...]) -> list[float]:
    flat = len(planes) == 1 and planes[0].slope_x == planes[0].slope_y == 0
    return [planes[0].z_mm] if flat else []


def square_ends(room: Room, k: int) -> tuple[bool, bool]:
    """Whether an upright or level side ends in inner right angles, where a jamb can be flush."""
    frames = frames_of(room)
    first = 0
    for ring in (room.outline, *room.inner):
        if k < first + len(ring):
            break
        first += len(ring)
    before = frames[first + (k - first - 1) % len(ring)]
    after = frames[first + (k - first + 1) % len(ring)]

    def right_angle(a: Frame, b: Frame) -> bool:
        axis = min(abs(a[2]), abs(a[3])) == 0.0
        return axis and abs(a[2] * b[3] - a[3] * b[2] - 1) < 1e-12

    return right_angle(before, frames[k]), right_angle(frames[k], after)


def recess_of(opening: Opening, frame: Frame, behind_mm: float) -> Polygon:
    """The plan of an opening's recess with a little around it, just outside of the wall's face.

    ``behind_mm``: at least so much is wall, since a room nearer than that shows the opening too.
    """
    u0, u1 = opening.offset_mm - 2, opening.offset_mm + opening.width_mm + 2
    out = max(behind_mm, opening.reveal.start.depth_mm + 2)
    return Polygon([on_side(frame, u, o) for u, o in ((u0, out), (u1, out), (u1, 2.0), (u0, 2.0))])


def fits(bare: Manifold, opening: Opening, frame: Frame, touches: frozenset[str]) -> bool:
    """True where the void stands before all of the opening and, where it touches nothing, around it."""

    def margin(name: str) -> float:
        return 0.0 if name in touches else CLEAR_MM

    front = side_box(
        frame,
        (opening.offset_mm - margin("start"), opening.offset_mm + opening.width_mm + margin("end")),
        (-INSIDE_MM, -1.0),
        (opening.sill_mm - margin("floor"), opening.head_mm + margin("ceiling")),
    )
    tall = opening.head_mm - opening.sill_mm >= 300
    return bool(tall and (front - bare).volume() < EMPTY_MM3)
