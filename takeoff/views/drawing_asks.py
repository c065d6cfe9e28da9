"""What a drawing leaves open: its unit or scale when it is opened, and what recognition proposed of it.

Each choice with what it would mean in lengths that a builder knows; proposals in the order in which a person
should look at them: open questions, what is to check, then what is sure.
"""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median
from typing import Literal

import msgspec

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding, InputError
from takeoff.geometry.rings import ring_area
from takeoff.language import listed, mark, tr, tr_count
from takeoff.plan.model import Confidence, Job, Opening, Room, Storey
from takeoff.plan.opening_groups import OpeningGroup, opening_groups
from takeoff.plan.reasons import all_spoken
from takeoff.recognise.scale.scale_evidence import written_scales
from takeoff.recognise.scale.scale_words import METRIC, name_of, parse_scale
from takeoff.recognise.units.unit_evidence import CANDIDATES, extent
from takeoff.units.lengths import UNIT_MM
from takeoff.units.printing import shown, shown_short
from takeoff.views.naming import KIND_NAMES, labels, storey_name

UNIT_WORDS = {
    "mm": mark("millimetres"),
    "cm": mark("centimetres"),
    "dm": mark("decimetres"),
    "m": mark("metres"),
    "in": mark("inches"),
    "ft": mark("feet"),
    "yd": mark("yards"),
}
USUAL_SCALES = (20.0, 50.0, 100.0, 200.0)
"""What plans of buildings are printed at (common practice, no source)."""
MOST_WRITTEN = 4
SAME_SHARE = 0.005
FEWEST_WAYS = 2
LARGE_M, SMALL_M2 = 100.0, 10.0
NEAR = (0.55, 1.8)
"""Where no usual scale is so near to the one that was taken, others so near are offered too."""
_WAYS = (
    ("door", mark("doors {width} m")),
    ("open", mark("ways through walls {width} m")),
    ("window", mark("windows {width} m")),
)

_CODES: dict[str, tuple[str, ...]] = {
    "unit": ("unit-undecided", "unit-decided", "unit-chosen"),
    "scale": ("scale-undecided", "scale-decided", "scale-chosen"),
}


class Choice(msgspec.Struct, frozen=True):
    """An answer: ``key`` is what a command's option would be given, ``means`` how large things would be."""

    key: str
    words: str
    means: str
    taken: bool = False


class Question(msgspec.Struct, frozen=True):
    """In which unit, or at which scale. ``doubtful``: the drawing does not settle it, or contradicts
    itself; ``why``: what it shows."""

    kind: Literal["unit", "scale"]
    title: str
    taken: str
    why: str
    doubtful: bool
    choices: tuple[Choice, ...]


def question(drawing: Drawing, job: Job, findings: Sequence[Finding]) -> Question | None:
    """The question of a drawing in mm as it was read; None for a picture, a building model, and
    a drawing without lines."""
    if drawing.picture is not None or not len(drawing.lines) or drawing.unit == "unknown":
        return None
    kind: Literal["unit", "scale"] = "scale" if is_sheet(drawing) else "unit"
    told = next((f for f in findings if f.code in _CODES[kind]), None)
    if is_model(drawing):
        return None
    shown = sizes(drawing, job)
    choices = _scales(drawing, shown) if kind == "scale" else _units(drawing, shown)
    taken = next((c.words for c in choices if c.taken), drawing.unit)
    title = tr("At which scale is it drawn?") if kind == "scale" else tr("In which unit is it drawn?")
    doubtful = told is not None and told.severity in ("error", "check")
    why = f"{told.text} {told.evidence}".strip() if told else ""
    return Question(kind, title, taken, why, doubtful, choices)


def is_sheet(drawing: Drawing) -> bool:
    """Whether a drawing is a page of paper, with a scale, and not a model, with a unit."""
    return any(claim.kind == "sheet" for claim in drawing.claims)


def is_model(drawing: Drawing) -> bool:
    """Whether a drawing was cut from a building model, which knows its unit and what its parts are."""
    kinds = {claim.kind for claim in drawing.claims}
    return drawing.picture is None and bool(kinds) and not kinds & {"header", "sheet"}


