"""What is billed under a measuring convention. What is ordered never depends on it.

A convention is data: steps by size of opening, each saying which share of the opening is deducted
and what becomes of its reveals; strips that count by length; bands that are measured through. No
convention is named in the code, so that another is added by adding a file. ``bill_room`` bills a measured room.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any, Literal

import msgspec

from takeoff.errors import InputError
from takeoff.files.paths import resource, resource_names
from takeoff.language import tr
from takeoff.measure.takeoff import CoatedPart, Dim, RoomTakeoff
from takeoff.plan.model import Job

_FOLDER = "conventions"
LARGEST_BYTES = 1 << 20

Known = Literal["published", "restated", "memory", "practice"]
"""published: read in the standard; restated: read on pages that restate it; memory: recalled;
practice: common practice without a source."""


class Rule(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A step: openings up to ``up_to_m2`` (None: all that are larger).

    ``inclusive``: an opening of exactly that size belongs to this step ("not exceeding").
    ``deduct_with_reveal`` / ``deduct_without_reveal``: the share of the opening that is deducted.
    ``reveals``: *none* not billed, *added* to the wall, *apart* as an item of their own.
    """

    up_to_m2: float | None = None
    inclusive: bool = True
    deduct_with_reveal: float
    deduct_without_reveal: float
    reveals: Literal["none", "added", "apart"]


