"""Everything that is saved, as frozen values. These types are the job file.

Plan lengths are mm in the storey's drawing coordinates, x to the right, y up; heights are mm
above the storey's datum (its finished floor). Rings carry a bulge per side as DXF does
(tan of a quarter of the sweep, positive when the side turns left).

Every length that a person can dispute has a ``…_source`` beside it: *drawn* (from the
linework), *figured* (a written dimension, which governs), *typed*, *site* (measured there)
or *assumed*. What was read in rooms on site is kept as it was read (``Readings``); ``plan.readings`` makes
rooms of it.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal, NewType

import msgspec

from takeoff.errors import Facts, Where
from takeoff.geometry.planes import Plane as Plane
from takeoff.language import mark, tr
from takeoff.plan.counted_items import CountedItem
from takeoff.plan.lot_records import InVan, Lot
from takeoff.plan.option_records import CoatOption
from takeoff.plan.price_terms import PriceTerms
from takeoff.plan.programme_terms import ProgrammeTerms
from takeoff.plan.site_check import SiteCheck
from takeoff.plan.values import Value as Value
from takeoff.plan.work_records import WorkRecords

SCHEMA = "takeoff-job/2"

Source = Literal["drawn", "figured", "typed", "site", "assumed"]
Confidence = Literal["sure", "check", "question"]

StoreyId = NewType("StoreyId", str)
RoomId = NewType("RoomId", str)
SideId = NewType("SideId", str)
RegionId = NewType("RegionId", str)
OpeningId = NewType("OpeningId", str)
WallTypeId = NewType("WallTypeId", str)
DrawingId = NewType("DrawingId", str)

Vertex = tuple[float, float, float]
"""[x_mm, y_mm, bulge of the side that starts here]"""

Ring = tuple[Vertex, ...]


BUDGET = "budget room"
"""What stands in the evidence of a room that was made of length × width × height alone."""


class ReadOpening(Value, frozen=True):
    """An opening as it was measured on site: its jambs along the side, from where the side starts.

    What was not read is None: a usual value is then assumed. ``reveal_mm``: from face to frame.
    """

    from_mm: float
    to_mm: float
    kind: Literal["window", "door", "open"] = "window"
    sill_mm: float | None = None
    head_mm: float | None = None
    reveal_mm: float | None = None


class ReadSide(Value, frozen=True):
    """One side as it was walked. Corner 0 is the start of the first side.

    ``run_mm``: the last figure of running dimensions, the side's length once more. ``turn_deg``: the
    turn at its end, to the left positive; *about*: nobody measured it, *square*: said to be square,
    *read*: measured, *free*: follows from the other readings. ``height_mm`` at its start. ``id``: of the
    room's side, "" for s1, s2 … as walked; it stays where sides are put in or taken out later.
    """

    id: str = ""
    length_mm: float | None = None
    run_mm: float | None = None
    turn_deg: float = -90.0
    turn: Literal["about", "square", "read", "free"] = "about"
    height_mm: float | None = None
    openings: tuple[ReadOpening, ...] = ()


class ReadDiagonal(Value, frozen=True):
    """A length read between two corners, by their numbers."""

    a: int
    b: int
    length_mm: float


class Readings(Value, frozen=True):
    """What was read in a room on site, in the order in which it was walked; its outline is adjusted
    from it. ``unit`` is what a bare number means where it is shown again."""

    sides: tuple[ReadSide, ...]
    diagonals: tuple[ReadDiagonal, ...] = ()
    middle_mm: float | None = None
    unit: Literal["m", "ft"] = "m"


class Join(Value, frozen=True):
    """Two rooms measured on site that stand back to back: walls, or one opening seen from both sides.

    ``opening`` and ``beyond_opening`` count the openings of the side as it was read, from 0.
    """

    room: RoomId
    side: SideId
    beyond: RoomId
    beyond_side: SideId
    thickness_mm: float
    opening: int | None = None
    beyond_opening: int | None = None


class CrossCheck(Value, frozen=True):
    """A length read between corners of two rooms, to check how they are set together."""

    room: RoomId
    corner: int
    beyond: RoomId
    beyond_corner: int
    length_mm: float


class SetTogether(Value, frozen=True):
    """How the rooms of a storey that were measured on site are assembled."""

    joins: tuple[Join, ...] = ()
    checks: tuple[CrossCheck, ...] = ()


class Region(Value, frozen=True):
    """A part of a ceiling or floor with planes of its own.

    *lower*: the lower of the field around it and its own planes (bulkhead, beam, boxing, stair
    soffit); *raise*: the higher (coffer, dormer; on a floor: dwarf wall, window seat, plinth);
    *set*: its own planes whatever is around. Several planes of one region combine as those of
    its field do (ceiling: the lowest, floor: the highest). Regions nest, never overlap; the
    smallest outline around a point governs there.

    ``coat_sides`` and ``coat_face`` (the soffit, or the top of a raised floor) default to the
    ceiling's treatment for ceiling regions and to *not coated* for floor regions, since most of
    those are steps and ramps (common practice, no source).
    """

    id: RegionId
    op: Literal["lower", "raise", "set"]
    outline: Ring
    planes: tuple[Plane, ...]
    what: str = ""
    coat_sides: bool | None = None
    coat_face: bool | None = None
    substrate: str | None = None
    source: Source = "typed"


class Field(Value, frozen=True):
    """The height over a room: the lowest (ceiling) or highest (floor) of its planes, and regions."""

    planes: tuple[Plane, ...]
    regions: tuple[Region, ...] = ()
    source: Source = "typed"


class Band(Value, frozen=True):
    """A strip that is kept along a wall: from_mm to to_mm above its bottom, or below its top.

    Skirting is a bottom band from 0, coving a top band from 0, a dado a bottom band from more
    than 0. ``into_reveals``: it returns into openings that stand on it.
    """

    edge: Literal["bottom", "top"]
    to_mm: float
    from_mm: float = 0.0
    what: str = "skirting"
    into_reveals: bool = False


class Exclusion(Value, frozen=True):
    """An outline that is not coated: tiles, fitted units.

    On a wall its ring is in the developed face: u along the side from its start, z above the
    storey's datum. On a ceiling it is in plan. What sticks out is cut off and reported.
    """

    id: str
    outline: Ring
    what: str = ""
    source: Source = "typed"


Part = tuple[float, float | None]
"""A stretch of a side, from and to, mm from its start; to None: to its end."""


class WallTreatment(Value, frozen=True):
    """What happens to a wall face. Default: coated whole.

    ``start_mm`` / ``end_mm``: coated only within this distance of the side's start or end
    (returns); ``parts_mm``: and over these stretches, from and to, mm from its start, to None meaning
    the side's end. None of the three: over its whole length. ``substrate``: what the coat goes on; "" as the room, or
    the job, has it.
    """

    coat: bool = True
    substrate: str = ""
    start_mm: float | None = None
    end_mm: float | None = None
    parts_mm: tuple[Part, ...] = ()
    bands: tuple[Band, ...] = ()
    exclusions: tuple[Exclusion, ...] = ()

    @property
    def is_whole(self) -> bool:
        """Whether it is coated over its whole length."""
        return self.coat and self.start_mm is None and self.end_mm is None and not self.parts_mm


class Border(Value, frozen=True):
    """A strip of ceiling along walls, measured on the slope; no sides named means all of them.

    ``along_parts``: along a wall that is coated over stretches of it (``parts_mm``) only along these.
    """

    width_mm: float
    sides: tuple[SideId, ...] = ()
    what: str = "coving"
    along_parts: bool = False


class CeilingTreatment(Value, frozen=True):
    """What happens to a ceiling. Default: coated whole.

    ``left_on``: borders that stay (coving). ``only``: if given, coated only within these
    (a ceiling band along outside walls).
    """

    coat: bool = True
    substrate: str = ""
    left_on: tuple[Border, ...] = ()
    only: tuple[Border, ...] = ()
    exclusions: tuple[Exclusion, ...] = ()


BehindClass = Literal["outside", "unheated", "heated", "neighbour", "same", "unknown"]
"""*heated*: a heated space that is none of the job's rooms; *same*: another room of the job."""

