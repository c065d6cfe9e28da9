"""Laying new drawings over a job: reading them as the job's own were read, the comparison, and it as JSON.

Figures in the JSON are exact to the millionth, so that old + added − omitted = new and the rooms sum to the totals;
``printed`` has them as sheets print them. These types are the published schema of ``takeoff-difference/1``.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Hashable, Sequence
from pathlib import Path
from typing import Literal, TypeVar

import msgspec

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding, InputError, Where
from takeoff.files.from_outside import name_of
from takeoff.findings import noticed
from takeoff.geometry.curves import Point
from takeoff.language import tr
from takeoff.plan.job_drawings import drawing_called
from takeoff.plan.model import DrawingRef, Job, Opening, Storey, StoreyId
from takeoff.recognise.presets import Settings
from takeoff.revise.comparison import HALF, Compared, Drawn, LaidStorey, Shown, accepted, compared, fits_if, placed
from takeoff.revise.difference import Difference, Quantity, RoomDifference, What, between
from takeoff.revise.placement import own_place, place_by_points
from takeoff.services.measured.job_result import ResultFinding
from takeoff.services.opened.opening import (
    Answers,
    Opened,
    Progress,
    answered,
    kind_of,
    open_file,
    refuse_picture,
    silent,
)
from takeoff.sheets.printed_figures import room_figures
from takeoff.storage.jobs import json_schema
from takeoff.units.lengths import parse_length

SCHEMA: Literal["takeoff-difference/1"] = "takeoff-difference/1"


class JsonQuantity(msgspec.Struct, frozen=True):
    """One figure: new = old + added − omitted."""

    old: float
    new: float
    added: float
    omitted: float


Quantities = dict[str, JsonQuantity]
"""By the keys of a result's totals; figures by kind are named "internal_corner_m.drop"."""


class JsonRoom(msgspec.Struct, frozen=True):
    """A room of either state, figures for one such room; ``times``: how often it is built, before and now."""

    name: str
    storey: str
    change: What
    quantities: Quantities
    id: str
    was_called: str
    times: tuple[int, int]
    evidence: tuple[str, ...]
    printed: Quantities


class JsonLaid(msgspec.Struct, frozen=True):
    """How one new storey lies over the job's: ``storey`` "" where it replaces none."""

    file: str
    storey: str
    fit: float
    walls: float
    turn_deg: float
    dx_mm: float
    dy_mm: float
    mirrored: bool


class JsonPlacement(msgspec.Struct, frozen=True):
    """``fit``: which part of the rooms of the storeys that are replaced are in the new drawings."""

    fit: float
    storeys: tuple[JsonLaid, ...]


class JsonLost(msgspec.Struct, frozen=True):
    """What was set and has no place any more."""

    what: str
    where: str
    was: str


class JsonDifference(msgspec.Struct, frozen=True):
    """The whole comparison; ``old`` and ``new`` name the files; ``refused``: rooms that stay as they were, with what
    was refused."""

    schema: Literal["takeoff-difference/1"]
    old: str
    new: str
    placement: JsonPlacement
    rooms: tuple[JsonRoom, ...]
    totals: Quantities
    lost: tuple[JsonLost, ...]
    findings: tuple[ResultFinding, ...]
    printed_totals: Quantities
    refused: tuple[JsonRoom, ...] = ()


Pair = tuple[Point, Point]
"""Two places, mm."""


class SamePlace(msgspec.Struct, frozen=True):
    """A place in a new drawing, in its own mm, and where it is in the job's plan."""

    new: Point
    old: Point