def pages_of(drawing: Drawing) -> int:
    """How many pages the PDF has that a drawing was read from; 0 where it is none."""
    values = next((dict(c.values) for c in drawing.claims if c.kind == "sheet"), {})
    return int(values.get("pages", 0.0))


def scale_by_length(drawing: Drawing, drawn_mm: float, said_mm: float) -> float:
    """The scale of a page at which a stretch that is now ``drawn_mm`` long is ``said_mm`` long. Raises
    InputError where it would be no scale."""
    return parse_scale(drawing.unit_mm * _ratio(drawn_mm, said_mm))


def unit_by_length(drawing: Drawing, drawn_mm: float, said_mm: float) -> str:
    """The unit in which a stretch that is now ``drawn_mm`` long is ``said_mm`` long. Raises InputError
    where no unit makes it so."""
    wanted = drawing.unit_mm * _ratio(drawn_mm, said_mm)
    best = min(CANDIDATES, key=lambda unit: abs(UNIT_MM[unit] / wanted - 1.0))
    if abs(UNIT_MM[best] / wanted - 1.0) > UNIT_SHARE:
        raise InputError(
            tr(
                "With that length one unit of the drawing is {wanted} mm, which no unit is: pick the two "
                "points again, or choose the unit from the list.",
                wanted=shown_short(wanted, 4),
            )
        )
    return best


_SWINGS = mark("door swings {width} m")

UNIT_SHARE = 0.08
"""A length that was taped is off by less, and no two units are so near to each other."""


def _ratio(drawn_mm: float, said_mm: float) -> float:
    if not 0.0 < drawn_mm < 1e9:
        raise InputError(tr("The two points of the known length are one: pick two that lie far apart."))
    if not 0.0 < said_mm < 1e9:
        raise InputError(tr("The known length must be above zero: type what is written beside it."))
    return said_mm / drawn_mm


def _units(drawing: Drawing, shown: Sizes) -> tuple[Choice, ...]:
    names = [*CANDIDATES, *([drawing.unit] if drawing.unit not in CANDIDATES else [])]
    return tuple(
        Choice(
            name, tr(UNIT_WORDS.get(name, name)), meaning(shown, UNIT_MM[name] / drawing.unit_mm), name == drawing.unit
        )
        for name in names
        if name in UNIT_MM
    )


def _scales(drawing: Drawing, shown: Sizes) -> tuple[Choice, ...]:
    now = drawing.unit_mm
    written = [w.ratio for w in written_scales(_on_paper(drawing))[0]][:MOST_WRITTEN]
    ratios: list[float] = []
    far = not any(NEAR[0] <= r / now <= NEAR[1] for r in USUAL_SCALES)
    near = [float(r) for r in METRIC if far and NEAR[0] <= r / now <= NEAR[1]]
    for ratio in (*written, *USUAL_SCALES, *near, now):
        if all(abs(ratio / known - 1.0) > SAME_SHARE for known in ratios):
            ratios.append(ratio)
    return tuple(
        Choice(
            f"{ratio:g}",
            tr("{scale}, as written", scale=name_of(ratio)) if ratio in written else name_of(ratio),
            meaning(shown, ratio / now),
            abs(ratio / now - 1.0) <= SAME_SHARE,
        )
        for ratio in sorted(ratios)
    )


def _on_paper(drawing: Drawing) -> Drawing:
    """The labels where they are on the paper, which is all that written scales are read from."""
    k = drawing.unit_mm
    labels = tuple(msgspec.structs.replace(v, x=v.x / k, y=v.y / k, height=v.height / k) for v in drawing.labels)
    return msgspec.structs.replace(drawing, labels=labels)


class Sizes(msgspec.Struct, frozen=True):
    """What a builder can tell a wrong unit by, in mm and mm²; None for what is not there. ``ways``:
    what ``way_mm`` is the usual width of, marked."""

    wide_mm: float
    high_mm: float
    way_mm: float | None = None
    ways: str = ""
    room_mm2: float | None = None


