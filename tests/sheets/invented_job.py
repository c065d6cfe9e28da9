"""An invented cottage and its figures made by hand: nothing here is measured by the program."""

from __future__ import annotations

import math
from decimal import Decimal

from takeoff.errors import Finding, Where
from takeoff.measure.takeoff import (
    BeadPiece,
    BehindStretch,
    Dim,
    Edge,
    Face,
    OpeningEffect,
    RoomTakeoff,
    Surface,
    Takeoff,
)
from takeoff.plan.job_drawings import FIRST, with_origin
from takeoff.plan.model import DrawingRef, Field, Job, Opening, Plane, Region, Reveal, Room, Side, Storey, Strip, Swing
from takeoff.supply.order import Bar, Cut, CuttingList, Order, OrderLine, Working

HEIGHT = 2.4


def room(name: str, corners: list[tuple[float, ...]], **more: object) -> Room:
    """A room whose sides are lettered a, b, c… after its name; a third number is a bulge."""
    key = name.lower().replace(" ", "-") or "room"
    sides = tuple(
        Side(id=f"{key}.{chr(97 + k)}", x_mm=c[0], y_mm=c[1], bulge=c[2] if len(c) > 2 else 0.0)
        for k, c in enumerate(corners)
    )
    return Room(id=key, name=name, outline=sides, **more)


def window(
    key: str, host: str, side: str, offset: float, width: float, depth: float = 180.0, **more: object
) -> Opening:
    strip = Strip(depth_mm=depth)
    more = {"sill_source": "assumed", "head_source": "assumed"} | more
    return Opening(
        id=key,
        kind="window",
        room=host,
        side=f"{host}.{side}",
        offset_mm=offset,
        width_mm=width,
        sill_mm=900,
        head_mm=2100,
        reveal=Reveal(strip, strip, strip),
        **more,
    )


def door(key: str, host: str, side: str, offset: float, width: float = 800.0, **more: object) -> Opening:
    return Opening(
        id=key,
        kind="door",
        room=host,
        side=f"{host}.{side}",
        offset_mm=offset,
        width_mm=width,
        sill_mm=0,
        head_mm=2040,
        reveal=Reveal(Strip(0, False), Strip(0, False), Strip(0, False)),
        **{"swings": (Swing(hinge="start"),), **more},
    )


def rectangle(x0: float, y0: float, x1: float, y1: float) -> list[tuple[float, ...]]:
    return [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]


def cottage_storey() -> Storey:
    """Five rooms, an outside wall of 300 and partitions of 100."""
    rooms = (
        room("Living", rectangle(0, 0, 5000, 3900)),
        room(
            "Kitchen",
            [(5100, 0), (8400, 0), (8400, 3900), (7600, 3900), (7600, 3500), (7300, 3500), (7300, 3900), (5100, 3900)],
        ),
        room("Bedroom", rectangle(0, 4000, 3600, 6800)),
        room("Hall", rectangle(3700, 4000, 5700, 6800), confidence="check"),
        room("Bathroom and utility", rectangle(5800, 4000, 8400, 6800)),
    )
    openings = (
        window("w1", "living", "a", 1400, 1800),
        window("w2", "living", "d", 1300, 1200),
        window("w3", "kitchen", "a", 900, 1500),
        window("w4", "bedroom", "c", 1100, 1500),
        window("w5", "bathroom-and-utility", "c", 800, 900),
        door("d1", "hall", "c", 600, 900),
        door("d2", "living", "c", 400),
        door("d3", "hall", "d", 900),
        door("d4", "bathroom-and-utility", "d", 1000, confidence="check", evidence=("a gap without an arc",)),
        Opening(
            id="o1",
            kind="open",
            room="kitchen",
            side="kitchen.h",
            offset_mm=1200,
            width_mm=1000,
            sill_mm=0,
            head_mm=2400,
            reveal=Reveal(Strip(100), Strip(100), Strip(100)),
        ),
    )
    outline = tuple((x, y, 0.0) for x, y in rectangle(-300, -300, 8700, 7100))
    return Storey(id="s0", name="Ground floor", rooms=rooms, openings=openings, building=(outline,))