class Comparison(msgspec.Struct, frozen=True):
    """A job that was opened, the new drawings as they were read, and what came of laying them over it. ``refused``:
    what became of the rooms that stay as they were, as it would be if they did not."""

    old: Opened
    news: tuple[Opened, ...]
    drawn: tuple[Drawn, ...]
    compared: Compared
    told: tuple[Finding, ...]
    own: dict[StoreyId, Storey] = {}
    """The job's storeys as its own drawings give them."""
    refused: tuple[RoomDifference, ...] = ()

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What is to be looked at."""
        return (*self.told, *self.compared.findings)

    @property
    def another_plan(self) -> bool:
        """Whether somebody is to say that it is the same building."""
        return any(finding.code == "another-plan" for finding in self.findings)

    @property
    def new_name(self) -> str:
        """The names of the new files."""
        return ", ".join(name_of(one.path) for one in self.news)


def printed_between(old: Job, new: Job) -> Difference:
    """The difference of two states of a job, with figures as sheets print them."""
    return between(old, new, printing=room_figures)


def compare_files(
    job: Path,
    news: Sequence[Path],
    unit: str | None = None,
    scale: str | None = None,
    page: int | None = None,
    progress: Progress | None = None,
    points: Sequence[SamePlace] = (),
    onto: str = "",
    refused: Sequence[str] = (),
) -> Comparison:
    """New drawings laid over a job. ``points``: two places of the one new storey, and where they lie in the job's
    storey called ``onto``; ``refused``: names of rooms that stay as they were. Raises InputError in one sentence for
    what cannot be compared."""
    tell = progress or silent
    old = open_file(job)
    if not old.job.has_rooms:
        raise InputError(
            tr("{file} has no room to compare with: open it in the window and add its rooms.", file=name_of(job))
        )
    _refuse_twice(news)
    opened = []
    for number, path in enumerate(news):
        tell(0.6 * number / len(news), tr("Reading {file}", file=name_of(path)))
        opened.append(read_as(old.job, path, unit, scale, page))
    tell(0.7, tr("Comparing"))
    shown = (shown_in_mm(old.job, opened, points, onto),) if points else ()
    done = laid_over(old, opened, shown=shown, own_unit=unit is None)
    return with_refused(done, changed_called(done, refused)) if refused else done


def with_refused(done: Comparison, rooms: Collection[str]) -> Comparison:
    """The same drawings laid the same way, these rooms left as they were; they stay listed as refused."""
    own = tuple(room for room in done.compared.difference.changed if room.room in rooms)
    again = laid_over(done.old, done.news, refused=frozenset(rooms), lies=done.compared.placed)
    return msgspec.structs.replace(again, told=done.told, refused=own)


def same_place(text: str) -> SamePlace:
    """A place as typed, "3.60 2.10 = 13.60 2.10": in the new drawing, then in the job's plan, m unless a unit is
    given. Raises InputError for what is not two places."""
    sides = [part.split() for part in text.split("=")]
    if len(sides) != 2 or any(len(part) != 2 for part in sides):
        raise InputError(
            tr("“{text}” is not one place in two plans: write it as {example}.", text=text, example=PLACES)
        )
    new, old = ((parse_length(x), parse_length(y)) for x, y in sides)
    return SamePlace(new, old)


PLACES = "3.60 2.10 = 13.60 2.10"
"""How a place in two plans is written."""


def shown_in_mm(job: Job, news: Sequence[Opened], points: Sequence[SamePlace], onto: str) -> Shown:
    """How two pairs of places lay the one new storey over the job's storey called ``onto``, "" where it has but one.
    Raises InputError where it is not two pairs, or not one storey."""
    if len(points) != 2:
        raise InputError(tr("Two places set a drawing down: give exactly two pairs."))
    storeys = [(k, storey) for k, one in enumerate(news) for storey in one.job.storeys if storey.rooms]
    if len(storeys) != 1:
        raise InputError(tr("Two places set down one storey: compare that drawing by itself."))
    wanted = " ".join(onto.casefold().split())
    olds = [s for s in job.storeys if not wanted or wanted in (s.title.casefold(), s.name.casefold(), str(s.id))]
    if len(olds) != 1:
        names = ", ".join(s.title for s in job.storeys)
        raise InputError(tr("Name the storey that the new drawing lies over: {storeys}.", storeys=names))
    number, new = storeys[0]
    here, there = (points[0].new, points[1].new), (points[0].old, points[1].old)
    return _shown(number, new, olds[0], here, there)


def shown_in_plan(done: Comparison, lie: LaidStorey, onto: StoreyId, here: Pair, there: Pair) -> Shown:
    """How a new storey lies when the two places ``here``, clicked where it was laid, are brought to two places
    ``there`` of a storey of the job. Raises InputError where they cannot be the same two."""
    new = next(storey for storey in done.drawn[lie.drawn].storeys if storey.id == lie.new.id)
    old = next(storey for storey in done.compared.old.storeys if storey.id == onto)
    own = own_place(lie.laid, lie.mirror, here[0]), own_place(lie.laid, lie.mirror, here[1])
    return _shown(lie.drawn, new, old, own, there)


def _shown(number: int, new: Storey, old: Storey, here: Pair, there: Pair) -> Shown:
    found = place_by_points(old, new, here, there)
    return Shown(number, new.id, old.id, found.laid, found.mirror)


def changed_called(done: Comparison, names: Sequence[str]) -> frozenset[str]:
    """Ids of the changed rooms of these names. Raises InputError for a name that no changed room has."""
    found: set[str] = set()
    for name in names:
        wanted = " ".join(name.casefold().split())
        own = [room.room for room in done.compared.difference.changed if wanted in _names_of(room)]
        if not own:
            raise InputError(tr("No room called “{name}” has changed in the new drawing.", name=name))
        found.update(own)
    return frozenset(found)


def _names_of(room: RoomDifference) -> set[str]:
    return {" ".join(one.casefold().split()) for one in (room.name, room.was_called) if one}


def read_as(job: Job, path: Path, unit: str | None = None, scale: str | None = None, page: int | None = None) -> Opened:
    """A new drawing, read as the job's own were: layers as they were said to be used, sizes that nobody gives as most
    of the job's. Raises InputError for a picture and for a drawing without rooms."""
    if kind_of(path) == "picture":
        raise refuse_picture(path)
    settings = settings_of(job)
    opened = open_file(path, settings, unit, scale=scale, page_number=page)
    roles = roles_of(job)
    if roles and opened.raw is not None:
        opened = answered(opened, Answers(settings, unit, scale, page, said=roles, lenient=True))
    if not opened.job.has_rooms:
        raise InputError(
            tr(
                "No room was found in {file}, so nothing was compared: open it by itself to see why.",
                file=name_of(path),
            )
        )
    vain = "option-without-effect"  # the job's settings are no options that somebody gave
    return msgspec.structs.replace(opened, findings=tuple(f for f in opened.findings if f.code != vain))


