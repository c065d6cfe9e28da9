"""The sentences on the first page: what is coated and what is not, what was assumed, what is to check or to confirm."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal

from takeoff.errors import Finding
from takeoff.findings import settled_by
from takeoff.measure.customs_assumed import custom_effects
from takeoff.measure.outside_rule import outside_parts
from takeoff.measure.takeoff import Face, RoomTakeoff, Takeoff
from takeoff.plan.customs import USUAL_ARCHITRAVE_MM, USUAL_COVING_MM, USUAL_SKIRTING_MM
from takeoff.plan.model import Job, Opening, Room, WallTreatment
from takeoff.sheets.sheet_values import Line
from takeoff.units.printing import fmt2, printed

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
        lines.append(Line("Coated", coated_text(takeoff)))
        if not_coated:
            lines.append(Line("Not coated", not_coated))
        said = (assumed_text(job, takeoff, height_effect_m2), assumed_customs_text(job, takeoff))
        assumed = " ".join(text for text in said if text)
        if assumed:
            lines.append(Line("Assumed", assumed))
        customs = customs_text(job)
        if customs:
            lines.append(Line("Trim", customs))
    lines += two_totals
    check = to_check_text(takeoff, findings, bool(two_totals))
    if check:
        lines.append(Line("To check", check, urgent=True, audience=("team",)))
    if to_confirm:
        lines.append(Line("To confirm", to_confirm, urgent=True, audience=("client",)))
    return tuple(lines)


def coated_text(takeoff: Takeoff) -> str:
    """ "All walls, all ceilings, sides and tops of openings (reveals)."; says what is only partly coated."""
    parts = []
    whole, some = _walls_coated(takeoff.rooms)
    if whole:
        parts.append("all walls")
    elif some:
        parts.append("walls as the band on the plan shows")
        parts += _partly_outside(takeoff.rooms)
    with_ceiling = [room for room in takeoff.rooms if room.ceiling_m2 > 0]
    if with_ceiling:
        every = len(with_ceiling) == len(takeoff.rooms)
        parts.append("all ceilings" if every else f"ceilings of {len(with_ceiling)} of {len(takeoff.rooms)} rooms")
    if any(room.drop_m2 > 0 for room in takeoff.rooms):
        parts.append("sides of beams, boxing and low walls")
    if any(room.reveal_m2 > 0 for room in takeoff.rooms):
        parts.append("sides and tops of openings (reveals)")
    text = ", ".join(parts) if parts else "nothing"
    return text[0].upper() + text[1:] + "."


def _partly_outside(rooms: Sequence[RoomTakeoff]) -> list[str]:
    """How walls that are outside over a part of their length are coated: over that part, or whole."""
    faces = [face for room in rooms for face in room.faces if outside_parts(face) and face.coated_mm]
    whole = sum(1 for face in faces if _reaches_over(face))
    parts = []
    if len(faces) > whole:
        parts.append(f"{counted(len(faces) - whole, 'wall')} over {'its' if len(faces) - whole == 1 else 'their'} "
                     "outside part only")  # fmt: skip
    if whole:
        parts.append(f"{counted(whole, 'wall')} outside over a part, coated whole")
    return parts


def _reaches_over(face: Face) -> bool:
    """Whether one stretch of coat goes from end to end of a face."""
    return len(face.coated_mm) == 1 and face.coated_mm[0][1] - face.coated_mm[0][0] >= face.length_m * 1000 - _END_MM


def assumed_text(job: Job, takeoff: Takeoff, height_effect_m2: float | None = None) -> str:
    """What nobody gave: heights with what 100 mm would change, then openings and reveals; "" if nothing."""
    parts = []
    assumed = [storey for storey in job.storeys if storey.height_source == "assumed"]
    if assumed:
        heights = sorted({fmt2(storey.height_mm / 1000) for storey in assumed})
        effect = height_effect(job, takeoff) if height_effect_m2 is None else height_effect_m2
        parts.append(
            f"walls {' and '.join(heights)} m high; each 100 mm more or less changes the walls by "
            f"{printed(effect, 1)} m²"
        )
    openings = [opening for storey in job.storeys for opening in storey.openings]
    parts += _assumed_openings(openings)
    text = "; ".join(parts)
    return text[0].upper() + text[1:] + "." if text else ""


_ON = {"skirting": USUAL_SKIRTING_MM, "coving": USUAL_COVING_MM, "architraves": USUAL_ARCHITRAVE_MM}


def assumed_customs_text(job: Job, takeoff: Takeoff) -> str:
    """ "Skirting and coving come off before the coat (left on: 120 mm of skirting about 4.2 m² less, …).": what is
    assumed of customs, with what the other answer would change; "" once all is said."""
    effects = custom_effects(job, takeoff)
    off = [effect for effect in effects if effect.of in _ON]
    parts = []
    if off:
        one = len(off) == 1 and off[0].of != "architraves"
        less = ", ".join(f"{_ON[effect.of]:.0f} mm of {effect.of} about {effect.words} less" for effect in off)
        parts.append(
            f"{joined([e.of for e in off])} {'comes' if one else 'come'} off before the coat (left on: {less})"
        )
    bead = next((effect for effect in effects if effect.of == "arrises"), None)
    if bead is not None:
        parts.append(f"new bead on all arrises (up to {bead.words} less if sound ones keep theirs)")
    text = "; ".join(parts)
    return text[0].upper() + text[1:] + "." if text else ""


def customs_text(job: Job) -> str:
    """What was said of skirting, coving, architraves and arrises, as facts; "" where nothing was."""
    said = job.customs
    sizes = (("skirting", said.skirting_mm), ("coving", said.coving_mm), ("architraves", said.architrave_mm))
    off = [what for what, mm in sizes if mm == 0]
    on = [f"{what} {mm:g} mm" for what, mm in sizes if mm]
    parts = []
    if off:
        parts.append(f"{joined(off)} {'comes' if off in (['skirting'], ['coving']) else 'come'} off before the coat")
    if on:
        one = len(on) == 1 and not said.architrave_mm
        parts.append(f"{joined(on)} {'stays' if one else 'stay'} on and {'is' if one else 'are'} coated up to")
    if said.bead_said:
        parts.append(_BEADS[job.bead_default])
    text = "; ".join(parts)
    return text[0].upper() + text[1:] + "." if text else ""


_BEADS = {"new": "arrises get new bead", "existing": "sound arrises keep their bead", "none": "arrises get no bead"}


def joined(words: Sequence[str]) -> str:
    """ "skirting", "skirting and coving", "skirting, coving and architraves"."""
    return " and ".join(part for part in (", ".join(words[:-1]), *words[-1:]) if part)


def summed_change_m2(takeoff: Takeoff) -> Decimal:
    """What the openings in question change, each taken in by itself, in all."""
    return sum((printed(effect.change.get("coated_m2", 0.0)) for effect in takeoff.unsure), Decimal(0))


def to_check_text(takeoff: Takeoff, findings: Sequence[Finding], two_totals: bool = False) -> str:
    """How many findings are to be mended or looked at, and what unsure openings would change, unless a line of
    ``two_totals`` says so; "" if none."""
    parts = []
    errors = sum(1 for finding in findings if finding.severity == "error")
    checks = sum(1 for finding in findings if finding.severity == "check")
    if errors:
        parts.append(f"{counted(errors, 'finding')} to mend before these figures hold")
    if checks:
        parts.append(f"{counted(checks, 'finding')} to look at")
    unsure = [room for room in takeoff.rooms if room.confidence != "sure"]
    if unsure:
        parts.append(f"{counted(len(unsure), 'room')} not sure (marked ?)")
    if takeoff.unsure:
        change = f": taken off, {'they' if len(takeoff.unsure) > 1 else 'it'} would change the coat by "
        change += f"{signed(summed_change_m2(takeoff))} m²"
        parts.append(
            f"{counted(len(takeoff.unsure), 'opening')} not sure (marked ?) and not taken off"
            f"{'' if two_totals else change}"
        )
    text = "; ".join(parts)
    return text[0].upper() + text[1:] + "." if text else ""


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
    return f"{'+' if value > 0 else '−' if value < 0 else ''}{abs(value)}"


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
        parts.append(f"sill or head of {counted(len(sills), 'window')}")
    if heads:
        parts.append(f"head of {counted(len(heads), 'door')}")
    if reveals:
        parts.append(f"reveal depth of {counted(len(reveals), 'opening')}")
    return parts


def _assumed_depth(opening: Opening) -> bool:
    strips = (opening.reveal.start, opening.reveal.end, opening.reveal.head, opening.reveal.sill)
    return any(strip.depth_source == "assumed" and strip.coat for strip in strips)


def counted(number: int, noun: str) -> str:
    """ "1 door", "3 doors"."""
    return f"{number} {noun}{'' if number == 1 else 's'}"


_LEAST_M2 = 0.005
"""Less than this prints as nothing."""

_MOST_NAMED = 4
"""More rooms or openings than this are counted and not named."""

_ALWAYS = "floors, doors, window frames and glass"
"""What no coat of a room side covers (common practice, no source)."""

Labels = Mapping[tuple[str, str], str]


def not_coated_text(job: Job, takeoff: Takeoff, labels: Labels) -> str:
    """What is not in the figures: rooms, walls, ceilings, what stays on them, sills; never empty.

    "Not G4 Store; ceiling of G3 WC; 4.38 m² behind skirting, tiles; window sills; floors, …"
    """
    bare = [room for room in takeoff.rooms if room.coated_m2 < _LEAST_M2]
    rest = [room for room in takeoff.rooms if room.coated_m2 >= _LEAST_M2]
    parts = [_named("", bare, labels)] if bare else []
    walls = sum(room.not_coated_m2 * room.times for room in rest)
    if walls >= _LEAST_M2:
        parts.append(f"{fmt2(walls)} m² of wall without a band on the plan")
    ceilings = [room for room in rest if room.ceiling_m2 < _LEAST_M2]
    if ceilings:
        parts.append(_named("ceiling of " if len(ceilings) == 1 else "ceilings of ", ceilings, labels))
    left_on = sum(room.excluded_m2 * room.times for room in rest)
    if left_on >= _LEAST_M2:
        what = ", ".join(_left_on(job)) or "what is left on the walls"
        parts.append(f"{fmt2(left_on)} m² behind {what}")
    if any(o.kind == "window" and not o.reveal.sill.coat for s in job.storeys for o in s.openings):
        parts.append("window sills")
    text = "; ".join([*parts, _ALWAYS])
    return text[0].upper() + text[1:] + "."


def to_confirm_text(
    takeoff: Takeoff,
    findings: Sequence[Finding],
    labels: Labels,
    opening: Callable[[str, str], str],
    two_totals: bool = False,
) -> str:
    """The open questions in words a client can answer; "" if there are none.

    ``findings`` are those about the plan and its measuring; ``opening`` names an opening by room
    and id. ``two_totals``: what all openings in question change together is said in a line of its own.
    """
    parts = []
    errors = sum(1 for finding in findings if finding.severity == "error")
    if errors:
        parts.append(f"{counted(errors, 'point')} to settle before these figures hold")
    unsure = [room for room in takeoff.rooms if room.confidence != "sure"]
    if unsure:
        parts.append(f"{counted(len(unsure), 'room')} to confirm (marked ?){_listed(unsure, labels)}")
    if takeoff.unsure:
        names = [opening(effect.room, effect.opening) for effect in takeoff.unsure]
        named = f": {', '.join(names)}" if len(names) <= _MOST_NAMED else ""
        change = f"; a change of {signed(summed_change_m2(takeoff))} m² if "
        change += "it is one" if len(takeoff.unsure) == 1 else "all of them are"
        parts.append(f"{counted(len(names), 'opening')} to confirm (marked ?){named}{'' if two_totals else change}")
    parts += [_within(f"{f.text} {f.evidence}".strip()) for f in findings if f.code in _IN_WORDS]
    told = {"room": unsure, "openings": takeoff.unsure}
    checks = sum(
        1
        for finding in findings
        if finding.severity == "check" and finding.code not in _IN_WORDS and not told.get(settled_by(finding))
    )
    if checks:
        parts.append(f"{counted(checks, 'point')} of the measuring still to be looked at")
    text = "; ".join(parts)
    return text[0].upper() + text[1:] + "." if text else ""


def _within(sentence: str) -> str:
    """A sentence as a part of a longer one."""
    return sentence[:1].lower() + sentence[1:].rstrip(".")


def _named(words: str, rooms: Sequence[RoomTakeoff], labels: Labels) -> str:
    if len(rooms) > _MOST_NAMED:
        return f"{words}{len(rooms)} rooms"
    return words + ", ".join(labels[room.storey, room.room] for room in rooms)


def _listed(rooms: Sequence[RoomTakeoff], labels: Labels) -> str:
    return f": {_named('', rooms, labels)}" if len(rooms) <= _MOST_NAMED else ""


def _left_on(job: Job) -> list[str]:
    """What stays on walls and ceilings, in the job's own words, each once."""
    said = job.customs
    sizes = (("skirting", said.skirting_mm), ("coving", said.coving_mm), ("architraves", said.architrave_mm))
    found: dict[str, None] = {what: None for what, mm in sizes if mm}
    for storey in job.storeys:
        for room in storey.rooms:
            for treatment in _treatments(room):
                found |= {band.what: None for band in treatment.bands if band.what and band.to_mm > 0}
                found |= {tiles.what: None for tiles in treatment.exclusions if tiles.what}
    return list(found)


def _treatments(room: Room) -> list[WallTreatment]:
    sides = room.sides
    own = [side.treatment for side in sides if side.treatment]
    return [room.walls, *own]