class Convention(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """A measuring convention as its file gives it.

    ``openings``: steps by size, smallest first. ``by_length_up_to_mm``: reveals apart, stretches of wall,
    pieces of ceiling and drops that are no wider count by length (0: never).
    ``least_width_mm``: narrower ones count as this wide.
    ``through_up_to_mm``: bands left on that are no wider are measured through.
    ``face``: whether the structure or the finished face is measured. ``known`` says where the steps come
    from, ``year_known`` the edition, ``by_length_known`` the width that counts by length.
    """

    id: str
    name: str
    year: str
    source: str
    known: Known
    year_known: Known = "restated"
    openings: tuple[Rule, ...]
    by_length_up_to_mm: float = 0.0
    by_length_known: Known = "restated"
    least_width_mm: float = 0.0
    through_up_to_mm: float = 0.0
    face: Literal["structure", "finished", "not stated"] = "not stated"
    rounding_places: int = 2
    height_stages_m: tuple[float, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def from_memory(self) -> tuple[str, ...]:
        """What of it is only from memory, in words."""
        parts = (
            (self.year_known, tr("the edition")),
            (self.known, tr("the steps for openings")),
            (self.by_length_known if self.by_length_up_to_mm else "published", tr("the width that counts by length")),
        )
        return tuple(words for known, words in parts if known == "memory")


Item = Literal["walls", "ceilings", "drops", "reveals"]


class RevealGirth(msgspec.Struct, frozen=True):
    """Reveal strips of one width: their length together."""

    width_m: float
    length_m: float

    @property
    def area_m2(self) -> float:
        """Length × width."""
        return self.length_m * self.width_m


class BillOpening(msgspec.Struct, frozen=True):
    """An opening to be billed: its size on the face and its coated reveals; none: no reveal."""

    what: str
    area_m2: float
    reveals: tuple[RevealGirth, ...] = ()


class BandLeft(msgspec.Struct, frozen=True):
    """A band left on along a wall: its width and the area it takes off, openings apart."""

    what: str
    width_m: float
    area_m2: float


class NarrowPart(msgspec.Struct, frozen=True):
    """A part that counts by length, gross: its width, and what lies in it."""

    item: Item
    width_m: float
    area_m2: float
    openings: tuple[BillOpening, ...] = ()
    bands: tuple[BandLeft, ...] = ()


class BillRoom(msgspec.Struct, frozen=True):
    """One room, to be billed. ``excluded_m2``: other parts of its walls that are not coated.

    ``ceiling_m2`` and ``drop_m2``: as coated. ``apart``: what has reveals and lies in no wall that is
    billed, such as a rooflight in a ceiling.
    """

    wall_gross_m2: float
    openings: tuple[BillOpening, ...] = ()
    bands: tuple[BandLeft, ...] = ()
    excluded_m2: float = 0.0
    narrow: tuple[NarrowPart, ...] = ()
    ceiling_m2: float = 0.0
    drop_m2: float = 0.0
    apart: tuple[BillOpening, ...] = ()


class NarrowWork(msgspec.Struct, frozen=True):
    """Work of one kind and width that counts by length."""

    item: Item
    width_m: float
    length_m: float

    @property
    def area_m2(self) -> float:
        """Length × width."""
        return self.length_m * self.width_m


class Billed(msgspec.Struct, frozen=True):
    """What a convention bills of one room, unrounded. ``wall_m2`` includes ``added_reveal_m2``.

    ``ceiling_m2``, ``drop_m2``: as coated, but for what counts by length. ``reveal_m2``: reveals apart, by
    area. ``narrow``: what counts by length, by kind of work, widest first. ``dims``: the working of each.
    """

    convention: str
    wall_m2: float
    deducted_m2: float
    added_reveal_m2: float
    ceiling_m2: float
    drop_m2: float
    reveal_m2: float
    narrow: tuple[NarrowWork, ...]
    dims: tuple[Dim, ...]


def convention_ids() -> tuple[str, ...]:
    """The ids of all conventions that the program knows, sorted."""
    return resource_names(_FOLDER, ".json")


def load(convention_id: str) -> Convention:
    """The convention of that id. Raises InputError, naming those that exist, where there is none."""
    if convention_id not in convention_ids():
        known = ", ".join(convention_ids())
        raise InputError(
            tr(
                "The measuring convention “{name}” is not known: choose one of {known}.",
                name=convention_id,
                known=known,
            )
        )
    data = resource(f"{_FOLDER}/{convention_id}.json").read_bytes()
    return decode(data, convention_id)


def chosen(name: str) -> Convention:
    """The convention that a user names: a file, or the id of one that is known. Raises InputError."""
    if not (name.endswith(".json") or "/" in name or "\\" in name):
        return load(name)
    path = Path(name)
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise InputError(tr("{file} is far too large for a convention: choose another file.", file=path.name))
        return decode(path.read_bytes(), path.stem)
    except OSError as error:
        raise InputError(
            tr("“{file}” could not be read ({reason}): choose another file.", file=path, reason=error.strerror or error)
        ) from error


def of_job(job: Job) -> Convention:
    """The convention of a job's bill: its own copy where it has one, else the one of its id. Raises InputError where
    the copy is damaged or there is no such convention."""
    if job.convention_copy is None:
        return load(job.convention)
    return decode(msgspec.json.encode(job.convention_copy), job.convention)


def as_copy(convention: Convention) -> dict[str, Any]:
    """The convention as a job keeps it: every field of its file."""
    made: dict[str, Any] = msgspec.json.decode(msgspec.json.encode(convention))
    return made


def moved_on(job: Job) -> str:
    """Whether the convention that a job was billed by is another by now: *gone* where there is none of its id,
    *changed* where its file says something else, "" where it is the same or the job has no copy."""
    if job.convention_copy is None:
        return ""
    if job.convention not in convention_ids():
        return "gone"
    return "" if load(job.convention) == of_job(job) else "changed"


def decode(data: bytes, convention_id: str) -> Convention:
    """A convention from its file. Raises InputError where the file contradicts itself."""
    try:
        convention = msgspec.json.decode(data, type=Convention)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
        raise InputError(
            tr("The measuring convention “{name}” cannot be read: {why}.", name=convention_id, why=error)
        ) from error
    limits = [rule.up_to_m2 for rule in convention.openings]
    sizes = [limit for limit in limits if limit is not None]
    widths = (convention.by_length_up_to_mm, convention.least_width_mm, convention.through_up_to_mm)
    shares = [s for r in convention.openings for s in (r.deduct_with_reveal, r.deduct_without_reveal)]
    if convention.id != convention_id:
        fault = tr("it calls itself “{name}”", name=convention.id)
    elif not limits or limits[-1] is not None or None in limits[:-1]:
        fault = tr("its last step, and only that, must be without a limit")
    elif min(widths) < 0 or any(size < 0 for size in sizes):
        fault = tr("a size or a width in it is less than zero")
    elif sizes != sorted(set(sizes)) or any(size <= 0 for size in sizes):
        fault = tr("the sizes of its steps must rise")
    elif not all(0 <= share <= 1 for share in shares):
        fault = tr("a share that is deducted must lie between 0 and 1")
    else:
        return convention
    raise InputError(tr("The measuring convention “{name}” cannot be used: {why}.", name=convention_id, why=fault))


def bill(convention: Convention, room: BillRoom) -> Billed:
    """What is billed of one room; no openings bill the gross area of its walls."""
    dims = [_dim("wall_m2", 1, room.wall_gross_m2, "walls, gross")]
    lengths: dict[tuple[Item, float], float] = {}
    for opening in room.openings:
        dims += [_dim("wall_m2", -share, opening.area_m2, opening.what) for share in _shares(convention, opening)]
        dims += _reveals(convention, opening, _rule_for(convention, opening.area_m2).reveals, lengths)
    dims += [_dim("wall_m2", -1, b.area_m2, b.what) for b in room.bands if not _measured_through(convention, b)]
    if room.excluded_m2:
        dims.append(_dim("wall_m2", -1, room.excluded_m2, "parts not coated"))
    for part in room.narrow:
        dims += _narrow(convention, part, lengths)
    for opening in room.apart:
        dims += _reveals(convention, opening, "apart", lengths)
    dims += [_dim("ceiling_m2", 1, room.ceiling_m2, "ceilings")] if room.ceiling_m2 else []
    dims += [_dim("drop_m2", 1, room.drop_m2, "drops")] if room.drop_m2 else []
    return _summed(convention, room, dims, lengths)


def _shares(convention: Convention, opening: BillOpening) -> list[float]:
    """The share of an opening that is deducted; none where it is not."""
    rule = _rule_for(convention, opening.area_m2)
    share = rule.deduct_with_reveal if opening.reveals else rule.deduct_without_reveal
    return [share] if share else []


def _reveals(
    convention: Convention, opening: BillOpening, how: str, lengths: dict[tuple[Item, float], float]
) -> list[Dim]:
    what = f"reveals of {opening.what}"
    dims = []
    for strip in opening.reveals if how != "none" else ():
        if how == "added":
            dims.append(Dim("wall_m2", 1, (strip.length_m, strip.width_m), strip.area_m2, what, _ADDED))
        elif by_length(convention, strip.width_m):
            lengths["reveals", strip.width_m] = lengths.get(("reveals", strip.width_m), 0.0) + strip.length_m
            dims.append(Dim("reveal_m", 1, (strip.length_m,), strip.length_m, what))
        else:
            width = max(strip.width_m, convention.least_width_mm / 1000.0)
            dims.append(Dim("reveal_m2", 1, (strip.length_m, width), strip.length_m * width, what))
    return dims


_ADDED = "added"
"""Where the dims of reveals stand that are added to the wall."""


def _narrow(convention: Convention, part: NarrowPart, lengths: dict[tuple[Item, float], float]) -> list[Dim]:
    """A part by its length: what is deducted from its area shortens it."""
    area, dims = part.area_m2, []
    for opening in part.openings:
        area -= sum(share * opening.area_m2 for share in _shares(convention, opening))
        dims += _reveals(convention, opening, _rule_for(convention, opening.area_m2).reveals, lengths)
    area -= sum(b.area_m2 for b in part.bands if not _measured_through(convention, b))
    length = area / part.width_m
    lengths[part.item, part.width_m] = lengths.get((part.item, part.width_m), 0.0) + length
    return [*dims, Dim(f"{_QUANTITY[part.item]}_m", 1, (length,), length, f"{part.item}, narrow")]


_QUANTITY = {"walls": "wall", "ceilings": "ceiling", "drops": "drop"}


def _summed(
    convention: Convention, room: BillRoom, dims: list[Dim], lengths: dict[tuple[Item, float], float]
) -> Billed:
    wall = sum(d.product for d in dims if d.quantity == "wall_m2")
    added = sum(d.product for d in dims if d.where == _ADDED)
    return Billed(
        convention=convention.id,
        wall_m2=wall,
        deducted_m2=room.wall_gross_m2 + added - wall,
        added_reveal_m2=added,
        ceiling_m2=room.ceiling_m2,
        drop_m2=room.drop_m2,
        reveal_m2=sum(d.product for d in dims if d.quantity == "reveal_m2"),
        narrow=tuple(
            NarrowWork(item, width, length)
            for item in ITEMS
            for (of, width), length in sorted(lengths.items(), key=lambda found: -found[0][1])
            if of == item
        ),
        dims=tuple(dims),
    )


ITEMS: tuple[Item, ...] = ("walls", "ceilings", "drops", "reveals")
"""The kinds of work that count by length, in the order in which they are listed."""


_SIZE_TOLERANCE_M2 = 1e-9
"""Sizes closer than this are the same: 1.25 × 2.00 is 2.50 however it was computed."""


def _rule_for(convention: Convention, area_m2: float) -> Rule:
    for rule in convention.openings:
        if rule.up_to_m2 is None:
            return rule
        margin = _SIZE_TOLERANCE_M2 if rule.inclusive else -_SIZE_TOLERANCE_M2
        if area_m2 <= rule.up_to_m2 + margin:
            return rule
    raise AssertionError("the last step of a convention has no limit")


_WIDTH_TOLERANCE_M = 1e-9


def by_length(convention: Convention, width_m: float) -> bool:
    """Whether work of that width counts by length."""
    return width_m <= convention.by_length_up_to_mm / 1000.0 + _WIDTH_TOLERANCE_M


def _measured_through(convention: Convention, band: BandLeft) -> bool:
    return band.width_m <= convention.through_up_to_mm / 1000.0 + _WIDTH_TOLERANCE_M


def _dim(quantity: str, times: float, amount: float, what: str) -> Dim:
    return Dim(quantity, times, (amount,), times * amount, what)


NET = "net"
"""The convention that bills what is ordered: every opening deducted."""

_ITEMS: Mapping[str, Item] = {"wall": "walls", "ceiling": "ceilings", "drop": "drops", "top": "drops"}

_WIDTH_PLACES = 6
"""Decimals of a metre to which narrow parts are of one width."""


def bill_room(convention: Convention, room: RoomTakeoff) -> Billed:
    """What a convention bills of one room, for one room.

    Stretches of wall that are not coated are no part of the bill, nor are openings in them; of an
    opening that reaches into one, the part beside the coat counts. Ceilings, drops and tops are billed as
    coated, so that a rooflight is taken off in full, and its shaft is billed apart.
    """
    girths: dict[str, list[RevealGirth]] = {}
    for d in room.dims:
        if d.quantity == "reveal_m2" and len(d.dims) == 2:
            girths.setdefault(d.where, []).append(RevealGirth(d.dims[1], d.times * d.dims[0]))
    narrow, wide = [], []
    for part in (p for p in room.coated_parts if p.area_m2 > 0.0 and p.width_m > 0.0):
        openings = tuple(BillOpening(h.opening, h.area_m2, tuple(girths.pop(h.strips, ()))) for h in part.holes)
        bands = tuple(BandLeft("left on", width, area) for width, area in part.left_on)
        if by_length(convention, part.width_m):
            width = round(part.width_m, _WIDTH_PLACES) or part.width_m
            narrow.append(NarrowPart(_ITEMS[part.kind], width, part.area_m2, openings, bands))
        else:
            wide.append((part, openings, bands))
    walls = [(openings, bands) for part, openings, bands in wide if part.kind == "wall"]
    parts = [part for part, _, _ in wide]
    return bill(
        convention,
        BillRoom(
            wall_gross_m2=_area(parts, "walls"),
            openings=tuple(o for openings, _ in walls for o in openings),
            bands=tuple(b for _, bands in walls for b in bands),
            narrow=tuple(narrow),
            ceiling_m2=_area(parts, "ceilings"),
            drop_m2=_area(parts, "drops"),
            apart=tuple(BillOpening(name, 0.0, tuple(of)) for name, of in girths.items()),
        ),
    )


def _area(parts: list[CoatedPart], item: Item) -> float:
    return sum(part.area_m2 for part in parts if _ITEMS[part.kind] == item)
