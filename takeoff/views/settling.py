"""What is to settle, as rows: what was found, each assumed value, doubtful rooms and openings, and
what was settled already. Without Qt."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Literal

import msgspec

from takeoff.errors import Finding, Where
from takeoff.findings import settled_by
from takeoff.language import mark, tr
from takeoff.plan.assumptions import Assumed, assumptions
from takeoff.plan.model import Job, Opening, Rooflight, Settled, StairAnswer, Storey
from takeoff.plan.opening_groups import OpeningGroup, opening_groups
from takeoff.plan.reasons import all_spoken
from takeoff.plan.storeys_above import stair_of
from takeoff.sheets.first_lines import height_effect
from takeoff.sheets.wall_names import Spoken
from takeoff.units.printing import printed, shown
from takeoff.views.board import State
from takeoff.views.naming import labels, storey_name
from takeoff.views.opening_types import signed

Group = Literal["error", "check", "assumed", "note", "settled"]
GROUPS: tuple[tuple[Group, str], ...] = (
    ("error", mark("To fix")),
    ("check", mark("To check")),
    ("assumed", mark("Assumed")),
    ("note", mark("Note")),
    ("settled", mark("Settled")),
)
"""In the order in which they are listed, with their names."""

Accept = Literal["", "finding", "room", "opening", "openings", "stair"]

STAIR_ANSWERS: tuple[tuple[StairAnswer, str, str], ...] = (
    ("goes-on", mark("It goes on"), mark("The ceiling goes on above the stair: coat it whole")),
    ("well", mark("Part is the well"), mark("The ceiling is coated, less the outline of the stair")),
    ("none", mark("No ceiling here"), mark("There is no ceiling: none is coated")),
)
"""What can be said of the ceiling above a stair: the answer, its button's words, and what it does. *well* where the
outline of the stair is known; elsewhere the well is drawn as a part of the ceiling left out."""

OPENING_ANSWERS: tuple[tuple[str, str, str], ...] = (
    ("window", mark("Windows"), mark("All of them are windows: measure them")),
    ("door", mark("Doors"), mark("All of them are doors: measure them")),
    ("open", mark("Doorways"), mark("All of them are open from room to room: measure them")),
    ("nothing", mark("No openings"), mark("None of them is an opening: reject them")),
)
"""What can be said of openings that are alike: the answer, its button's words, and what it does."""


class Row(msgspec.Struct, frozen=True):
    """One thing to settle. ``head``: where it is; ``value_mm``: what can be typed over.

    ``values`` are the assumed values that it sums up, ``alike`` those of the same kind and size in
    the rest of the job; ``accept`` says what accepting it means, "" where it must be mended. ``answers``: what
    can be said of it by one button each; ``members``: (id, room) of alike openings that it asks about together.
    """

    key: str
    group: Group
    head: str
    text: str
    where: Where = Where()
    findings: tuple[Finding, ...] = ()
    values: tuple[Assumed, ...] = ()
    alike: tuple[Assumed, ...] = ()
    accept: Accept = ""
    thing: str = ""
    settled: Settled | None = None
    answers: tuple[tuple[str, str, str], ...] = ()
    members: tuple[tuple[str, str], ...] = ()

    @property
    def value_mm(self) -> float | None:
        """The assumed value; None for a row that has none."""
        return self.values[0].value_mm if self.values else None

    @property
    def evidence(self) -> str:
        """Why the program lists it; "" where its text is all there is to say."""
        return " ".join(dict.fromkeys(finding.evidence for finding in self.findings if finding.evidence))


class _Names:
    """What storeys, rooms and openings are called."""

    def __init__(self, job: Job) -> None:
        self._rooms, self._spoken = labels(job), Spoken(job)
        self.storeys = {str(s.id): storey_name(s) for s in job.storeys}
        self._several = len(job.storeys) > 1
        self.openings: dict[str, tuple[Storey, Opening | Rooflight]] = {}
        for storey in job.storeys:
            every: tuple[Opening | Rooflight, ...] = (*storey.openings, *storey.rooflights)
            self.openings |= {str(opening.id): (storey, opening) for opening in every}
        self._home = {room: at for at, room in self._rooms}

    def place(self, where: Where) -> str:
        """ "Ground floor, G5 Kitchen": where something is; "" for the whole job."""
        room = where.room or ""
        storey = where.storey or self._home.get(room, "")
        parts = [self.storeys.get(storey, "") if self._several or not room else "", self._rooms.get((storey, room), "")]
        return ", ".join(part for part in parts if part)

    def opening(self, name: str) -> str:
        """ "Window W1": an opening by its kind and its mark or number."""
        said = self.called(name)
        return said[:1].upper() + said[1:]

    def called(self, name: str) -> str:
        """The same within a sentence: "window W1"."""
        return self._spoken.opening(name)