def sizes(drawing: Drawing, job: Job) -> Sizes:
    """How large a drawing, its usual door and its largest room are, as it was read."""
    shown = extent(drawing)
    rooms = [
        abs(ring_area([(s.x_mm, s.y_mm, s.bulge) for s in room.outline]))
        for storey in job.storeys
        for room in storey.rooms
    ]
    way, words = _way(job, shown.swing_mm)
    return Sizes(shown.wide_mm, shown.high_mm, way, words, max(rooms, default=None))


def _way(job: Job, swing_mm: float | None) -> tuple[float | None, str]:
    # what an unsure opening is was proposed from its width among others: it tells nothing of the unit
    openings = [(o.kind if o.confidence == "sure" else "open", o) for s in job.storeys for o in s.openings]
    for kind, words in _WAYS:
        widths = [o.width_mm for known, o in openings if known == kind]
        if len(widths) >= FEWEST_WAYS:
            return median(widths), words
    return swing_mm, _SWINGS if swing_mm is not None else ""


def meaning(extents: Sizes, factor: float) -> str:
    """ "10.8 × 15.9 m in all; doors 0.90 m; largest room 24 m²": how large things would be if all
    were ``factor`` times as long."""
    parts = [
        tr("{wide} × {high} m in all", wide=_metres(extents.wide_mm * factor), high=_metres(extents.high_mm * factor))
    ]
    if extents.way_mm is not None:
        parts.append(tr(extents.ways, width=_metres(extents.way_mm * factor, 2)))
    if extents.room_mm2 is not None:
        area = extents.room_mm2 * factor * factor / 1e6
        parts.append(tr("largest room {area} m²", area=_figure(area, 0 if area >= SMALL_M2 else 1)))
    return "; ".join(parts)


def _metres(mm: float, places: int = 1) -> str:
    metres = mm / 1000.0
    return _figure(metres, places if metres < LARGE_M else 0)


def _figure(value: float, places: int) -> str:
    least = 10.0**-places
    return shown(value, places) if value >= least else tr("under {least}", least=shown(least, places))


_ORDER: dict[Confidence, int] = {"question": 0, "check": 1, "sure": 2}


class Proposal(msgspec.Struct, frozen=True):
    """A room, an opening or a group of alike openings, with what speaks for and against it. ``effect``: what
    saying "right" changes; ``group``: (id, room) of each opening of a group, () for one thing alone."""

    kind: Literal["room", "opening", "rooflight"]
    id: str
    room: str
    storey: str
    title: str
    place: str
    confidence: Confidence
    evidence: tuple[str, ...]
    effect: str
    group: tuple[tuple[str, str], ...] = ()

    @property
    def members(self) -> tuple[tuple[str, str], ...]:
        """(id, room) of all that it speaks of."""
        return self.group or ((self.id, self.room),)

    @property
    def refusal(self) -> str:
        """What its second button says."""
        if self.group:
            return tr("No openings")
        return {"room": tr("Not a room"), "opening": tr("No opening"), "rooflight": tr("No rooflight")}[self.kind]


def proposals(job: Job, sure_too: bool = False) -> tuple[Proposal, ...]:
    """Every proposal that is not sure, open questions first, rooms before openings, storey by storey;
    ``sure_too``: after them those that are. What was drawn by hand carries no evidence and is not asked
    about."""
    names = labels(job)
    found = [p for storey in job.storeys for p in _of_storey(job, storey, names)]
    kept = [p for p in found if p.confidence != "sure" or (sure_too and p.evidence)]
    return tuple(sorted(kept, key=lambda p: _ORDER[p.confidence]))


def steps(job: Job, sure_too: bool = False) -> tuple[Proposal, ...]:
    """The proposals with unsure openings that are alike as one, where its first one would stand."""
    found = proposals(job, sure_too)
    group_of = {str(name): g for g in opening_groups(job) if len(g.openings) > 1 for name in g.ids}
    several = len(job.storeys) > 1
    places = {str(s.id): storey_name(s) if several else "" for s in job.storeys}
    kept: list[Proposal] = []
    done: set[int] = set()
    for proposal in found:
        group = group_of.get(proposal.id) if proposal.kind == "opening" else None
        if group is None:
            kept.append(proposal)
        elif id(group) not in done:
            done.add(id(group))
            kept.append(_grouped(group, places[group.storey]))
    return tuple(kept)