AboveClass = Literal["roof", "heated", "neighbour", "same", "unknown"]
"""What lies above a ceiling: a roof or a cold loft, a heated space, another's, a room of the job."""


class Behind(Value, frozen=True):
    """What lies behind a stretch of a side, as the user decided it.

    ``to_mm`` None means to the end of the side.
    """

    cls: BehindClass
    from_mm: float = 0.0
    to_mm: float | None = None
    thickness_mm: float | None = None
    source: Source = "typed"


class Side(Value, frozen=True):
    """One side of a room's outline, from its own start to the start of the next side.

    ``kind`` *open*: one space runs into the next; with ``open_from_mm`` / ``open_to_mm`` (above
    datum) it is a wall outside that range. ``wall_type`` and ``wall_face`` say which finish
    thickness stands between the drawn line and the finished face.
    """

    id: SideId
    x_mm: float
    y_mm: float
    bulge: float = 0.0
    kind: Literal["wall", "open"] = "wall"
    open_from_mm: float | None = None
    open_to_mm: float | None = None
    wall_type: WallTypeId | None = None
    wall_face: Literal["a", "b"] = "a"
    treatment: WallTreatment | None = None
    behind: tuple[Behind, ...] = ()
    source: Source = "typed"

    @property
    def has_wall(self) -> bool:
        """Whether it carries any wall: a side that is open over a part of its height does."""
        return self.kind == "wall" or self.open_from_mm is not None or self.open_to_mm is not None