def rows(state: State, findings: Sequence[Finding]) -> tuple[Row, ...]:
    """Every row, the grave ones first, settled ones last. ``findings``: those that are open."""
    names = _Names(state.job)
    assumed = assumptions(state.job)
    codes = {value.code for value in assumed}
    listed = [
        *_of_findings(findings, codes, names, state.job),
        *_of_openings(state, names),
        *_of_values(assumed, names, state),
        *_of_settled(state.job, names),
    ]
    order = [group for group, _ in GROUPS]
    return tuple(sorted(listed, key=lambda row: order.index(row.group)))


def counts(listed: Iterable[Row]) -> dict[Group, int]:
    """How many rows there are of every group."""
    found: dict[Group, int] = dict.fromkeys((group for group, _ in GROUPS), 0)
    for row in listed:
        found[row.group] += 1
    return found


def one_by_one(row: Row, state: State) -> tuple[Row, ...]:
    """A row for each of the values or openings that a row sums up; () for one alone."""
    if row.members:
        return tuple(_opening_row(name, state, _Names(state.job)) for name, _ in row.members)
    if len(row.values) < 2:
        return ()
    names = _Names(state.job)
    found = []
    for value in row.values:
        rest = tuple(other for other in (*row.values, *row.alike) if other != value)
        found.append(
            Row(
                f"{row.key}/{value.thing}",
                "assumed",
                names.place(_where(value)),
                names.opening(value.thing) if value.thing != value.room else row.text,
                _where(value),
                values=(value,),
                alike=rest,
            )
        )
    return tuple(found)


def _of_findings(findings: Sequence[Finding], codes: set[str], names: _Names, job: Job) -> list[Row]:
    """Findings as rows: those about one doubtful room together, sums of values and of openings, which are told one by
    one, not."""
    found: dict[str, Row] = {}
    drawn = {room.id for s in job.storeys for room in s.rooms if (stair := stair_of(room)) and stair.outline}
    for number, finding in enumerate(findings):
        how = settled_by(finding)
        if finding.code in codes or how == "openings":
            continue
        accept: Accept = "" if how == "mending" else "finding"
        key, thing, answers = f"{finding.code}:{number}", "", STAIR_ANSWERS[:0]
        if how == "room" and finding.where.room:
            key, thing, accept = f"room:{finding.where.room}", finding.where.room, "room"
            known = found.get(key)
            if known is not None:
                found[key] = msgspec.structs.replace(known, findings=(*known.findings, finding))
                continue
        if how == "stair" and finding.where.room:
            key, thing, accept = f"stair:{finding.where.room}", finding.where.room, "stair"
            answers = tuple(one for one in STAIR_ANSWERS if one[0] != "well" or thing in drawn)
        found[key] = Row(
            key,
            finding.severity,
            names.place(finding.where),
            finding.text,
            finding.where,
            (finding,),
            accept=accept,
            thing=thing,
            answers=answers,
        )
    return list(found.values())


def _of_openings(state: State, names: _Names) -> list[Row]:
    """A row for each opening that is not measured yet, alike ones in one where the first of them stands."""
    group_of = {str(name): g for g in opening_groups(state.job) if len(g.openings) > 1 for name in g.ids}
    found: dict[str, Row] = {}
    for name, (_, opening) in names.openings.items():
        if opening.confidence == "sure":
            continue
        group = group_of.get(name)
        row = _opening_row(name, state, names) if group is None else _group_row(group, state, names)
        found.setdefault(row.key, row)
    return list(found.values())


def _opening_row(name: str, state: State, names: _Names) -> Row:
    storey, opening = names.openings[name]
    where = Where(storey=str(storey.id), room=str(opening.room), opening=name)
    text = tr("{opening} is not measured yet", opening=names.opening(name)) + _told(all_spoken(opening.evidence))
    text += _change(state, (name,))
    return Row(f"opening:{name}", "check", names.place(where), text, where, accept="opening", thing=name)


def _group_row(group: OpeningGroup, state: State, names: _Names) -> Row:
    where = Where(storey=group.storey)
    members = tuple((str(o.id), str(o.room)) for o in group.openings)
    words = tr(_NOT_MEASURED[group.kind], openings=group.words)
    text = words + _told(group.reasons) + _change(state, [name for name, _ in members])
    return Row(
        f"openings:{members[0][0]}", "check", names.place(where), text, where, accept="openings",
        answers=OPENING_ANSWERS, members=members,
    )  # fmt: skip


