"""What measuring returns. Lengths in m, areas in m², volumes never; nothing is rounded here.

Every room figure is for one room; totals multiply by ``room.times × storey.times``.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

import msgspec

from takeoff.errors import Finding
from takeoff.plan.model import BehindClass, Confidence
from takeoff.plan.surface_ids import EdgeId

SurfaceKind = Literal["wall", "ceiling", "drop", "top", "reveal"]
EdgeClass = Literal["external", "internal", "coat_edge", "floor_edge", "frame_joint"]
Ends = Literal["", "open", "against", "corner", "frame", "lining"]
"""What a coat ends at. A coat edge: *open*, on a surface that goes on in the same plane; *against* what is
kept or masked (skirting, coving, tiles, units, a sill's board); in a *corner* with a surface left bare.
A frame joint: a window's *frame* (a rooflight's too), or the *lining* of a door."""

INTERNAL_KINDS = ("wall_wall", "wall_ceiling", "ceiling", "drop", "reveal")
EXTERNAL_KINDS = ("room", "opening", "drop", "ceiling", "low")
COAT_EDGE_KINDS = ("open", "against", "corner")
FRAME_JOINT_KINDS = ("frame", "lining")


class Family(NamedTuple):
    """A figure that is given by kind: of which edges, their kinds, and the figure of all together."""

    cls: EdgeClass
    kinds: tuple[str, ...]
    whole: str


FAMILIES = {
    "external_corner_by_kind_m": Family("external", EXTERNAL_KINDS, "external_corner_m"),
    "internal_corner_m": Family("internal", INTERNAL_KINDS, "internal_corner_m"),
    "coat_edge_by_kind_m": Family("coat_edge", COAT_EDGE_KINDS, "coat_edge_m"),
    "frame_joint_by_kind_m": Family("frame_joint", FRAME_JOINT_KINDS, "frame_joint_m"),
}

Point3 = tuple[float, float, float]


class Dim(msgspec.Struct, frozen=True):
    """One line of the dimension sheet: times × dims = product.

    ``quantity`` is a key of the room's figures ("wall_gross_m2"); a deduction has negative
    ``times``. Dims are in m (or plain factors such as 1/cos of a slope).
    """

    quantity: str
    times: float
    dims: tuple[float, ...]
    product: float
    what: str
    where: str = ""


class Surface(msgspec.Struct, frozen=True):
    """One surface: gross = openings + excluded + not_coated + net, all m²."""

    id: str
    kind: SurfaceKind
    what: str
    substrate: str
    gross_m2: float
    openings_m2: float = 0.0
    excluded_m2: float = 0.0
    not_coated_m2: float = 0.0
    net_m2: float = 0.0


class Edge(msgspec.Struct, frozen=True):
    """One corner, coat edge, floor edge or frame joint, between two surfaces.

    ``line``: its course in storey coordinates (x, y, z mm), for pictures only: curves are
    given by a few points, the length is exact. ``angle_deg`` is the angle of the void.
    ``ends``: what a coat edge or a frame joint ends at; ``finish``: of open ends alone.
    """

    id: EdgeId
    cls: EdgeClass
    kind: str
    length_m: float
    angle_deg: float
    surfaces: tuple[str, ...]
    line: tuple[Point3, ...] = ()
    curved: bool = False
    bead: Literal["new", "existing", "none"] = "none"
    profile: str = ""
    finish: str = ""
    ends: Ends = ""

    @property
    def family_kind(self) -> str:
        """By what its length is kept: of coat edges and frame joints, what the coat ends at."""
        return self.ends or self.kind


class BeadPiece(msgspec.Struct, frozen=True):
    """A length of bead to cut, for one room; ``where``: the id of the external edge that it goes on."""

    length_mm: float
    profile: str
    where: str


class BehindStretch(msgspec.Struct, frozen=True):
    """What lies behind u from_mm to to_mm of a face; ``room``/``side`` where another room does.
    ``claimed``: *outside* only since the drawing ends there, which nobody has confirmed. ``cheek``: of a breast or
    recess, as the walls are between which it stands; by a rule for outside walls it is coated as a return is."""

    from_mm: float
    to_mm: float
    cls: BehindClass
    thickness_mm: float | None = None
    room: str | None = None
    side: str | None = None
    claimed: bool = False
    cheek: bool = False


class Face(msgspec.Struct, frozen=True):
    """A wall face, one per side. ``coated_mm``: the stretches of u that carry any coat."""

    id: str
    length_m: float
    gross_m2: float
    net_m2: float
    behind: tuple[BehindStretch, ...] = ()
    coated_mm: tuple[tuple[float, float], ...] = ()


class Hole(msgspec.Struct, frozen=True):
    """What an opening takes off a wall face, m². ``strips``: the name of its reveal here ("o1", or
    "o1.beyond" from the other room), by which its strips stand among surfaces and dims."""

    opening: str
    face: str
    area_m2: float
    strips: str


class CoatedPart(msgspec.Struct, frozen=True):
    """A stretch of wall that is to be coated, or a coated piece of ceiling, drop or top, as a bill goes by it.

    ``area_m2``: of a wall with its openings and what is left on, else what is coated. ``width_m``: how wide
    it is at its narrower. ``holes``: what each opening takes off within it; ``left_on``: (width m, area m²).
    """

    surface: str
    kind: SurfaceKind
    area_m2: float
    width_m: float
    holes: tuple[Hole, ...] = ()
    left_on: tuple[tuple[float, float], ...] = ()


class RoomTakeoff(msgspec.Struct, frozen=True):
    """The figures of one room."""

    room: str
    storey: str
    name: str
    times: int
    confidence: Confidence
    height_min_mm: float
    height_max_mm: float
    floor_m2: float
    perimeter_m: float
    ceiling_m2: float
    wall_gross_m2: float
    openings_m2: float
    excluded_m2: float
    not_coated_m2: float
    wall_net_m2: float
    drop_m2: float
    reveal_m2: float
    coated_m2: float
    external_corner_m: float
    external_corner_by_kind_m: dict[str, float]
    internal_corner_m: dict[str, float]
    coat_edge_m: float
    coat_edge_by_kind_m: dict[str, float]
    floor_edge_m: float
    frame_joint_m: float
    frame_joint_by_kind_m: dict[str, float]
    bead_m: float
    bead_pieces: tuple[BeadPiece, ...]
    faces: tuple[Face, ...]
    surfaces: tuple[Surface, ...]
    edges: tuple[Edge, ...]
    dims: tuple[Dim, ...]
    findings: tuple[Finding, ...] = ()
    holes: tuple[Hole, ...] = ()
    coated_parts: tuple[CoatedPart, ...] = ()


class OpeningEffect(msgspec.Struct, frozen=True):
    """An opening that is not sure, and what the totals change by if it is taken in."""

    opening: str
    room: str
    confidence: Confidence
    evidence: tuple[str, ...]
    change: dict[str, float]


class Takeoff(msgspec.Struct, frozen=True):
    """The measured job. ``totals`` holds every numeric figure, Σ room × times × storey times."""

    rooms: tuple[RoomTakeoff, ...]
    totals: dict[str, float]
    unsure: tuple[OpeningEffect, ...]
    findings: tuple[Finding, ...]
