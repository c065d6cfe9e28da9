"""The sentences on the first page: what is coated and what is not, what was assumed, what is to check or to confirm."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal

from msgspec.structs import replace

from takeoff.errors import Finding
from takeoff.findings import settled_by
from takeoff.language import listed, mark, number, tr, tr_count
from takeoff.measure.customs_assumed import custom_effects
from takeoff.measure.outside_rule import outside_parts
from takeoff.measure.takeoff import Face, RoomTakeoff, Takeoff
from takeoff.plan.customs import USUAL_ARCHITRAVE_MM, USUAL_COVING_MM, USUAL_SKIRTING_MM
from takeoff.plan.model import Job, Opening, Room, WallTreatment
from takeoff.plan.price_terms import PricedItem
from takeoff.sheets.change_worth import with_worth
from takeoff.sheets.feet import in_feet, length_words
from takeoff.sheets.line_words import part_words
from takeoff.sheets.sheet_values import EVERYBODY, Line
from takeoff.supply.systems import in_words, of_job
from takeoff.units.printing import fmt2, printed, shown, shown_short

_STEP_M = 0.1
"""The change of height whose effect is told: 100 mm."""

_IN_WORDS = ("outside-as-drawn", "stair-drawn")
"""Told in their own words to the client: he knows what stands there."""

_END_MM = 1.0
"""Stretches this close to the ends of their face, and heads this close to a ceiling, reach them."""


def first_page_lines(
    job: Job,
    takeoff: Takeoff,
    findings: Sequence[Finding],
    height_effect_m2: float | None,
    not_coated: str = "",
    to_confirm: str = "",
    two_totals: tuple[Line, ...] = (),
) -> tuple[Line, ...]:
    """Coated, Not coated, Assumed, Trim and To check; an empty takeoff gives only what is to check.

    ``not_coated`` and ``to_confirm`` are the client's; the team reads how many findings there are.
    ``two_totals``: a line where openings in question make a second one.

    ``height_effect_m2``: what 100 mm more height adds to the walls of rooms with assumed
    heights; None works it out from the takeoff.
    """
    lines = []
    if takeoff.rooms:
        lines.append(Line(tr("Coated"), coated_text(takeoff)))
        if not_coated:
            lines.append(Line(tr("Not coated"), not_coated))
        lines += _assumed_lines(job, takeoff, height_effect_m2)
        customs = customs_text(job)
        if customs:
            lines.append(Line(tr("Trim"), customs))
    lines += two_totals
    check = to_check_text(takeoff, findings, bool(two_totals))
    if check:
        lines.append(Line(tr("To check"), check, urgent=True, audience=("team",)))
    if to_confirm:
        lines.append(Line(tr("To confirm"), to_confirm, urgent=True, audience=("client",)))
    return tuple(lines)


def coated_text(takeoff: Takeoff) -> str:
    """ "All walls, all ceilings, reveals (jambs and heads of openings)."; says what is only partly coated."""
    parts = []
    whole, some = _walls_coated(takeoff.rooms)
    if whole:
        parts.append(tr("all walls"))
    elif some:
        parts.append(tr("walls as shown on the plan"))
        parts += _partly_outside(takeoff.rooms)
    with_ceiling = [room for room in takeoff.rooms if room.ceiling_m2 > 0]
    if with_ceiling:
        count, of = len(with_ceiling), len(takeoff.rooms)
        parts.append(
            tr("all ceilings") if count == of else tr("ceilings of {count} of {all} rooms", count=count, all=of)
        )
    if any(room.drop_m2 > 0 for room in takeoff.rooms):
        parts.append(tr("bulkheads (ceiling hung lower), boxing (round pipes and beams) and dwarf walls"))
    if any(room.reveal_m2 > 0 for room in takeoff.rooms):
        parts.append(tr("reveals (jambs and heads of openings)"))
    return _sentence(parts or [tr("nothing")], ", ")


def _assumed_lines(job: Job, takeoff: Takeoff, height_effect_m2: float | None) -> list[Line]:
    """What is assumed: for the client with what it is worth, for the team without money; none where nothing is."""
    lines = []
    for reader in EVERYBODY:
        priced = reader == "client"
        said = (
            assumed_text(job, takeoff, height_effect_m2, priced=priced),
            assumed_customs_text(job, takeoff, priced=priced),
        )
        if any(said):
            lines.append(Line(tr("Assumed"), " ".join(filter(None, said)), audience=(reader,)))
    return (
        lines if len({line.text for line in lines}) > 1 else [replace(line, audience=EVERYBODY) for line in lines[:1]]
    )


def coat_words(job: Job) -> str:
    """ "Coat: Demo lime foam, 1.4 mm.": what the job is coated with, and how thick."""
    system = in_words(of_job(job))
    return tr("Coat: {system}, {size} mm.", system=system.name, size=shown_short(system.coat.thickness_mm, 1))


def _sentence(parts: Sequence[str], between: str = "; ") -> str:
    """The parts as one sentence; "" for none."""
    text = between.join(parts)
    return text[0].upper() + text[1:] + "." if text else ""


def _partly_outside(rooms: Sequence[RoomTakeoff]) -> list[str]:
    """How walls that are outside over a part of their length are coated: over that part, or whole."""
    faces = [face for room in rooms for face in room.faces if outside_parts(face) and face.coated_mm]
    whole = sum(1 for face in faces if _reaches_over(face))
    parts = []
    if len(faces) > whole:
        parts.append(
            tr_count(
                "{count} wall over its outside part only",
                "{count} walls over their outside parts only",
                len(faces) - whole,
            )
        )
    if whole:
        parts.append(
            tr_count(
                "{count} wall outside over a part, coated whole",
                "{count} walls outside over a part, coated whole",
                whole,
            )
        )
    return parts


def _reaches_over(face: Face) -> bool:
    """Whether one stretch of coat goes from end to end of a face."""
    return len(face.coated_mm) == 1 and face.coated_mm[0][1] - face.coated_mm[0][0] >= face.length_m * 1000 - _END_MM


def assumed_text(job: Job, takeoff: Takeoff, height_effect_m2: float | None = None, priced: bool = False) -> str:
    """What nobody gave: heights with what 100 mm would change, then openings and reveals; "" if nothing. ``priced``:
    with what a change is worth."""
    parts = []
    assumed = [storey for storey in job.storeys if storey.height_source == "assumed"]
    if assumed:
        heights = [length_words(mm, in_feet(job)) for mm in sorted({storey.height_mm for storey in assumed})]
        effect = height_effect(job, takeoff) if height_effect_m2 is None else height_effect_m2
        parts.append(
            tr(
                "walls {heights} high (each 100 mm more or less changes the walls by {effect})",
                heights=listed(heights),
                effect=_change(job, effect, "m²", ("walls",), priced),
            )
        )
    openings = [opening for storey in job.storeys for opening in storey.openings]
    parts += _assumed_openings(openings)
    return _sentence(parts)


_PRICED_AS: dict[str, tuple[PricedItem, ...]] = {
    "skirting": ("walls",),
    "coving": ("walls", "ceilings"),
    "architraves": ("walls",),
}
"""What the coat under each is priced as; coving lies on walls and ceilings in equal parts."""

_ON = {"skirting": USUAL_SKIRTING_MM, "coving": USUAL_COVING_MM, "architraves": USUAL_ARCHITRAVE_MM}


def _change(job: Job, amount: float, unit: str, items: Sequence[PricedItem], priced: bool) -> str:
    return with_worth(job, amount, unit, items) if priced else f"{shown(amount, 1)} {unit}"


def assumed_customs_text(job: Job, takeoff: Takeoff, priced: bool = False) -> str:
    """ "Skirting and coving are removed and refitted by others (if kept: 120 mm of skirting about 4.2 m² less, …).":
    what is assumed of customs, with what the other answer would change; "" once all is said."""
    effects = custom_effects(job, takeoff)
    off = [effect for effect in effects if effect.of in _ON]
    parts = []
    if off:
        less = [
            tr(
                "{size} mm of {what} about {change} less",
                size=shown(_ON[e.of], 0),
                what=tr(e.of),
                change=_change(job, e.amount, "m²", _PRICED_AS[e.of], priced),
            )
            for e in off
        ]
        parts.append(
            tr_count(
                "{what} is removed and refitted by others (if kept: {less})",
                "{what} are removed and refitted by others (if kept: {less})",
                _plural([e.of for e in off]),
                what=listed([tr(e.of) for e in off]),
                less=", ".join(less),
            )
        )
    bead = next((effect for effect in effects if effect.of == "arrises"), None)
    if bead is not None:
        length = _change(job, bead.amount, "m", ("bead",), priced)
        parts.append(tr("new corner bead on all arrises (up to {length} less if sound bead is kept)", length=length))
    return _sentence(parts)


def _plural(names: Sequence[str]) -> int:
    """2 where a verb takes the plural: for several things, and for architraves."""
    return 1 if len(names) == 1 and names[0] != "architraves" else 2


def customs_text(job: Job) -> str:
    """What was said of skirting, coving, architraves and arrises, as facts; "" where nothing was."""
    said = job.customs
    sizes = (("skirting", said.skirting_mm), ("coving", said.coving_mm), ("architraves", said.architrave_mm))
    off = [what for what, mm in sizes if mm == 0]
    on = [(what, mm) for what, mm in sizes if mm]
    parts = []
    if off:
        parts.append(
            tr_count(
                "{what} is removed and refitted by others",
                "{what} are removed and refitted by others",
                _plural(off),
                what=listed([tr(what) for what in off]),
            )
        )
    if on:
        parts.append(
            tr_count(
                "{what} is kept and coated up to",
                "{what} are kept and coated up to",
                _plural([what for what, _ in on]),
                what=listed([tr("{what} {size} mm", what=tr(what), size=shown_short(mm)) for what, mm in on]),
            )
        )
    if said.bead_said:
        parts.append(tr(_BEADS[job.bead_default]))
    return _sentence(parts)


_BEADS = {
    "new": mark("arrises get new corner bead"),
    "existing": mark("sound arrises keep their bead"),
    "none": mark("arrises get no bead"),
}


def summed_change_m2(takeoff: Takeoff) -> Decimal:
    """What the uncertain openings change, each deducted by itself, in all."""
    return sum((printed(effect.change.get("coated_m2", 0.0)) for effect in takeoff.unsure), Decimal(0))


def to_check_text(takeoff: Takeoff, findings: Sequence[Finding], two_totals: bool = False) -> str:
    """How many findings are to be mended or looked at, and what unsure openings would change, unless a line of
    ``two_totals`` says so; "" if none."""
    parts = []
    errors = sum(1 for finding in findings if finding.severity == "error")
    checks = sum(1 for finding in findings if finding.severity == "check")
    if errors:
        parts.append(
            tr_count(
                "{count} finding to fix before these figures can be used",
                "{count} findings to fix before these figures can be used",
                errors,
            )
        )
    if checks:
        parts.append(tr_count("{count} finding to check", "{count} findings to check", checks))
    unsure = [room for room in takeoff.rooms if room.confidence != "sure"]
    if unsure:
        parts.append(tr_count("{count} uncertain room (marked ?)", "{count} uncertain rooms (marked ?)", len(unsure)))
    if takeoff.unsure:
        parts.append(_not_deducted(len(takeoff.unsure), "" if two_totals else signed(summed_change_m2(takeoff))))
    return _sentence(parts)


def _not_deducted(count: int, change: str) -> str:
    """How many openings are uncertain, and what they would change in all; "" where that is said elsewhere."""
    if not change:
        return tr_count(
            "{count} uncertain opening (marked ?) is not deducted",
            "{count} uncertain openings (marked ?) are not deducted",
            count,
        )
    return tr_count(
        "{count} uncertain opening (marked ?) is not deducted: with it, {change} m² of coat",
        "{count} uncertain openings (marked ?) are not deducted: with all of them, {change} m² of coat",
        count,
        change=change,
    )


def height_effect(job: Job, takeoff: Takeoff) -> float:
    """m² of wall that 100 mm more height adds, over all rooms that take their storey's assumed height.

    Counts the stretches of each face that carry coat: gaps that reach the ceiling carry none and
    are taken to rise with it. Rooms with a ceiling of their own do not follow the storey's height.
    Times count.
    """
    measured = {(room.storey, room.room): room for room in takeoff.rooms}
    total = 0.0
    for storey in job.storeys:
        if storey.height_source != "assumed":
            continue
        for room in storey.rooms:
            found = measured.get((storey.id, room.id))
            if found and room.ceiling is None:
                total += _coated_length_m(found) * _STEP_M * room.times * storey.times
    return total


def signed(value: Decimal) -> str:
    """ "+1.20", "−0.30", "0.00"."""
    return f"{'+' if value > 0 else ''}{number(value)}"


def _coated_length_m(room: RoomTakeoff) -> float:
    return sum(b - a for face in room.faces for a, b in face.coated_mm) / 1000.0


def _walls_coated(rooms: Sequence[RoomTakeoff]) -> tuple[bool, bool]:
    """Whether every wall face is coated over its whole length, and whether any is at all."""
    faces = [face for room in rooms for face in room.faces if face.gross_m2 > 0]
    lengths = [sum(b - a for a, b in face.coated_mm) for face in faces]
    whole = all(done >= face.length_m * 1000.0 - _END_MM for done, face in zip(lengths, faces, strict=True))
    return bool(faces) and whole, any(lengths)


def _assumed_openings(openings: Sequence[Opening]) -> list[str]:
    windows = [o for o in openings if o.kind == "window"]
    heads = [o for o in openings if o.kind != "window" and o.head_source == "assumed"]
    sills = [o for o in windows if "assumed" in (o.sill_source, o.head_source)]
    reveals = [o for o in openings if _assumed_depth(o)]
    parts = []
    if sills:
        parts.append(tr_count("sill or head of {count} window", "sill or head of {count} windows", len(sills)))
    if heads:
        parts.append(tr_count("head of {count} door", "heads of {count} doors", len(heads)))
    if reveals:
        parts.append(tr_count("reveal depth of {count} opening", "reveal depth of {count} openings", len(reveals)))
    return parts


def _assumed_depth(opening: Opening) -> bool:
    strips = (opening.reveal.start, opening.reveal.end, opening.reveal.head, opening.reveal.sill)
    return any(strip.depth_source == "assumed" and strip.coat for strip in strips)


_LEAST_M2 = 0.005
"""Less than this prints as nothing."""

_MOST_NAMED = 4
"""More rooms or openings than this are counted and not named."""

_ALWAYS = mark("floors, doors, window frames and glass")
"""What no coat of a room side covers (common practice, no source)."""

Labels = Mapping[tuple[str, str], str]


def not_coated_text(job: Job, takeoff: Takeoff, labels: Labels) -> str:
    """What is not in the figures: rooms, walls, ceilings, what stays on them, sills; never empty.

    "G4 Store; ceiling of G3 WC; 4.38 m² behind skirting and tiles; window sills; floors, …"
    """
    bare = [room for room in takeoff.rooms if room.coated_m2 < _LEAST_M2]
    rest = [room for room in takeoff.rooms if room.coated_m2 >= _LEAST_M2]
    parts = [_named(bare, labels)] if bare else []
    walls = sum(room.not_coated_m2 * room.times for room in rest)
    if walls >= _LEAST_M2:
        parts.append(tr("{area} m² of wall not shown as coated on the plan", area=fmt2(walls)))
    ceilings = [room for room in rest if room.ceiling_m2 < _LEAST_M2]
    if len(ceilings) > _MOST_NAMED:
        parts.append(tr_count("ceiling of {count} room", "ceilings of {count} rooms", len(ceilings)))
    elif ceilings:
        named = _named(ceilings, labels)
        parts.append(
            tr("ceiling of {room}", room=named) if len(ceilings) == 1 else tr("ceilings of {rooms}", rooms=named)
        )
    kept = sum(room.excluded_m2 * room.times for room in rest)
    if kept >= _LEAST_M2:
        what = listed(_left_on(job)) or tr("what is kept or masked")
        parts.append(tr("{area} m² behind {what}, shown as kept", area=fmt2(kept), what=what))
    if any(o.kind == "window" and not o.reveal.sill.coat for s in job.storeys for o in s.openings):
        parts.append(tr("window sills"))
    return " ".join(filter(None, (_sentence([*parts, tr(_ALWAYS)]), _number_words(job, bare, ceilings))))


def _number_words(job: Job, *named: Sequence[RoomTakeoff]) -> str:
    """What the numbers before rooms' names are, where a room with one is named; else ""."""
    keys = {(room.storey, room.room) for rooms in named if len(rooms) <= _MOST_NAMED for room in rooms}
    numbers = [r.number for s in job.storeys for r in s.rooms if (s.id, r.id) in keys and r.number]
    return tr("Numbers such as {number} stand on the plan.", number=numbers[0]) if numbers else ""