class CornerPick(Value, frozen=True):
    """A choice made by hand for one corner or stop edge, named by its id in the result.

    ``finish`` is heeded where the coat ends open, on a surface that goes on.
    """

    corner: str
    bead: Literal["new", "existing", "none"] | None = None
    profile: str | None = None
    finish: Literal["feather", "trim", "stop"] | None = None


StairAnswer = Literal["goes-on", "well", "none"]
"""What a person says of the ceiling of a room with a stair: it goes on above the stair; it does, but for the
well over the stair; there is none."""


class Stair(Value, frozen=True):
    """A stair that was seen in a room: its outline in plan. ``well``: a room of the next storey lies over the
    room, with a stair too, so that its ceiling may not be there. ``answer``: "" until somebody says."""

    outline: Ring = ()
    well: bool = False
    answer: Literal[StairAnswer, ""] = ""


class Room(Value, frozen=True):
    """One room: rings of sides (outer anticlockwise, inner ones clockwise) between two fields.

    ``ceiling`` None: flat at the storey's height. ``floor`` None: flat at the datum.
    ``floor_build_up_mm`` and ``ceiling_build_up_mm`` are added to the drawn floor and deducted from
    the drawn ceiling. ``above``: what lies above the ceiling, as ``above_source`` has it.
    ``readings``: what its outline was adjusted from, where it was measured on site. ``stair``: one that was
    seen in it. ``counted``: what is counted in it beside the coat.
    """

    id: RoomId
    outline: tuple[Side, ...]
    inner: tuple[tuple[Side, ...], ...] = ()
    name: str = ""
    number: str = ""
    times: int = 1
    ceiling: Field | None = None
    floor: Field | None = None
    floor_build_up_mm: float = 0.0
    ceiling_build_up_mm: float = 0.0
    above: AboveClass = "unknown"
    above_source: Source = "typed"
    walls: WallTreatment = WallTreatment()
    ceiling_treatment: CeilingTreatment = CeilingTreatment()
    corners: tuple[CornerPick, ...] = ()
    printed_area_m2: float | None = None
    confidence: Confidence = "sure"
    evidence: tuple[str, ...] = ()
    readings: Readings | None = None
    stair: Stair | None = None
    counted: tuple[CountedItem, ...] = ()

    @property
    def rings(self) -> tuple[tuple[Side, ...], ...]:
        """Its rings of sides, the outer one first."""
        return (self.outline, *self.inner)

    @property
    def sides(self) -> tuple[Side, ...]:
        """Every side, those of the outer ring first."""
        return tuple(side for ring in self.rings for side in ring)

    @property
    def title(self) -> str:
        """What it is called: number and name, else as its id counts it: "room 3"."""
        return " ".join(part for part in (self.number, self.name) if part) or self.title_unnamed

    @property
    def title_unnamed(self) -> str:
        """What it is called while it has neither number nor name: "room 3" for the id r3 (d2/r3 in a second
        drawing)."""
        number = self.id.rpartition("/")[2].removeprefix("r")
        return tr("room {number}", number=number if number.isdecimal() else self.id)