def _refuse_twice(news: Sequence[Path]) -> None:
    seen: set[Path] = set()
    for path in news:
        if path.resolve() in seen:
            raise InputError(tr("{file} is given twice: name each new drawing once.", file=name_of(path)))
        seen.add(path.resolve())


def settings_of(job: Job) -> Settings:
    """Heights and sizes for what the new drawing does not say: those that most of the job has, as assumed ones."""
    openings = [o for storey in job.storeys for o in storey.openings]
    windows = [o for o in openings if o.kind == "window"]
    doors = [o for o in openings if o.kind == "door"]
    usual = Settings()
    sill, head = usual.window_sill_mm, usual.window_head_mm
    pair = _most([(o.sill_mm, o.head_mm) for o in windows], (sill, head))
    return Settings(
        storey_height_mm=_most([storey.height_mm for storey in job.storeys], usual.storey_height_mm),
        window_sill_mm=pair[0],
        window_head_mm=pair[1],
        door_head_mm=_most([o.head_mm for o in doors], usual.door_head_mm),
        reveal_mm=_most([_depth_mm(o) for o in windows], usual.reveal_mm),
    )


Value = TypeVar("Value", bound=Hashable)


def _most(values: Sequence[Value], usual: Value) -> Value:
    counted = Counter(values).most_common(1)
    return counted[0][0] if counted else usual


def _depth_mm(window: Opening) -> float:
    return max(strip.depth_mm for strip in (window.reveal.start, window.reveal.end, window.reveal.head))


def roles_of(job: Job) -> tuple[tuple[str, str], ...]:
    """What the layers of the job's drawings were said to be for."""
    return tuple(dict.fromkeys(role for ref in job.drawings for role in ref.layer_roles))


