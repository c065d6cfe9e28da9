"""A house of two storeys with piers, rooflights and open ways, and edits of it, one of each kind."""

from __future__ import annotations

from collections.abc import Callable

import msgspec

from takeoff.plan.model import (
    Behind,
    Field,
    Job,
    Opening,
    Plane,
    Reveal,
    Ring,
    Rooflight,
    Room,
    Side,
    Storey,
    Strip,
    WallTreatment,
    WallType,
)

replace = msgspec.structs.replace
Edit = Callable[[Job], Job]
Corners = list[tuple[float, float]]

BARE = WallTreatment(coat=False)
STRIP = Strip(depth_mm=120)
COATED = Reveal(start=STRIP, end=STRIP, head=STRIP)
THROUGH = Reveal(start=Strip(), end=Strip(coat=False), head=Strip())
"""An open way's strips span the wall; the jamb at its end is not coated."""


def room(name: str, x: float, y: float, wide: float = 4000, deep: float = 3000, pier: Corners | None = None) -> Room:
    corners = ((x, y), (x + wide, y), (x + wide, y + deep), (x, y + deep))
    inner = () if pier is None else (tuple(Side(id=f"p{k}", x_mm=a, y_mm=b) for k, (a, b) in enumerate(pier)),)
    outline = tuple(Side(id=f"s{k}", x_mm=a, y_mm=b) for k, (a, b) in enumerate(corners))
    return Room(id=name, name=name, outline=outline, inner=inner)


def house() -> Job:
    """Below: hall and kitchen with an open way between, a store with a pier, a porch run into the hall.
    Above: two rooms under a slope, a rooflight in each, one of them not sure."""
    pier = [(6000.0, 4500.0), (6000.0, 4800.0), (6500.0, 4800.0), (6500.0, 4500.0)]
    hall, kitchen = room("hall", 0, 0), room("kitchen", 4100, 0)
    store = room("store", 4100, 3100, pier=pier)
    porch = room("porch", 0, -2000, deep=2000)
    hall = sided(hall, 0, kind="open", open_to_mm=2100)
    porch = sided(porch, 2, kind="open", open_to_mm=2100)
    ground = Storey(
        id="ground", height_mm=2400, times=2, rooms=(hall, kitchen, store, porch),
        openings=(
            Opening(id="way", kind="open", room="hall", side="s1", offset_mm=500, width_mm=1000, sill_mm=0,
                    head_mm=2100, reveal=THROUGH),
            Opening(id="hatch", kind="window", room="store", side="p0", offset_mm=50, width_mm=200, sill_mm=1000,
                    head_mm=1500, reveal=COATED, reveal_beyond=COATED),
            Opening(id="door", kind="door", room="kitchen", side="s2", offset_mm=500, width_mm=900, sill_mm=0,
                    head_mm=2040, reveal=COATED, reveal_beyond=COATED, confidence="check"),
        ),
    )  # fmt: skip
    loft = replace(room("loft", 0, 0), ceiling=Field(planes=(Plane(z_mm=1500, slope_x=0.25),)))
    box = sided(room("box", 4100, 0), 0, treatment=WallTreatment(end_mm=600))  # its coat ends on the wall
    attic = Storey(
        id="attic", level_mm=2700, rooms=(sided(loft, 3, wall_type="board"), box),
        openings=(
            Opening(id="gable", kind="window", room="loft", side="s0", offset_mm=2000, width_mm=800, sill_mm=900,
                    head_mm=1900, reveal=COATED),
        ),
        rooflights=(light("l1", "loft", 1000, 1000), replace(light("l2", "box", 5000, 1000), confidence="check")),
    )  # fmt: skip
    return Job(storeys=(ground, attic), wall_types=(WallType(id="board", finish_a_mm=12.5),))


def light(name: str, of: str, x: float, y: float) -> Rooflight:
    return Rooflight(id=name, room=of, outline=rectangle(x, y, 600, 800), depth_mm=200)


def rectangle(x: float, y: float, wide: float, deep: float) -> Ring:
    return ((x, y, 0.0), (x + wide, y, 0.0), (x + wide, y + deep, 0.0), (x, y + deep, 0.0))


def sided(one: Room, k: int, **given: object) -> Room:
    return replace(one, outline=tuple(replace(s, **given) if i == k else s for i, s in enumerate(one.outline)))


def in_storey(name: str, change: Callable[[Storey], Storey]) -> Edit:
    def edit(job: Job) -> Job:
        return replace(job, storeys=tuple(change(s) if s.id == name else s for s in job.storeys))

    return edit


def in_room(storey: str, name: str, change: Callable[[Room], Room]) -> Edit:
    return in_storey(storey, lambda s: replace(s, rooms=tuple(change(r) if r.id == name else r for r in s.rooms)))


def in_opening(storey: str, name: str, **given: object) -> Edit:
    return in_storey(
        storey, lambda s: replace(s, openings=tuple(replace(o, **given) if o.id == name else o for o in s.openings))
    )


def in_light(name: str, **given: object) -> Edit:
    return in_storey(
        "attic",
        lambda s: replace(s, rooflights=tuple(replace(x, **given) if x.id == name else x for x in s.rooflights)),
    )