class Strip(Value, frozen=True):
    """One face of a reveal, from the wall's face to the frame. Depth 0: the frame stands at the face."""

    depth_mm: float = 0.0
    coat: bool = True
    depth_source: Source = "typed"


class Reveal(Value, frozen=True):
    """The strips of one side of an opening; *start* and *end* follow the side's direction.

    ``splay_deg``: by how much the jambs, and the head of an arch, open out from square to the
    wall; a flat head and a sill stay level and become trapezoids.
    """

    start: Strip = Strip()
    end: Strip = Strip()
    head: Strip = Strip()
    sill: Strip = Strip(coat=False)
    splay_deg: float = 0.0


class Swing(Value, frozen=True):
    """A leaf of a door as it was read: the jamb that it hangs on, and into which room it opens.

    *start* and *end* follow the host side's direction. ``leaf_mm``: how wide it is; 0 where nobody
    said, and the leaves share the opening.
    """

    hinge: Literal["start", "end"]
    into: Literal["host", "beyond"] = "host"
    leaf_mm: float = 0.0

    @property
    def turned(self) -> Swing:
        """The same leaf as the room on the wall's other side has it."""
        hinge: Literal["start", "end"] = "end" if self.hinge == "start" else "start"
        return Swing(hinge=hinge, into="beyond" if self.into == "host" else "host", leaf_mm=self.leaf_mm)


class Opening(Value, frozen=True):
    """A window, a door, or a doorway without a door: one object with a host side.

    ``offset_mm`` runs along the host side from its start to the opening's first jamb (on a
    curved side along the arc). Sill and head are above the storey's datum. ``shape`` *round*
    is a circle between sill and head; *segmental* has ``rise_mm`` below the head.
    ``reveal`` belongs to the host room, ``reveal_beyond`` to the room behind the wall; of an
    *open* way only ``reveal`` counts: its strips span the wall. ``swings``: a door's leaves, where
    they were read.
    ``confidence``: only *sure* openings are measured, others are listed with what they change.
    """

    id: OpeningId
    kind: Literal["window", "door", "open"]
    room: RoomId
    side: SideId
    offset_mm: float
    width_mm: float
    sill_mm: float
    head_mm: float
    shape: Literal["flat", "segmental", "semicircular", "round"] = "flat"
    rise_mm: float = 0.0
    reveal: Reveal = Reveal()
    reveal_beyond: Reveal | None = None
    mark: str = ""
    width_source: Source = "typed"
    sill_source: Source = "typed"
    head_source: Source = "typed"
    confidence: Confidence = "sure"
    evidence: tuple[str, ...] = ()
    swings: tuple[Swing, ...] = ()

    @property
    def title(self) -> str:
        """What it is called: its kind with its mark, else with its id."""
        return tr(_OPENING_TITLES[self.kind], name=self.mark or self.id)


_OPENING_TITLES = {"window": mark("window {name}"), "door": mark("door {name}"), "open": mark("doorway {name}")}