def to_confirm_text(
    takeoff: Takeoff,
    findings: Sequence[Finding],
    labels: Labels,
    opening: Callable[[str, str], str],
    two_totals: bool = False,
) -> str:
    """The open questions in one sentence; "" if there are none."""
    return _sentence(_questions(takeoff, findings, labels, opening, two_totals))


def questions_to_confirm(
    takeoff: Takeoff,
    findings: Sequence[Finding],
    labels: Labels,
    opening: Callable[[str, str], str],
    two_totals: bool = False,
) -> tuple[str, ...]:
    """What the client is asked, each a question that he can answer on paper; () where nothing is open."""
    asked = []
    unsure = [room for room in takeoff.rooms if room.confidence != "sure"]
    if unsure:
        names = [labels[room.storey, room.room] for room in unsure]
        asked.append(
            tr_count(
                "Is the room marked ? on the plan there as drawn: {rooms}?",
                "Are the {count} rooms marked ? on the plan there as drawn: {rooms}?",
                len(names),
                rooms=listed(names),
            )
            if len(names) <= _MOST_NAMED
            else tr("Are the {count} rooms marked ? on the plan there as drawn?", count=len(names))
        )
    if takeoff.unsure:
        asked.append(_openings_asked([opening(effect.room, effect.opening) for effect in takeoff.unsure]))
        if not two_totals:
            asked[-1] = f"{asked[-1]} {_sentence([_effect(takeoff)])}"
    asked += [f"{f.text} {f.evidence}".strip() for f in findings if f.code in _IN_WORDS]
    return tuple(asked)