def _pier_moved(one: Room) -> Room:
    return replace(one, inner=(tuple(replace(s, x_mm=s.x_mm + 70) for s in one.inner[0]),))


def _without(name: str) -> Callable[[Storey], Storey]:
    def change(storey: Storey) -> Storey:
        return replace(
            storey,
            rooms=tuple(r for r in storey.rooms if r.id != name),
            openings=tuple(o for o in storey.openings if o.room != name),
            rooflights=tuple(x for x in storey.rooflights if x.room != name),
        )

    return change


def _with_dormer(storey: Storey) -> Storey:
    return replace(storey, rooflights=(*storey.rooflights, light("l3", "loft", 2500, 1000)))


BUILDING = ((-300.0, -2300.0, 0.0), (8400.0, -2300.0, 0.0), (8400.0, 6400.0, 0.0), (-300.0, 6400.0, 0.0))

EDITS: dict[str, Edit] = {
    "pier moved": in_room("ground", "store", _pier_moved),
    "pier gone": in_room("ground", "store", lambda r: replace(r, inner=())),
    "side of a pier not coated": in_room(
        "ground",
        "store",
        lambda r: replace(r, inner=((replace(r.inner[0][0], treatment=BARE), *r.inner[0][1:]),)),
    ),
    "hatch in a pier wider": in_opening("ground", "hatch", width_mm=150.0),
    "far reveal of the hatch deeper": in_opening(
        "ground", "hatch", reveal_beyond=Reveal(start=Strip(depth_mm=60), end=STRIP, head=STRIP)
    ),
    "rooflight larger": in_light("l1", outline=rectangle(900, 900, 700, 1000)),
    "rooflight deeper": in_light("l1", depth_mm=350.0),
    "rooflight not coated": in_light("l1", coat=False),
    "rooflight doubted": in_light("l1", confidence="question"),
    "rooflight made sure": in_light("l2", confidence="sure"),
    "rooflight in the other room": in_light(
        "l2", confidence="sure", room="loft", outline=rectangle(2500, 1500, 600, 800)
    ),
    "another rooflight": in_storey("attic", _with_dormer),
    "no rooflight": in_storey("attic", lambda s: replace(s, rooflights=())),
    "far room of the open way moved off": in_room(
        "ground", "kitchen", lambda r: replace(r, outline=tuple(replace(s, x_mm=s.x_mm + 140) for s in r.outline))
    ),
    "far room of the open way gone": in_storey("ground", _without("kitchen")),
    "far room's wall not coated": in_room("ground", "kitchen", lambda r: sided(r, 3, treatment=BARE)),
    "far room's floor raised": in_room("ground", "kitchen", lambda r: replace(r, floor_build_up_mm=80.0)),
    "far room's wall is open too": in_room("ground", "kitchen", lambda r: sided(r, 3, kind="open")),
    "open way moved": in_opening("ground", "way", offset_mm=900.0),
    "open way with a depth of its own": in_opening(
        "ground", "way", reveal=Reveal(start=Strip(depth_mm=30), end=Strip(depth_mm=40), head=Strip(depth_mm=50))
    ),
    "open way doubted": in_opening("ground", "way", confidence="check"),
    "door made sure": in_opening("ground", "door", confidence="sure"),
    "porch closed off": in_room("ground", "porch", lambda r: sided(r, 2, kind="wall")),
    "porch narrower": in_room("ground", "porch", lambda r: sided(sided(r, 1, x_mm=3000.0), 2, x_mm=3000.0)),
    "hall gone": in_storey("ground", _without("hall")),
    "lower storey higher": in_storey("ground", lambda s: replace(s, height_mm=2550.0)),
    "upper storey higher": in_storey("attic", lambda s: replace(s, height_mm=2300.0)),
    "lower storey once": in_storey("ground", lambda s: replace(s, times=1)),
    "building known": in_storey("ground", lambda s: replace(s, building=(BUILDING,))),
    "rooms of a storey turned round": in_storey("ground", lambda s: replace(s, rooms=s.rooms[::-1])),
    "storeys turned round": lambda job: replace(job, storeys=job.storeys[::-1]),
    "upper storey gone": lambda job: replace(job, storeys=job.storeys[:1]),
    "lower storey gone": lambda job: replace(job, storeys=job.storeys[1:]),
    "loft's ceiling flat": in_room("attic", "loft", lambda r: replace(r, ceiling=None)),
    "box twice": in_room("attic", "box", lambda r: replace(r, times=2)),
    "box named": in_room("attic", "box", lambda r: replace(r, name="Box room")),
    "neighbour behind the loft": in_room(
        "attic", "loft", lambda r: sided(r, 3, behind=(Behind(cls="neighbour", thickness_mm=215),))
    ),
    "another wall is boarded": in_room("attic", "box", lambda r: sided(r, 3, wall_type="board")),
    "the board is thicker": lambda job: replace(job, wall_types=(WallType(id="board", finish_a_mm=25.0),)),
    "old bead stays": lambda job: replace(job, bead_default="existing"),
    "coat is trimmed": lambda job: replace(job, coat_edge_default="trim"),
}  # fmt: skip
"""Edits by what they do; each gives a job that is measured otherwise than the house."""