class Rooflight(Value, frozen=True):
    """An opening in a ceiling: its plan outline and the depth of its shaft, square to the slope."""

    id: OpeningId
    room: RoomId
    outline: Ring
    depth_mm: float = 0.0
    coat: bool = True
    mark: str = ""
    source: Source = "typed"
    confidence: Confidence = "sure"
    evidence: tuple[str, ...] = ()

    @property
    def title(self) -> str:
        """What it is called: by its mark, else by its id."""
        return tr("rooflight {name}", name=self.mark or self.id)


class WallType(Value, frozen=True):
    """A kind of wall: what stands between the drawn line and the finished face on each side."""

    id: WallTypeId
    name: str = ""
    finish_a_mm: float = 0.0
    finish_b_mm: float = 0.0


class Storey(Value, frozen=True):
    """One storey: its rooms and openings in one plan, heights above its own datum.

    ``drawing``: which of the job's drawings it was found in; None where it was drawn or read by hand.
    """

    id: StoreyId
    name: str = ""
    level_mm: float = 0.0
    height_mm: float = 2400.0
    height_source: Source = "assumed"
    times: int = 1
    rooms: tuple[Room, ...] = ()
    openings: tuple[Opening, ...] = ()
    rooflights: tuple[Rooflight, ...] = ()
    building: tuple[Ring, ...] = ()
    """The building's outline in plan, where it is known; beyond it is outside."""
    building_source: Source | None = None
    """*drawn*: it shows where the drawing ends, and what stands there is still to be said. None: *drawn*
    where the storey has a drawing, else *typed*."""
    set_together: SetTogether | None = None
    drawing: DrawingId | None = None

    @property
    def title(self) -> str:
        """What it is called: its name, else its id."""
        return self.name or tr("storey {name}", name=self.id)


class PlacedPicture(Value, frozen=True):
    """A picture under the plan: its digest, size in pixels, and how it lies in the plan.

    ``mm_per_px`` None: nobody has said yet how large it is. ``matrix``: the homography, row by row,
    from pixels (x right, y down) to plan mm (y up).
    """

    sha256: str
    width_px: int
    height_px: int
    mm_per_px: float | None = None
    matrix: tuple[float, float, float, float, float, float, float, float, float] = (
        1.0,
        0.0,
        0.0,
        0.0,
        1.0,
        0.0,
        0.0,
        0.0,
        1.0,
    )


class Laid(Value, frozen=True):
    """How a drawing lies in the plan of its job: its own mm turned about their origin, then moved."""

    turn_deg: float = 0.0
    dx_mm: float = 0.0
    dy_mm: float = 0.0


class DrawingRef(Value, frozen=True):
    """A drawing that a job was measured from. ``unit_mm``: mm per drawing unit, or the scale of a sheet.

    ``page``: of a PDF. ``layer_roles``: (layer, what it is for) as the user said. ``picture``: of a
    scan or a photo that the rooms are traced over. ``laid``: how it lies over the job's other drawings.
    ``north_deg``: where north lies in it, anticlockwise from its x, None where it does not say.
    """

    id: DrawingId
    name: str
    sha256: str = ""
    unit: str = "mm"
    unit_mm: float = 1.0
    number: str = ""
    revision: str = ""
    page: int | None = None
    layer_roles: tuple[tuple[str, str], ...] = ()
    picture: PlacedPicture | None = None
    laid: Laid = Laid()
    north_deg: float | None = None


Price = Annotated[str, msgspec.Meta(pattern=r"^(\d{1,7}(\.\d{1,4})?)?$")]
"""An amount of money as decimal text, "" for none: money is never a binary number."""


class Logo(Value, frozen=True):
    """A small PNG or JPEG, its bytes in base64, and its size in pixels."""

    data: str
    width_px: int
    height_px: int


class Details(Value, frozen=True):
    """What the sheets say besides what is measured, as typed; empty means that they say nothing.

    ``date`` empty: the day on which they are written. Prices are per m² and per m, in ``currency``.
    ``price_narrow_m``: of what the convention counts by length; empty: its area at the price of the coat.
    ``address``, ``terms``, ``logo``: of the contractor. ``order_prices``: the order says what the goods cost.
    """

    client: str = ""
    site: str = ""
    contractor: str = ""
    reference: str = ""
    date: str = ""
    currency: str = ""
    price_coat_m2: Price = ""
    price_bead_m: Price = ""
    price_narrow_m: Price = ""
    address: str = ""
    terms: str = ""
    logo: Logo | None = None
    order_prices: bool = False