def laid_over(
    old: Opened,
    news: Sequence[Opened],
    *,
    shown: Sequence[Shown] = (),
    refused: Collection[str] = (),
    lies: tuple[LaidStorey, ...] | None = None,
    own_unit: bool = False,
) -> Comparison:
    """Drawings that were read, laid over the job. ``own_unit``: one that does not fit is tried in the unit of the job's
    drawing."""
    told: list[Finding] = []
    drawn = [drawn_of(one) for one in news]
    if lies is None:
        lies = placed(old.job, drawn, shown)
        if own_unit and not shown and not _fits(lies):
            news, drawn, lies, told = _in_own_unit(old.job, list(news), drawn, lies)
    told += [f for one in news for f in one.findings if f.code.startswith("unit-") and f.severity != "note"]
    told += [noticed("revision-from-job", file=name_of(one.path)) for one in news if one.kind == "job"]
    for one in drawn:
        told += _of_drawing(old.job, one, lies, drawn)
    own = own_storeys(old)
    done = compared(
        old.job,
        drawn,
        shown=shown,
        refused=refused,
        laid=lies,
        printing=room_figures,
        names=names_written(old),
        own=own,
    )
    if any(finding.facts and finding.facts.key == "another-plan/unit" for finding in told):
        rest = tuple(f for f in done.findings if f.code != "another-plan")
        done = msgspec.structs.replace(done, findings=rest)
    return Comparison(old, tuple(news), tuple(drawn), done, tuple(told), own)


def accepted_of(comparison: Comparison, refused: Collection[str] = ()) -> Job:
    """The job with what was accepted of a comparison; refused rooms stay as they were. Nothing is measured."""
    return accepted(comparison.compared, comparison.drawn, refused, names_written(comparison.old), comparison.own)


def drawn_of(opened: Opened) -> Drawn:
    """A drawing that was read, as it is compared; a job has no drawing of its own here."""
    ref = opened.job.drawings[0] if opened.kind == "drawing" and opened.job.drawings else None
    return Drawn(name_of(opened.path), opened.job.storeys, ref)


def names_written(old: Opened) -> dict[StoreyId, frozenset[str]]:
    """What is written in the drawings of a job's storeys, where the job's file holds them."""
    found: dict[StoreyId, frozenset[str]] = {}
    for storey in old.job.storeys:
        drawing = old.drawings.get(storey.drawing) if storey.drawing is not None else None
        if drawing is not None:
            texts = {label.text for label in drawing.labels}
            lines = {line for text in texts for line in text.splitlines()}
            found[storey.id] = frozenset(texts | lines)
    return found


_PROPOSED: list[tuple[Drawing, tuple[tuple[str, str], ...], tuple[Storey, ...]]] = []
"""The drawings whose rooms were found last, since a comparison is made anew whenever something is refused."""
REMEMBERED = 8


def own_storeys(old: Opened) -> dict[StoreyId, Storey]:
    """The storeys of a job as its own drawings give them today, those of which the job's file holds the drawing."""
    found: dict[StoreyId, Storey] = {}
    for ref in old.job.drawings:
        drawing = old.drawings.get(ref.id)
        mine = [storey for storey in old.job.storeys if storey.drawing == ref.id and storey.rooms]
        if drawing is None or ref.picture is not None or not mine:
            continue
        theirs = _proposed(drawing, ref)
        named = {storey.name: storey for storey in theirs}
        for storey in mine:
            if len(mine) == len(theirs) == 1:
                found[storey.id] = theirs[0]
            elif storey.name in named:
                found[storey.id] = named[storey.name]
    return found


def _proposed(drawing: Drawing, ref: DrawingRef) -> tuple[Storey, ...]:
    from takeoff.services.opened.room_proposals import propose_with

    for known, roles, storeys in _PROPOSED:
        if known is drawing and roles == ref.layer_roles:
            return storeys
    try:
        storeys = propose_with(drawing, ref.layer_roles, ref.id).job.storeys
    except InputError:  # layers that it does not have any more: what it gave before is not known
        storeys = ()
    _PROPOSED.append((drawing, ref.layer_roles, storeys))
    del _PROPOSED[:-REMEMBERED]
    return storeys


def _fits(lies: Sequence[LaidStorey]) -> bool:
    return any(one.storey is not None and one.fit >= HALF for one in lies)


def _in_own_unit(
    job: Job, news: list[Opened], drawn: list[Drawn], lies: tuple[LaidStorey, ...]
) -> tuple[list[Opened], list[Drawn], tuple[LaidStorey, ...], list[Finding]]:
    """Drawings that do not fit, in the unit of the job's where they fit then; else, whether another size would."""
    told: list[Finding] = []
    for number, one in enumerate(news):
        unit = job.drawings[0].unit if job.drawings else ""
        other = one.raw is not None and one.job.drawings and one.job.drawings[0].unit != unit
        if unit and other and one.kind == "drawing":
            again = answered(one, Answers(settings_of(job), unit, said=roles_of(job), lenient=True))
            if _fits(placed(job, [drawn_of(again)])):
                news[number], drawn[number] = again, drawn_of(again)
                told.append(noticed("revision-in-own-unit", file=name_of(one.path)))
                continue
        factor = fits_if(job, drawn[number])
        if factor is not None:
            told.append(noticed("another-plan/unit", file=name_of(one.path), factor=factor))
    return news, drawn, placed(job, drawn) if told else lies, told