def _openings_asked(names: Sequence[str]) -> str:
    """What the openings are that nobody knows, by their names where they are few."""
    if len(names) > _MOST_NAMED:
        return tr(
            "Are the {count} openings marked ? on the plan windows, doors or doorways with no door?", count=len(names)
        )
    return tr_count(
        "Is the opening marked ? on the plan a window, a door or a doorway with no door: {openings}?",
        "Are the {count} openings marked ? on the plan windows, doors or doorways with no door: {openings}?",
        len(names),
        openings=listed(list(names)),
    )


def _questions(
    takeoff: Takeoff, findings: Sequence[Finding], labels: Labels, opening: Callable[[str, str], str], two_totals: bool
) -> list[str]:
    """The open questions in words of the client.

    ``findings`` are those about the plan and its measuring; ``opening`` names an opening by room
    and id. ``two_totals``: what all openings in question change together is said in a line of its own.
    """
    parts = []
    errors = sum(1 for finding in findings if finding.severity == "error")
    if errors:
        parts.append(
            tr_count(
                "{count} point to settle before these figures can be used",
                "{count} points to settle before these figures can be used",
                errors,
            )
        )
    unsure = [room for room in takeoff.rooms if room.confidence != "sure"]
    if unsure:
        parts.append(
            _with_names(
                tr_count("{count} room to confirm (marked ?)", "{count} rooms to confirm (marked ?)", len(unsure)),
                [labels[room.storey, room.room] for room in unsure],
            )
        )
    if takeoff.unsure:
        names = [opening(effect.room, effect.opening) for effect in takeoff.unsure]
        part = _with_names(
            tr_count("{count} opening to confirm (marked ?)", "{count} openings to confirm (marked ?)", len(names)),
            names,
        )
        parts.append(part if two_totals else f"{part}; {_effect(takeoff)}")
    parts += [_within(f"{f.text} {f.evidence}".strip()) for f in findings if f.code in _IN_WORDS]
    return [*parts, *_still_checked(findings, {"room": unsure, "openings": takeoff.unsure})]


