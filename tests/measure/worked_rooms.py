"""The rooms worked by hand, as jobs: what the notes on measuring call A, A2, A3, B, C, D, E and F.

Two more stand beside them for what those leave out: G with a pier, a rooflight, an arch and a round
window; H with two rooms, an open way and a door between them, and an opening that is not sure.
"""

from __future__ import annotations

from typing import Any

from takeoff.plan.model import (
    Band,
    Border,
    CeilingTreatment,
    Field,
    Job,
    Opening,
    Plane,
    Region,
    Reveal,
    Ring,
    Rooflight,
    Room,
    Side,
    Storey,
    Strip,
    WallTreatment,
)

Points = list[tuple[float, float]]
L_SHAPE: Points = [(0, 0), (5000, 0), (5000, 2000), (3000, 2000), (3000, 4000), (0, 4000)]


def box(width: float, depth: float) -> Points:
    return [(0, 0), (width, 0), (width, depth), (0, depth)]


def ring(points: Points) -> Ring:
    return tuple((x, y, 0.0) for x, y in points)


def sides(
    points: Points, bulges: dict[int, float] | None = None, treated: dict[int, WallTreatment] | None = None
) -> tuple[Side, ...]:
    return tuple(
        Side(id=f"s{i}", x_mm=x, y_mm=y, bulge=(bulges or {}).get(i, 0.0), treatment=(treated or {}).get(i))
        for i, (x, y) in enumerate(points)
    )


def flat(z_mm: float) -> Field:
    return Field(planes=(Plane(z_mm=z_mm),))


def opening(
    name: str,
    kind: Any,
    side: str,
    offset: float,
    width: float,
    sill: float,
    head: float,
    depth: float,
    coated: str = "jambs head",
) -> Opening:
    def strip(part: str) -> Strip:
        return Strip(depth_mm=depth, coat=part in coated)

    reveal = Reveal(start=strip("jambs"), end=strip("jambs"), head=strip("head"), sill=strip("sill"))
    return Opening(
        id=name,
        kind=kind,
        room="R",
        side=side,
        offset_mm=offset,
        width_mm=width,
        sill_mm=sill,
        head_mm=head,
        reveal=reveal,
    )


def job_of(outline: tuple[Side, ...], *openings: Opening, **room: Any) -> Job:
    """One room "R" on one storey."""
    storey = Storey(id="g", rooms=(Room(id="R", outline=outline, **room),), openings=openings)
    return Job(storeys=(storey,))


WINDOW = opening("w", "window", "s0", 1000, 1200, 900, 2100, 150)
DOOR = opening("d", "door", "s5", 500, 900, 0, 2040, 100)
SILLED = opening("w", "window", "s0", 1000, 1200, 900, 2100, 150, "jambs head sill")
SKIRTING_AND_COVING = (Band(edge="bottom", to_mm=120, into_reveals=True), Band(edge="top", to_mm=100, what="coving"))
RETURNS = {1: WallTreatment(start_mm=600), 2: WallTreatment(coat=False), 3: WallTreatment(end_mm=600)}
ROOF = Field(planes=(Plane(z_mm=1200, slope_x=1), Plane(z_mm=5200, slope_x=-1), Plane(z_mm=2400)))
BULKHEAD = Region(
    id="b", op="lower", planes=(Plane(z_mm=2100),), outline=ring([(0, 2400), (4000, 2400), (4000, 3000), (0, 3000)])
)
DORMER = Region(
    id="d", op="raise", planes=(Plane(z_mm=2300),), outline=ring([(500, 1000), (4000, 1000), (4000, 2500), (500, 2500)])
)
DWARF = Region(
    id="f",
    op="raise",
    planes=(Plane(z_mm=900),),
    coat_sides=True,
    coat_face=True,
    outline=ring([(1000, 2000), (4000, 2000), (4000, 2100), (1000, 2100)]),
)