def upper_storey() -> Storey:
    """A room with a bow and a sloped ceiling with a dormer, a store too small for its label, no outline."""
    ceiling = Field(
        planes=(Plane(z_mm=1200, slope_x=1.0), Plane(z_mm=2400)),
        regions=(
            Region(
                id="g1",
                op="raise",
                outline=tuple((x, y, 0.0) for x, y in rectangle(0, 1000, 1200, 2500)),
                planes=(Plane(z_mm=2400),),
            ),
        ),
    )
    rooms = (
        room("Studio", [(0, 0), (5000, 0), (5000, 4000, 0.3), (0, 4000)], ceiling=ceiling),
        room("Store", rectangle(5100, 0, 6100, 900)),
        room("Landing", rectangle(5100, 1000, 7100, 4000), number="1.03"),
    )
    openings = (
        window("u1", "studio", "c", 1800, 1600),
        door("u2", "landing", "d", 900),
        door("u3", "store", "c", 100, 700),
    )
    return Storey(id="s1", name="Upper floor", height_mm=2400, rooms=rooms, openings=openings)


def ring_lengths(of: Room) -> list[float]:
    lengths = []
    for side, after in zip(of.outline, (*of.outline[1:], of.outline[0]), strict=True):
        chord = math.hypot(after.x_mm - side.x_mm, after.y_mm - side.y_mm)
        b = abs(side.bulge)
        lengths.append(chord if b == 0 else chord * (1 + b * b) / (4 * b) * 4 * math.atan(b))
    return lengths


def area_m2(of: Room) -> float:
    points = [(s.x_mm, s.y_mm) for s in of.outline]
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, points[1:] + points[:1], strict=True)) / 2e6


def measured(
    of: Room, storey: Storey, returns: dict[str, tuple[tuple[float, float], ...]] | None = None
) -> RoomTakeoff:
    """Figures of a flat-ceilinged room; ``returns`` gives the coated stretches of some sides."""
    lengths = ring_lengths(of)
    own = [o for o in storey.openings if o.room == of.id and o.confidence == "sure"]
    dims = [
        Dim("floor_m2", 1, (area_m2(of),), area_m2(of), "floor"),
        Dim("ceiling_m2", 1, (area_m2(of),), area_m2(of), "flat ceiling"),
    ]
    faces, coated_away = [], 0.0
    for side, length in zip(of.outline, lengths, strict=True):
        metres = length / 1000
        dims.append(Dim("perimeter_m", 1, (metres,), metres, "side", side.id))
        dims.append(Dim("wall_gross_m2", 1, (metres, HEIGHT), metres * HEIGHT, "wall", side.id))
        stretches = (returns or {}).get(side.id, ((0.0, length),))
        left = metres - sum(b - a for a, b in stretches) / 1000
        if left > 1e-9:
            coated_away += left * HEIGHT
            dims.append(Dim("not_coated_m2", 1, (left, HEIGHT), left * HEIGHT, "beyond the return", side.id))
        faces.append(
            Face(side.id, metres, metres * HEIGHT, metres * HEIGHT, (BehindStretch(0, length, "unknown"),), stretches)
        )
    reveal, external, joint = 0.0, 0.0, 0.0
    for o in own:
        w, h = o.width_mm / 1000, (o.head_mm - o.sill_mm) / 1000
        dims.append(Dim("openings_m2", 1, (w, h), w * h, o.kind, o.id))
        if o.reveal.start.coat:
            d = o.reveal.start.depth_mm / 1000
            dims += [
                Dim("reveal_m2", 2, (h, d), 2 * h * d, "jambs", o.id),
                Dim("reveal_m2", 1, (w, d), w * d, "head", o.id),
            ]
            reveal += (w + 2 * h) * d
            external += w + 2 * h
            joint += w + 2 * h
            dims.append(Dim("external_corner_by_kind_m.opening", 1, (w,), w, "head", o.id))
            dims.append(Dim("external_corner_by_kind_m.opening", 2, (h,), 2 * h, "jambs", o.id))
    gross = sum(lengths) / 1000 * HEIGHT
    taken = sum(o.width_mm * (o.head_mm - o.sill_mm) for o in own) / 1e6
    net = gross - taken - coated_away
    inner = len(of.outline) * HEIGHT
    return RoomTakeoff(
        room=of.id,
        storey=storey.id,
        name=of.name,
        times=of.times,
        confidence=of.confidence,
        height_min_mm=2400,
        height_max_mm=2400,
        floor_m2=area_m2(of),
        perimeter_m=sum(lengths) / 1000,
        ceiling_m2=area_m2(of),
        wall_gross_m2=gross,
        openings_m2=taken,
        excluded_m2=0.0,
        not_coated_m2=coated_away,
        wall_net_m2=net,
        drop_m2=0.0,
        reveal_m2=reveal,
        coated_m2=net + area_m2(of) + reveal,
        external_corner_m=external,
        external_corner_by_kind_m={"room": 0.0, "opening": external, "drop": 0.0, "ceiling": 0.0, "low": 0.0},
        internal_corner_m={
            "wall_wall": inner,
            "wall_ceiling": sum(lengths) / 1000,
            "ceiling": 0.0,
            "drop": 0.0,
            "reveal": 0.0,
        },
        coat_edge_m=1.234,
        coat_edge_by_kind_m={"open": 0.0, "against": 1.234, "corner": 0.0},
        floor_edge_m=sum(lengths) / 1000,
        frame_joint_m=joint,
        frame_joint_by_kind_m={"frame": joint, "lining": 0.0},
        bead_m=external,
        bead_pieces=tuple(BeadPiece(o.width_mm, "corner", o.id) for o in own),
        faces=tuple(faces),
        surfaces=(Surface(f"{of.id}.ceiling", "ceiling", "ceiling", "plasterboard", area_m2(of)),),
        edges=tuple(edges(of, own)),
        dims=tuple(dims),
    )