_NOT_MEASURED = {
    "window": mark("{openings}, proposed as windows, are not measured yet"),
    "door": mark("{openings}, proposed as doors, are not measured yet"),
    "open": mark("{openings}, proposed as doorways, are not measured yet"),
}


def _told(evidence: Sequence[str]) -> str:
    """The end of a sentence, with what speaks for and against in brackets."""
    return f" ({'; '.join(evidence)})." if evidence else "."


def _change(state: State, openings: Sequence[str]) -> str:
    """What these openings would change if they were measured, each accepted by itself."""
    effects = [effect for effect in state.takeoff.unsure if effect.opening in openings]
    by = sum((printed(effect.change.get("coated_m2", 0.0)) for effect in effects), Decimal(0))
    return f" {tr('If accepted: {area} m² of coat.', area=signed(by))}" if by else ""


def _of_values(assumed: Sequence[Assumed], names: _Names, state: State) -> list[Row]:
    """Assumed values of one kind and size on one storey together."""
    groups: dict[tuple[str, str, float], list[Assumed]] = {}
    for value in assumed:
        groups.setdefault((value.kind, value.storey, value.value_mm), []).append(value)
    found = []
    for (kind, storey, value_mm), values in groups.items():
        alike = tuple(v for v in assumed if v.kind == kind and v.value_mm == value_mm and v.storey != storey)
        one = values[0]
        where = Where(storey=storey) if len(values) > 1 else _where(one)
        words = _value_words(kind, values, names) + _height_words(kind, storey, state)
        found.append(
            Row(
                f"{kind}:{storey}:{value_mm}",
                "assumed",
                names.place(where),
                words,
                where,
                values=tuple(values),
                alike=alike,
            )
        )
    return found


def _height_words(kind: str, storey: str, state: State) -> str:
    """What 100 mm more would change; "" for other values than a storey's height."""
    if kind != "storey-height":
        return ""
    own = tuple(one for one in state.job.storeys if one.id == storey)
    by = printed(height_effect(msgspec.structs.replace(state.job, storeys=own), state.takeoff), 1)
    return f"; {tr('100 mm more adds {area} m² of wall', area=shown(by, 1))}" if by else ""


def _value_words(kind: str, values: Sequence[Assumed], names: _Names) -> str:
    """ "Sills of 2 windows", "Head of window W1", "Height of the storey"."""
    count = len(values)
    if kind == "storey-height":
        return tr("Height of the storey")
    one, many = _VALUES[kind]
    if count == 1 and values[0].thing != values[0].room:
        return tr(one, opening=names.called(values[0].thing))
    return tr(one) if count == 1 else tr(many, count=count)


_VALUES: dict[str, tuple[str, str]] = {
    "ceiling": (mark("Ceiling of this room"), mark("Ceilings of {count} rooms")),
    "floor": (mark("Floor of this room"), mark("Floors of {count} rooms")),
    "window-sill": (mark("Sill of {opening}"), mark("Sills of {count} windows")),
    "window-head": (mark("Head of {opening}"), mark("Heads of {count} windows")),
    "window-width": (mark("Width of {opening}"), mark("Widths of {count} windows")),
    "window-reveal": (mark("Reveal depth of {opening}"), mark("Reveal depths of {count} windows")),
    "door-sill": (mark("Sill of {opening}"), mark("Sills of {count} doors")),
    "door-head": (mark("Head of {opening}"), mark("Heads of {count} doors")),
    "door-width": (mark("Width of {opening}"), mark("Widths of {count} doors")),
    "door-reveal": (mark("Reveal depth of {opening}"), mark("Reveal depths of {count} doors")),
    "open-sill": (mark("Sill of {opening}"), mark("Sills of {count} doorways")),
    "open-head": (mark("Head of {opening}"), mark("Heads of {count} doorways")),
    "open-width": (mark("Width of {opening}"), mark("Widths of {count} doorways")),
    "open-reveal": (mark("Reveal depth of {opening}"), mark("Reveal depths of {count} doorways")),
}
"""What an assumed value is of, for one and for many, by its kind."""


def _of_settled(job: Job, names: _Names) -> list[Row]:
    found = []
    for number, one in enumerate(job.settled):
        about = f"{names.opening(one.where.opening)}: " if one.where.opening and one.how != "accepted" else ""
        found.append(
            Row(f"settled:{number}", "settled", names.place(one.where), about + one.text, one.where, settled=one)
        )
    return found


def _where(value: Assumed) -> Where:
    opening = value.thing if value.thing != value.room else None
    return Where(storey=value.storey, room=value.room or None, opening=opening or None)