def _effect(takeoff: Takeoff) -> str:
    """What the openings change that are not deducted, in m² of coat."""
    return tr_count(
        "if it is one, {change} m² of coat",
        "if all of them are, {change} m² of coat",
        len(takeoff.unsure),
        change=signed(summed_change_m2(takeoff)),
    )


def _still_checked(findings: Sequence[Finding], told: Mapping[str, Sequence[object]]) -> list[str]:
    """How many points the contractor himself still checks, which no client can answer and nothing else on the page
    tells; nothing for none."""
    checks = sum(
        1
        for finding in findings
        if finding.severity == "check" and finding.code not in _IN_WORDS and not told.get(settled_by(finding))
    )
    if not checks:
        return []
    return [
        tr_count(
            "{count} point of the measuring is still checked on site",
            "{count} points of the measuring are still checked on site",
            checks,
        )
    ]


def _within(sentence: str) -> str:
    """A sentence as a part of a longer one."""
    return sentence[:1].lower() + sentence[1:].rstrip(".")


def _named(rooms: Sequence[RoomTakeoff], labels: Labels) -> str:
    """The rooms by name; many are counted."""
    if len(rooms) > _MOST_NAMED:
        return tr_count("{count} room", "{count} rooms", len(rooms))
    return listed([labels[room.storey, room.room] for room in rooms])


def _with_names(said: str, names: Sequence[str]) -> str:
    """The count, and after it the names where they are few."""
    return f"{said}: {', '.join(names)}" if len(names) <= _MOST_NAMED else said


def _left_on(job: Job) -> list[str]:
    """What is kept on walls and ceilings, in the job's own words, each once; usual words in the user's language."""
    said = job.customs
    sizes = (("skirting", said.skirting_mm), ("coving", said.coving_mm), ("architraves", said.architrave_mm))
    found: dict[str, None] = {tr(what): None for what, mm in sizes if mm}
    for storey in job.storeys:
        for room in storey.rooms:
            for treatment in _treatments(room):
                found |= {part_words(band.what): None for band in treatment.bands if band.what and band.to_mm > 0}
                found |= {part_words(tiles.what): None for tiles in treatment.exclusions if tiles.what}
    return list(found)


def _treatments(room: Room) -> list[WallTreatment]:
    sides = room.sides
    own = [side.treatment for side in sides if side.treatment]
    return [room.walls, *own]