def edges(of: Room, own: list[Opening]) -> list[Edge]:
    found = []
    points = [(s.x_mm, s.y_mm) for s in of.outline]
    for k, (x, y) in enumerate(points):
        (px, py), (nx, ny) = points[k - 1], points[(k + 1) % len(points)]
        left = (x - px) * (ny - y) - (y - py) * (nx - x) > 0
        line = ((x, y, 0.0), (x, y, 2400.0))
        if left:
            found.append(Edge(f"{of.id}.{k}", "internal", "wall_wall", 2.4, 90, (), line))
        else:
            found.append(Edge(f"{of.id}.{k}", "external", "room", 2.4, 270, (), line, bead="new"))
    sides = {s.id: (s, of.outline[(k + 1) % len(of.outline)]) for k, s in enumerate(of.outline)}
    for o in own:
        if not o.reveal.start.coat or sides[o.side][0].bulge:
            continue
        a, b = sides[o.side]
        length = math.hypot(b.x_mm - a.x_mm, b.y_mm - a.y_mm)
        for name, u in (("start", o.offset_mm), ("end", o.offset_mm + o.width_mm)):
            x, y = a.x_mm + (b.x_mm - a.x_mm) * u / length, a.y_mm + (b.y_mm - a.y_mm) * u / length
            line = ((x, y, o.sill_mm), (x, y, o.head_mm))
            found.append(Edge(f"{o.id}.{name}", "external", "opening", 1.2, 270, (), line, bead="new"))
    return found


RETURNS = {"living.b": ((0.0, 600.0),), "kitchen.g": ((0.0, 0.0),), "kitchen.h": ((3300.0, 3900.0),)}
"""Partitions that are coated only by returns of 600."""


