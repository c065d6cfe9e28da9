"""The invented plans as data: rooms by their finished faces, openings by the hole they leave.

Everything between the outer rectangle and the rooms is wall, so that areas are true by
construction. Lengths in drawing units (mm, or inches for the flat). Nothing here is real.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

Point = tuple[float, float]


@dataclass(frozen=True)
class Room:
    """A room by its outline, anticlockwise, with the place of its label."""

    name: str
    outline: tuple[Point, ...]
    label_at: Point
    number: str = ""
    arc_m: float = 0.0
    """length that an arc adds in place of its chord, and the area outside the chord"""
    arc_m2: float = 0.0
    tiled: bool = False


@dataclass(frozen=True)
class Hole:
    """A window or a door by the rectangle that it cuts from the wall.

    ``along``: x or y, how the wall runs. ``hinge`` low or high end; ``swing`` to the low or high side.
    """

    mark: str
    kind: str
    x0: float
    y0: float
    x1: float
    y1: float
    rooms: tuple[str, ...]
    along: str = "x"
    hinge: str = "low"
    swing: str = "high"

    @property
    def width(self) -> float:
        return self.x1 - self.x0 if self.along == "x" else self.y1 - self.y0


@dataclass(frozen=True)
class Plan:
    """One storey on one sheet (or, beside another, on the same one)."""

    file: str
    title: str
    number: str
    outer: tuple[float, float, float, float]
    rooms: tuple[Room, ...]
    holes: tuple[Hole, ...]
    revision: str = "A"
    unit: str = "mm"
    treads: tuple[tuple[float, float, float, float], ...] = ()
    furniture: tuple[tuple[str, float, float, float, float], ...] = ()
    overhead: tuple[tuple[Point, ...], ...] = ()
    curved_bodies: tuple[tuple[tuple[float, float, float], ...], ...] = ()
    notes: tuple[tuple[str, float, float], ...] = field(default=())


def rectangle(x0: float, y0: float, x1: float, y1: float) -> tuple[Point, ...]:
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def stair(x0: float, x1: float, y0: float, going: float, count: int) -> tuple[tuple[float, ...], ...]:
    """Nosing lines across a straight flight, and its outer string."""
    lines = [(x0, y0 + going * i, x1, y0 + going * i) for i in range(count + 1)]
    return (*lines, (x1, y0, x1, y0 + going * count))


WITH_BREAST = (
    (1900.0, 0.0),
    (4800.0, 0.0),
    (4800.0, 1300.0),
    (4450.0, 1300.0),
    (4450.0, 2700.0),
    (4800.0, 2700.0),
    (4800.0, 4000.0),
    (1900.0, 4000.0),
)
HOUSE = (-200.0, -300.0, 5000.0, 8700.0)

GROUND = Plan(
    "terrace_ground",
    "Ground floor",
    "TH-01",
    HOUSE,
    rooms=(
        Room("Hall", rectangle(0, 0, 1800, 5000), (1300, 2600), "G1"),
        Room("Living room", WITH_BREAST, (3200, 1900), "G2"),
        Room("WC", rectangle(1900, 4100, 3600, 5000), (2750, 4550), "G3", tiled=True),
        Room("Store", rectangle(3700, 4100, 4800, 5000), (4250, 4600), "G4"),
        Room("Kitchen", rectangle(0, 5100, 4800, 8400), (2400, 6500), "G5"),
    ),
    holes=(
        Hole("D1", "door", 400, -300, 1300, 0, ("Hall",), hinge="low", swing="high"),
        Hole("W1", "window", 2450, -300, 4250, 0, ("Living room",)),
        Hole("D2", "door", 1800, 700, 1900, 1500, ("Hall", "Living room"), "y", "low", "high"),
        Hole("D3", "door", 950, 5000, 1750, 5100, ("Hall", "Kitchen"), hinge="high", swing="high"),
        Hole("D4", "door", 1800, 4200, 1900, 4900, ("Hall", "WC"), "y", "high", "low"),
        Hole("D5", "door", 3900, 5000, 4600, 5100, ("Store", "Kitchen"), hinge="low", swing="high"),
        Hole("W2", "window", 600, 8400, 1800, 8700, ("Kitchen",)),
        Hole("D6", "door", 3400, 8400, 4300, 8700, ("Kitchen",), hinge="high", swing="low"),
    ),
    treads=stair(0, 850, 1500, 250, 11),
    furniture=(
        ("SOFA", 2100, 2900, 2000, 850),
        ("TABLE", 2700, 5900, 1400, 850),
        ("WORKTOP", 0, 7800, 2400, 600),
        ("PAN", 3150, 4300, 400, 500),
    ),
)

FIRST = Plan(
    "terrace_first",
    "First floor",
    "TH-02",
    HOUSE,
    rooms=(
        Room("Landing", rectangle(0, 1500, 1800, 5000), (1330, 2300), "F1"),
        Room("Bedroom 1", WITH_BREAST, (3200, 1900), "F2"),
        Room("Study", rectangle(0, 0, 1800, 1400), (900, 700), "F3"),
        Room("Bathroom", rectangle(0, 5100, 1800, 8400), (900, 6500), "F4", tiled=True),
        Room("Bedroom 2", rectangle(1900, 4100, 4800, 8400), (3350, 6400), "F5"),
    ),
    holes=(
        Hole("D7", "door", 1800, 3000, 1900, 3800, ("Landing", "Bedroom 1"), "y", "high", "high"),
        Hole("D8", "door", 1800, 4200, 1900, 4950, ("Landing", "Bedroom 2"), "y", "low", "high"),
        Hole("D9", "door", 1000, 1400, 1700, 1500, ("Study", "Landing"), hinge="high", swing="low"),
        Hole("D10", "door", 950, 5000, 1700, 5100, ("Landing", "Bathroom"), hinge="high", swing="high"),
        Hole("W3", "window", 2600, -300, 4100, 0, ("Bedroom 1",)),
        Hole("W4", "window", 500, -300, 1300, 0, ("Study",)),
        Hole("W5", "window", 500, 8400, 1100, 8700, ("Bathroom",)),
        Hole("W6", "window", 2600, 8400, 4100, 8700, ("Bedroom 2",)),
    ),
    treads=stair(0, 850, 1500, 250, 11),
    furniture=(
        ("BED", 2300, 2050, 1500, 1900),
        ("BED", 2600, 4300, 1500, 1900),
        ("BATH", 100, 7600, 1600, 700),
        ("DESK", 100, 150, 500, 1100),
    ),
)


def _revised(
    plan: Plan, rooms: dict[str, Room], added: tuple[Hole, ...] = (), moved: dict[str, Hole] | None = None
) -> Plan:
    return replace(
        plan,
        file=plan.file + "_rev_b",
        revision="B",
        rooms=tuple(rooms.get(r.name, r) for r in plan.rooms),
        holes=(*((moved or {}).get(h.mark, h) for h in plan.holes), *added),
    )


GROUND_B = _revised(GROUND, {}, (Hole("W7", "window", 2050, 8400, 2950, 8700, ("Kitchen",)),))

# The partition between bathroom and bedroom 2 moves 250 into the bedroom.
FIRST_B = _revised(
    FIRST,
    {
        "Bathroom": Room("Bathroom", rectangle(0, 5100, 2050, 8400), (1000, 6500), "F4", tiled=True),
        "Bedroom 2": Room(
            "Bedroom 2",
            ((1900, 4100), (4800, 4100), (4800, 8400), (2150, 8400), (2150, 5000), (1900, 5000)),
            (3400, 6400),
            "F5",
        ),
    },
)

ATTIC_B = Plan(
    "terrace_attic_rev_b",
    "Room in the roof",
    "TH-03",
    HOUSE,
    revision="B",
    rooms=(
        Room("Attic room", rectangle(0, 1200, 4800, 6400), (3000, 3800), "A1"),
        Room("Attic store", rectangle(0, 6500, 4800, 7400), (2400, 6950), "A2"),
    ),
    holes=(Hole("D11", "door", 3600, 6400, 4300, 6500, ("Attic room", "Attic store"), swing="low"),),
    treads=stair(0, 850, 1500, 250, 11),
    overhead=(
        ((0, 2400), (4800, 2400)),
        ((0, 5200), (4800, 5200)),
        ((1800, 1500), (2600, 1500), (2600, 2300), (1800, 2300), (1800, 1500)),
    ),
    notes=(("sloping ceiling, wall plate 1200 high", 3200, 2000),),
)

LOFT = Plan(
    "loft",
    "Loft studio",
    "LO-01",
    (-300, -300, 9300, 6300),
    rooms=(
        Room("Studio", ((0, 0), (9000, 0), (9000, 3500), (6900, 3500), (6900, 6000), (0, 6000)), (3500, 2300), "L1"),
        Room("Shower room", rectangle(7000, 3600, 9000, 6000), (8000, 4900), "L2", tiled=True),
    ),
    holes=(
        Hole("D1", "door", 7100, 3500, 7900, 3600, ("Studio", "Shower room"), hinge="low", swing="high"),
        Hole("D2", "door", 9000, 1200, 9300, 2100, ("Studio",), "y", "low", "low"),
        Hole("W1", "window", -300, 2200, 0, 3800, ("Studio",), "y"),
        Hole("W2", "window", 2500, 6000, 4000, 6300, ("Studio",)),
    ),
    furniture=(("BED", 300, 3900, 1500, 1900), ("TABLE", 5000, 700, 1600, 900), ("BASIN", 8400, 3700, 500, 400)),
    overhead=(((0, 1200), (9000, 1200)), ((0, 4800), (6900, 4800)), ((0, 3000), (9000, 3000))),
    notes=(("ridge over", 6000, 3150), ("eaves 1200 high", 6000, 350)),
)

FLAT = Plan(
    "flat_feet",
    "Flat, second floor",
    "FF-01",
    (-8, -8, 334, 302),
    unit="in",
    rooms=(
        Room("LIVING ROOM", rectangle(0, 0, 186, 150), (93, 90), "1"),
        Room("KITCHEN", rectangle(190.5, 0, 326, 150), (258, 60), "2", tiled=True),
        Room("HALL", ((0, 154.5), (326, 154.5), (326, 220.5), (240, 220.5), (240, 196.5), (0, 196.5)), (200, 178), "3"),
        Room("BEDROOM", rectangle(0, 201, 186, 294), (93, 248), "4"),
        Room("BATHROOM", rectangle(190.5, 225, 326, 294), (230, 262), "5", tiled=True),
    ),
    holes=(
        Hole("D1", "door", 326, 160, 334, 196, ("HALL",), "y", "low", "low"),
        Hole("D2", "door", 100, 150, 132, 154.5, ("LIVING ROOM", "HALL"), hinge="low", swing="low"),
        Hole("D3", "door", 260, 150, 292, 154.5, ("KITCHEN", "HALL"), hinge="high", swing="low"),
        Hole("D4", "door", 100, 196.5, 132, 201, ("HALL", "BEDROOM"), hinge="low", swing="high"),
        Hole("D5", "door", 255, 220.5, 283, 225, ("HALL", "BATHROOM"), hinge="low", swing="high"),
        Hole("W1", "window", 50, -8, 122, 0, ("LIVING ROOM",)),
        Hole("W2", "window", 235, -8, 283, 0, ("KITCHEN",)),
        Hole("W3", "window", 60, 294, 120, 302, ("BEDROOM",)),
        Hole("W4", "window", 210, 294, 234, 302, ("BATHROOM",)),
    ),
    furniture=(("SOFA", 20, 100, 80, 34), ("BED", 20, 215, 60, 76), ("BATH", 262, 262, 60, 30)),
)

ROUND_END = Room(
    "Stairwell",
    rectangle(0, 0, 2400, 4000),
    (1850, 1200),
    "S1",
    arc_m=3.141592653589793 * 1.2 - 2.4,
    arc_m2=3.141592653589793 * 1.2**2 / 2,
)
STAIRWELL_GROUND = Plan(
    "stairwell",
    "Ground floor",
    "ST-01",
    (-200, -200, 2600, 4000),
    rooms=(ROUND_END,),
    holes=(Hole("D1", "door", 700, -200, 1700, 0, ("Stairwell",), swing="high"),),
    treads=stair(0, 1100, 600, 260, 12),
    curved_bodies=(((2600, 4000, 1.0), (-200, 4000, 0.0), (0, 4000, -1.0), (2400, 4000, 0.0)),),
)
EAST_MM = 6000.0
STAIRWELL_FIRST = Plan(
    "stairwell",
    "First floor",
    "ST-01",
    (EAST_MM - 200, -1900, EAST_MM + 2600, 4000),
    rooms=(
        Room(
            "Stairwell, upper part",
            rectangle(EAST_MM, 0, EAST_MM + 2400, 4000),
            (EAST_MM + 1850, 1200),
            "S2",
            arc_m=ROUND_END.arc_m,
            arc_m2=ROUND_END.arc_m2,
        ),
        Room("Lobby", rectangle(EAST_MM, -1700, EAST_MM + 2400, -200), (EAST_MM + 1200, -900), "S3"),
    ),
    holes=(
        Hole("D2", "door", EAST_MM + 700, -200, EAST_MM + 1500, 0, ("Stairwell, upper part", "Lobby"), swing="low"),
        Hole("W1", "window", EAST_MM + 2400, -1400, EAST_MM + 2600, -600, ("Lobby",), "y"),
    ),
    treads=stair(EAST_MM, EAST_MM + 1100, 600, 260, 12),
    curved_bodies=(
        ((EAST_MM + 2600, 4000, 1.0), (EAST_MM - 200, 4000, 0.0), (EAST_MM, 4000, -1.0), (EAST_MM + 2400, 4000, 0.0)),
    ),
)

SHEETS: tuple[tuple[Plan, ...], ...] = (
    (GROUND,),
    (FIRST,),
    (GROUND_B,),
    (FIRST_B,),
    (ATTIC_B,),
    (LOFT,),
    (FLAT,),
    (STAIRWELL_GROUND, STAIRWELL_FIRST),
)