def summed_up(found: Sequence[Proposal], job: Job) -> str:
    """ "2 rooms, 12 windows and 3 doors": what proposals are proposed as; "" for none."""
    kinds = {str(o.id): o.kind for s in job.storeys for o in s.openings}
    counted: dict[str, int] = {}
    for proposal in found:
        for name, _ in proposal.members:
            kind = kinds[name] if proposal.kind == "opening" else proposal.kind
            counted[kind] = counted.get(kind, 0) + 1
    return listed([_counted(kind, count) for kind, count in counted.items()])


def _counted(kind: str, count: int) -> str:
    """ "3 windows", by the kind of an opening or of a proposal."""
    if kind == "window":
        return tr_count("{count} window", "{count} windows", count)
    if kind == "door":
        return tr_count("{count} door", "{count} doors", count)
    if kind == "open":
        return tr_count("{count} doorway", "{count} doorways", count)
    if kind == "room":
        return tr_count("{count} room", "{count} rooms", count)
    return tr_count("{count} rooflight", "{count} rooflights", count)


def _grouped(group: OpeningGroup, place: str) -> Proposal:
    first = group.openings[0]
    return Proposal(
        "opening",
        str(first.id),
        str(first.room),
        group.storey,
        f"{_counted(group.kind, len(group.openings))}, {group.widths}",
        ", ".join(part for part in (group.walls, place) if part),
        group.confidence,
        group.reasons,
        tr("They are not measured until you say what they are."),
        tuple((str(o.id), str(o.room)) for o in group.openings),
    )


def _of_storey(job: Job, storey: Storey, names: dict[tuple[str, str], str]) -> list[Proposal]:
    place = storey_name(storey) if len(job.storeys) > 1 else ""
    key = str(storey.id)
    rooms = [_room(room, key, names[key, str(room.id)], place) for room in storey.rooms]
    openings = [_opening(o, key, names.get((key, str(o.room)), str(o.room)), place) for o in storey.openings]
    lights = [
        Proposal(
            "rooflight",
            str(o.id),
            str(o.room),
            key,
            tr("Rooflight {mark}", mark=o.mark).strip(),
            _in(names.get((key, str(o.room)), str(o.room)), place),
            o.confidence,
            all_spoken(o.evidence),
            tr("It is cut out of the ceiling once you accept it."),
        )
        for o in storey.rooflights
    ]
    return [*rooms, *openings, *lights]


def _room(room: Room, storey: str, name: str, place: str) -> Proposal:
    return Proposal(
        "room",
        str(room.id),
        str(room.id),
        storey,
        name,
        place,
        room.confidence,
        all_spoken(room.evidence),
        tr("It is measured as it stands.") if room.confidence != "sure" else "",
    )


def _opening(opening: Opening, storey: str, room: str, place: str) -> Proposal:
    name = " ".join(part for part in (tr(KIND_NAMES[opening.kind]), opening.mark) if part)
    title = tr("{opening}, {width} m wide", opening=name, width=shown(opening.width_mm / 1000.0))
    effect = tr("It is not measured until you accept it.") if opening.confidence != "sure" else ""
    return Proposal(
        "opening",
        str(opening.id),
        str(opening.room),
        storey,
        title,
        _in(room, place),
        opening.confidence,
        all_spoken(opening.evidence),
        effect,
    )


def _in(room: str, place: str) -> str:
    return tr("in {room}, {storey}", room=room, storey=place) if place else tr("in {room}", room=room)


def counts(job: Job) -> tuple[int, int]:
    """(rooms, openings and rooflights) that are not sure."""
    rooms = sum(room.confidence != "sure" for storey in job.storeys for room in storey.rooms)
    ways = sum(o.confidence != "sure" for storey in job.storeys for o in storey.openings)
    ways += sum(o.confidence != "sure" for storey in job.storeys for o in storey.rooflights)
    return rooms, ways