def _of_drawing(job: Job, one: Drawn, lies: Sequence[LaidStorey], drawn: Sequence[Drawn]) -> list[Finding]:
    """Whether a new drawing is one that the job has already, or an older one."""
    if one.ref is None:
        return []
    number = next(k for k, other in enumerate(drawn) if other is one)
    replaced = next((lie.storey for lie in lies if lie.drawn == number and lie.storey is not None), None)
    storey = next((s for s in job.storeys if s.id == replaced), None)
    known = drawing_called(job, storey.drawing) if storey is not None else None
    same = [ref for ref in job.drawings if ref.sha256 and (ref.sha256, ref.page) == (one.ref.sha256, one.ref.page)]
    if same:
        return [noticed("revision-same-file", file=one.file)]
    if known is not None and is_older(one.ref, known):
        where = Where(storey=replaced)
        return [noticed("revision-older", where, file=one.file, new=one.ref.revision, old=known.revision)]
    return []


def is_older(new: DrawingRef, known: DrawingRef) -> bool:
    """Whether a drawing's revision comes before another's: letters before letters, numbers before numbers."""
    a, b = _order(new.revision), _order(known.revision)
    alike = len(a) == len(b) and all(isinstance(x, int) == isinstance(y, int) for x, y in zip(a, b, strict=True))
    return bool(a) and alike and a < b


def _order(revision: str) -> tuple[int | str, ...]:
    """ "P02" as ("p", 2), "B" as (1, "b"): letters that are more come later, as AA does after Z."""
    found: list[int | str] = []
    for letters, digits in re.findall(r"([^\W\d_]+)|(\d+)", revision.casefold()):
        found += [int(digits)] if digits else [len(letters), letters]
    return tuple(found)


# As JSON -------------------------------------------------------------------------------------------------


def difference_json(comparison: Comparison) -> bytes:
    """The comparison as indented JSON in UTF-8."""
    return msgspec.json.format(msgspec.json.encode(json_of(comparison)), indent=1) + b"\n"


def difference_schema() -> dict[str, object]:
    """The JSON Schema of a comparison."""
    return json_schema(JsonDifference, SCHEMA)


def json_of(comparison: Comparison) -> JsonDifference:
    """The comparison as other programs get it."""
    done = comparison.compared
    lies = tuple(
        JsonLaid(
            comparison.drawn[one.drawn].file,
            one.title if one.storey is not None else "",
            round(one.fit, 4),
            round(one.walls, 4),
            one.laid.turn_deg,
            one.laid.dx_mm,
            one.laid.dy_mm,
            one.mirror,
        )
        for one in done.placed
    )
    return JsonDifference(
        schema=SCHEMA,
        old=name_of(comparison.old.path),
        new=comparison.new_name,
        placement=JsonPlacement(round(done.fit, 4), lies),
        rooms=tuple(_room(room) for room in done.difference.rooms),
        totals=_quantities(done.difference.totals),
        lost=tuple(JsonLost(one.what, one.where, one.was) for one in done.lost),
        findings=tuple(
            ResultFinding(f.code, f.severity, f"{f.text} {f.evidence}".strip(), f.where) for f in comparison.findings
        ),
        printed_totals=_quantities(done.difference.printed_totals),
        refused=tuple(_room(room) for room in comparison.refused),
    )


def _room(room: RoomDifference) -> JsonRoom:
    return JsonRoom(
        name=room.name,
        storey=room.storey_title,
        change=room.change,
        quantities=_quantities(room.quantities),
        id=room.room,
        was_called=room.was_called,
        times=(room.times_old, room.times_new),
        evidence=room.evidence,
        printed=_quantities(room.printed),
    )


def _quantities(found: dict[str, Quantity]) -> Quantities:
    return {key: JsonQuantity(float(q.old), float(q.new), float(q.added), float(q.omitted)) for key, q in found.items()}