def pier_and_lights() -> Job:
    """G: a pier with a hatch through it, a rooflight in a slope, a splayed arch and a round window."""
    pier = sides([(2000, 1500), (2000, 1800), (2600, 1800), (2600, 1500)])
    pier = tuple(Side(id=f"p{k}", x_mm=s.x_mm, y_mm=s.y_mm) for k, s in enumerate(pier))
    strip = Strip(depth_mm=150)
    splayed = Reveal(start=strip, end=strip, head=strip, splay_deg=20)
    arch = Opening(
        id="arch",
        kind="window",
        room="R",
        side="s0",
        offset_mm=1000,
        width_mm=1200,
        sill_mm=800,
        head_mm=2000,
        shape="segmental",
        rise_mm=200,
        reveal=splayed,
        mark="W1",
    )
    eye = Opening(
        id="eye",
        kind="window",
        room="R",
        side="s1",
        offset_mm=1000,
        width_mm=600,
        sill_mm=1200,
        head_mm=1800,
        shape="round",
        reveal=Reveal(start=strip, end=strip, head=strip),
    )
    hatch = Opening(
        id="hatch",
        kind="door",
        room="R",
        side="p0",
        offset_mm=50,
        width_mm=200,
        sill_mm=0,
        head_mm=1900,
        reveal=Reveal(start=strip, end=strip, head=strip),
    )
    light = Rooflight(
        id="light", room="R", outline=ring([(3000, 500), (3600, 500), (3600, 1300), (3000, 1300)]), depth_mm=250
    )
    room = Room(
        id="R",
        name="Studio",
        outline=sides(box(5000, 3000)),
        inner=(pier,),
        times=2,
        ceiling=Field(planes=(Plane(z_mm=2200, slope_x=0.25),)),
    )
    return Job(storeys=(Storey(id="g", rooms=(room,), openings=(arch, eye, hatch), rooflights=(light,)),))  # fmt: skip


def two_rooms() -> Job:
    """H: a hall and a kitchen behind a wall of 120 mm; an open way, a door seen from both, one in question."""
    there = Reveal(start=Strip(depth_mm=40), end=Strip(depth_mm=40), head=Strip(depth_mm=40))
    way = Opening(
        id="way",
        kind="open",
        room="hall",
        side="s1",
        offset_mm=300,
        width_mm=1000,
        sill_mm=0,
        head_mm=2100,
        reveal=Reveal(start=Strip(), end=Strip(coat=False), head=Strip()),
    )
    door = Opening(
        id="door",
        kind="door",
        room="hall",
        side="s1",
        offset_mm=1700,
        width_mm=900,
        sill_mm=0,
        head_mm=2040,
        reveal=there,
        reveal_beyond=there,
        mark="D1",
    )
    doubt = Opening(
        id="doubt",
        kind="window",
        room="kitchen",
        side="s1",
        offset_mm=500,
        width_mm=800,
        sill_mm=900,
        head_mm=2100,
        reveal=there,
        confidence="question",
        evidence=("two lines only",),
    )
    hall = Room(id="hall", name="Hall", outline=sides(box(2000, 3000)))
    kitchen = Room(id="kitchen", name="Kitchen", outline=sides([(x + 2120, y) for x, y in box(3000, 3000)]))
    storey = Storey(
        id="g", name="Ground floor", height_mm=2400, times=2, rooms=(hall, kitchen), openings=(way, door, doubt)
    )
    return Job(storeys=(storey,), coat_edge_default="trim")  # fmt: skip


WORKED: dict[str, Job] = {
    "A": job_of(sides(L_SHAPE), WINDOW, DOOR),
    "A-with-sill": job_of(sides(L_SHAPE), SILLED, DOOR),
    "A2": job_of(
        sides(L_SHAPE),
        WINDOW,
        DOOR,
        walls=WallTreatment(bands=SKIRTING_AND_COVING),
        ceiling_treatment=CeilingTreatment(left_on=(Border(width_mm=100),)),
    ),
    "A3": job_of(
        sides(box(5000, 4000), treated=RETURNS),
        ceiling_treatment=CeilingTreatment(only=(Border(width_mm=600, sides=("s0",)),)),
    ),
    "B": job_of(sides(box(4000, 6000)), ceiling=ROOF),
    "C": job_of(sides(box(4000, 3000)), ceiling=Field(planes=(Plane(z_mm=2400),), regions=(BULKHEAD,))),
    "D": job_of(sides(box(4000, 3000), bulges={0: 0.25}), ceiling=flat(2400)),
    "E": job_of(sides(box(4000, 5000)), ceiling=Field(planes=(Plane(z_mm=1000, slope_x=1),), regions=(DORMER,))),
    "F": job_of(sides(box(5000, 4000)), ceiling=flat(2400), floor=Field(planes=(Plane(z_mm=0),), regions=(DWARF,))),
    "G": pier_and_lights(),
    "H": two_rooms(),
}