def cottage(storeys: tuple[Storey, ...] | None = None, name: str = "Sample Cottage") -> tuple[Job, Takeoff]:
    """The job and its takeoff; the ground floor alone unless storeys are given."""
    storeys = storeys or (cottage_storey(),)
    drawing = DrawingRef(id=FIRST, name="sample-102.dxf", number="SC-102", revision="A")
    rooms = tuple(measured(r, s, RETURNS) for s in storeys for r in s.rooms)
    unsure = tuple(
        OpeningEffect(o.id, o.room, o.confidence, o.evidence, {"coated_m2": -o.width_mm * o.head_mm / 1e6})
        for s in storeys
        for o in s.openings
        if o.confidence != "sure"
    )
    return with_origin(Job(name=name, storeys=storeys), drawing), Takeoff(rooms, {}, unsure, ())


FINDINGS = (
    Finding(
        "printed-area-differs",
        "check",
        "The drawing prints 12.9 m² for Kitchen and its outline has 12.75 m²: check unit and scale.",
        Where(storey="s0", room="kitchen", x_mm=6700, y_mm=1900),
    ),
    Finding("height-assumed", "assumed", "The storey's height was not given: 2400 mm is taken.", Where(storey="s0")),
    Finding(
        "sill-assumed",
        "assumed",
        "Window sills were not given: 900 mm is taken.",
        Where(storey="s0", room="living", opening="w1"),
    ),
    Finding(
        "sill-assumed",
        "assumed",
        "Window sills were not given: 900 mm is taken.",
        Where(storey="s0", room="living", opening="w2"),
    ),
    Finding("unit", "note", "The unit is mm: 12 dimensions agree.", Where(layer="A-DIMS")),
)


def order() -> Order:
    lines = (
        OrderLine(
            "coat",
            "Thermal coat",
            158.44,
            "L",
            (("tub of 15 L", 11),),
            "11 × tub of 15 L",
            165,
            Decimal("1045.00"),
            "140.7 × 1.0 × 1.126",
        ),
        OrderLine(
            "base",
            "Base coat",
            21.105,
            "L",
            (("can of 10 L", 2), ("can of 2.5 L", 1)),
            "2 × can of 10 L, 1 × can of 2.5 L",
            22.5,
            Decimal("96.40"),
            "140.7 × 0.15",
        ),
        OrderLine(
            "bead-corner",
            "Corner bead",
            23.1,
            "m",
            (("bar of 2.5 m", 11),),
            "11 × bar of 2.5 m",
            27.5,
            Decimal("30.25"),
            "",
        ),
    )
    bars = (
        Bar("bar of 2.5 m", 2500, (Cut(1200, "w1"), Cut(1200, "w1")), 100),
        Bar("bar of 2.5 m", 2500, (Cut(1200, "w2"), Cut(1200, "w3")), 100),
        Bar("bar of 2.5 m", 2500, (Cut(1800, "w1"),), 700),
    )
    cutting = CuttingList(
        "corner",
        "Corner bead",
        "bar",
        bars,
        (),
        (("bar of 2.5 m", 3),),
        7500,
        6600,
        0,
        Decimal("8.25"),
        "cost",
        Decimal("8.25"),
        Decimal("8.25"),
        True,
        "Proved best",
    )
    workings = (
        Working("coat", "Coat on plasterboard", "55.33 × 1.0 × 1.10", 60.863, "L", "thickness and loss"),
        Working("coat", "Coat on plaster", "80.02 × 1.0 × 1.22", 97.6244, "L"),
    )
    return Order("Demo lime foam (invented)", "EUR", lines, (cutting,), workings, (), Decimal("1171.65"))


def terrace_of(count: int, across: int = 14) -> Storey:
    """Many rooms of 4.0 × 3.0 in rows, each with a window or a door; every seventh stands twice."""
    rooms, openings = [], []
    for k in range(count):
        x, y = (k % across) * 4100.0, (k // across) * 3100.0
        name = f"Room {k + 1} towards the long north corridor" if k % 5 == 0 else f"Room {k + 1}"
        made = room(name, rectangle(x, y, x + 4000, y + 3000), times=2 if k % 7 == 0 else 1)
        rooms.append(made)
        openings.append(window(f"w{k}", made.id, "a", 1000, 1200) if k % 2 else door(f"d{k}", made.id, "a", 1000))
    return Storey(id="s0", name="First floor", rooms=tuple(rooms), openings=tuple(openings))