class Photo(Value, frozen=True):
    """A photo pinned to a room, to one of its faces, or to an opening of it.

    The picture itself is kept in the job's file under its digest; ``name`` is what its file was called.
    """

    id: str
    sha256: str
    room: RoomId
    side: SideId | None = None
    opening: OpeningId | None = None
    name: str = ""
    note: str = ""


class Settled(Value, frozen=True):
    """A finding that the user has dealt with: one that tells other facts, or of another place, is a new one.

    *accepted*: it stays as it is; *confirmed* and *corrected*: an assumed value that was looked at.
    ``text``: how it was told then; ``facts``: what it said, None in jobs that are older than these.
    """

    code: str
    text: str
    where: Where = Where()
    how: Literal["accepted", "confirmed", "corrected"] = "accepted"
    facts: Facts | None = None


class Unsettled(Value, frozen=True):
    """An error of reading a drawing, or of finding its rooms, that the job alone cannot find again.

    It goes when its drawing is read with another answer; some may be accepted (``settled``).
    ``drawing``: which of the job's drawings it is of; ``evidence``: why it was told.
    """

    code: str
    text: str
    where: Where = Where()
    drawing: DrawingId | None = None
    facts: Facts | None = None
    evidence: str = ""


class Customs(Value, frozen=True):
    """What is done everywhere unless a wall or a room says otherwise. None: not given, and it is assumed to
    come off; 0: it comes off; more: it is kept, so high (skirting), so far down the wall and out over the
    ceiling (coving), so wide round the frame of each door (architraves).

    ``bead_said``: whether somebody said what arrises get (``Job.bead_default``).
    """

    skirting_mm: float | None = None
    coving_mm: float | None = None
    architrave_mm: float | None = None
    bead_said: bool = False


class Job(Value, frozen=True):
    """A whole job. ``bead_default``: what an external corner gets unless picked by hand.

    ``system_copy``: the coating system as it was when it was chosen, as its file has it, so that what was
    worked out once does not move with the file; None: the system of that id as it is now.

    ``convention_copy``: the measuring convention of the bill in the same way.

    ``wall_substrate``, ``ceiling_substrate``: what the coat goes on where neither a face nor a room says; "" as
    long as nobody knows.

    ``unsettled``: what opening its drawing left wrong; while one is open, nothing is for a client.
    """

    schema: Literal["takeoff-job/2"] = "takeoff-job/2"
    name: str = ""
    drawings: tuple[DrawingRef, ...] = ()
    storeys: tuple[Storey, ...] = ()
    wall_types: tuple[WallType, ...] = ()
    system: str = "demo-lime-foam"
    system_copy: dict[str, Any] | None = None
    convention: str = "net"
    convention_copy: dict[str, Any] | None = None
    bead_default: Literal["new", "existing", "none"] = "new"
    coat_edge_default: Literal["feather", "trim", "stop"] = "feather"
    customs: Customs = Customs()
    wall_substrate: str = ""
    ceiling_substrate: str = ""
    settled: tuple[Settled, ...] = ()
    unsettled: tuple[Unsettled, ...] = ()
    details: Details = Details()
    photos: tuple[Photo, ...] = ()
    site_check: SiteCheck = SiteCheck()
    price: PriceTerms = PriceTerms()
    programme: ProgrammeTerms = ProgrammeTerms()
    lots: tuple[Lot, ...] = ()
    in_van: tuple[InVan, ...] = ()
    work: WorkRecords = WorkRecords()
    options: tuple[CoatOption, ...] = ()

    @property
    def has_rooms(self) -> bool:
        """Whether there is a room in any storey."""
        return any(storey.rooms for storey in self.storeys)
