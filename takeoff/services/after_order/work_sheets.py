"""The papers of a job after the order: one change, the account, the hand-over."""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable

import msgspec

from takeoff.account.account_sum import account_of
from takeoff.account.change_price import over_limit, priced
from takeoff.account.site_progress import COAT, Progress, progress_of
from takeoff.language import date_text, listed, money_shown, tr, tr_count
from takeoff.measure.takeoff import RoomTakeoff
from takeoff.plan import edits
from takeoff.plan.model import Job
from takeoff.plan.work_records import ROOM_STAGES
from takeoff.services.measured.job_result import Measured
from takeoff.services.offered.offering import calendar_of
from takeoff.services.opened.pictures import photo_on_paper
from takeoff.services.written.firm import letterhead_of
from takeoff.sheets.picture import Photograph
from takeoff.sheets.sheet_values import Cell, Column, Line, Table
from takeoff.sheets.work_papers import WorkPaper
from takeoff.sheets.work_tables import (
    account_tables,
    change_lines_table,
    changes_table,
    day_words,
    defects_table,
    over_words,
    state_words,
)
from takeoff.sitecheck.holds import holds
from takeoff.supply.systems import in_words, of_job, products_by_line
from takeoff.units.printing import printed, shown

COATED_FROM = ROOM_STAGES.index("coat")


def currency_of(job: Job) -> str:
    """The job's currency, else that of its coating system."""
    return job.details.currency or of_job(job).currency


def change_paper(job: Job, number: int, on: str, pictures: Callable[[str], bytes | None] | None = None) -> WorkPaper:
    """One change on one page, to be signed, with its photo. ``pictures``: the bytes of a picture by its digest, None
    where the job's file has them not. Raises InputError for a change that is not there."""
    one = priced(job, edits.change_of(job, number))
    change = one.change
    lines = [Line(tr("Place"), change.place), Line(tr("Work"), change.what)]
    if change.instructed_by:
        lines.append(Line(tr("Instructed"), f"{change.instructed_by} {day_words(change.instructed_on)}".strip()))
    lines.append(Line(tr("State"), state_words(one), urgent=one.before_agreed))
    if change.done_already:
        lines.append(Line(tr("Done already"), tr("Work in this room was done before the change came.")))
    photo = next((photo for photo in job.photos if photo.id == change.photo), None)
    photos: tuple[Photograph, ...] = ()
    if photo is not None:
        data = pictures(photo.sha256) if pictures is not None else None
        said = photo.note or photo.name
        if data is not None:
            photos = (photo_on_paper(data, photo.name),)
        else:
            said = tr("{photo}, whose picture is not in the job's file", photo=said)
        lines.append(Line(tr("Photo"), said))
    if change.days:
        lines.append(Line(tr("Days"), _later(change.days)))
    if over := over_words(over_limit(job)):
        lines.append(Line(tr("Limit"), over))
    closing = [Line(tr("Agreed"), tr("The work as described, at the price above."))]
    if one.gross is not None:
        said = tr("The work as described, for {sum} with tax.", sum=money_shown(one.gross, currency_of(job)))
        closing = [Line(tr("Agreed"), said)]
    title = tr("Change {number}", number=number)
    paper = _paper(job, title, on, lines, [change_lines_table(one, currency_of(job))], closing, _both())
    return msgspec.structs.replace(paper, photos=photos)


def _later(days: float) -> str:
    """What a change does to the end of the work."""
    said = shown(abs(days), 1).removesuffix(".0").removesuffix(",0")
    if days < 0:
        return tr_count("The work ends {days} day earlier.", "The work ends {days} days earlier.", _of(days), days=said)
    return tr_count("The work ends {days} day later.", "The work ends {days} days later.", _of(days), days=said)


def _of(days: float) -> int:
    """One or several: half a day and a day and a half are several, as they are spoken of."""
    return 1 if abs(days) == 1 else 2


def account_paper(job: Job, on: str, final: bool = False) -> WorkPaper:
    """The account as it stands."""
    account = account_of(job, final)
    currency = currency_of(job)
    lines = []
    contract = job.work.contract
    if contract is not None:
        said = tr("State {number}, accepted {day}", number=contract.state, day=day_words(contract.on))
        lines.append(Line(tr("Contract"), f"{said}, {contract.by}." if contract.by else f"{said}."))
    if marked := [str(line.number) for line in account.lines if line.mark]:
        said = tr(
            "Done before, or without, an agreement: change {numbers}.", numbers=listed(list(dict.fromkeys(marked)))
        )
        lines.append(Line(tr("Not agreed"), said, urgent=True))
    if over := over_words(over_limit(job)):
        lines.append(Line(tr("Limit"), over))
    tables = list(account_tables(account, job, currency))
    if job.work.changes:
        tables.insert(1, changes_table([priced(job, one) for one in job.work.changes], currency))
    closing = [Line(tr("Due now"), money_shown(account.due, currency))]
    title = tr("Final account") if final else tr("Account")
    return _paper(job, title, on, lines, tables, closing, _both())


def handover_paper(measured: Measured, on: str) -> WorkPaper:
    """What was coated and what was not, with what was measured while it was done, and what to heed from now on."""
    job = measured.job
    system = in_words(of_job(job))
    progress = progress_for(measured)
    coated = [room for room in measured.takeoff.rooms if _is_coated(job, room)]
    lines = [
        Line(
            tr("Coat"),
            tr("{system}, {mm} mm in place as planned.", system=system.name, mm=shown(system.coat.thickness_mm, 1)),
        ),
        *_open_points(job, measured, progress, on),
        Line(tr("Decoration"), _decoration(job, coated, system.drying.before_paint_h)),
        *_advice(),
    ]
    tables = [_coated_table(measured, progress), _not_coated_table(measured)]
    if job.work.defects:
        tables.append(defects_table(job.work.defects))
    count = tr_count(
        "{count} room is coated and handed over.", "{count} rooms are coated and handed over.", len(coated)
    )
    return _paper(job, tr("Hand-over"), on, lines, tables, [Line(tr("Handed over"), count)], _both())


def progress_for(measured: Measured) -> Progress:
    """How the measured job goes."""
    areas = {str(room.room): room.coated_m2 * room.times for room in measured.takeoff.rooms}
    need = next((line.need for line in measured.order.lines if line.id == "coat"), 0.0)
    job, system = measured.job, of_job(measured.job)
    dated = [day.on for day in job.work.days]
    calendar = calendar_of(job.programme, int(max(dated)[:4])) if dated else calendar_of(job.programme, 2000)
    return progress_of(job, system, areas, need, calendar, products_by_line(system)[COAT].lead_days)


def room_names(job: Job) -> dict[str, str]:
    """Rooms by id, as they are called."""
    return {str(room.id): room.title for storey in job.storeys for room in storey.rooms}


def _paper(
    job: Job, title: str, on: str, lines: list[Line], tables: list[Table], closing: list[Line], sign: tuple[str, ...]
) -> WorkPaper:
    details = job.details
    addressed = ". ".join(part.rstrip(".") for part in (details.client, details.site) if part)
    return WorkPaper(
        title,
        job.name or tr("Unnamed job"),
        addressed,
        day_words(on),
        details.contractor,
        tuple(lines),
        tuple(tables),
        tuple(closing),
        sign,
        letterhead=letterhead_of(job),
    )


def _both() -> tuple[str, ...]:
    return (tr("Date, client"), tr("Date, contractor"))


def _is_coated(job: Job, room: RoomTakeoff) -> bool:
    return room.coated_m2 > 0 and ROOM_STAGES.index(edits.stage_of(job, str(room.room))) >= COATED_FROM


def _open_points(job: Job, measured: Measured, progress: Progress, on: str) -> list[Line]:
    names = room_names(job)
    noon = datetime.datetime.combine(datetime.date.fromisoformat(on), datetime.time(12))
    held = [one for one in holds(job, noon) if one.state == "hold"]
    points = list(dict.fromkeys(one.reason for one in held))
    points += [
        tr("{room}: a gauge reading of {mm} mm is thinner than planned.", room=names[one.room], mm=shown(one.least_mm))
        for one in progress.rooms
        if one.thin and one.least_mm is not None
    ]
    points += [
        tr("Change {number}, {place}: not done yet.", number=one.number, place=one.place)
        for one in job.work.changes
        if one.state in ("agreed", "instructed") and not one.done_on
    ]
    points += [
        tr("Defect {number}, {place}: {what}.", number=one.number, place=one.place, what=one.what.rstrip("."))
        for one in job.work.defects
        if not one.mended_on
    ]
    open_rooms = [
        names[str(room.room)]
        for room in measured.takeoff.rooms
        if room.coated_m2 > 0 and edits.stage_of(job, str(room.room)) not in ("finished", "released")
    ]
    if open_rooms:
        points.append(tr("Not finished: {rooms}.", rooms=listed(open_rooms)))
    if not points:
        return [Line(tr("Open points"), tr("None is known."))]
    return [Line(tr("Open points"), " ".join(points), urgent=True)]


def _decoration(job: Job, coated: list[RoomTakeoff], hours: float) -> str:
    rooms = {str(room.room) for room in coated}
    days = [one.on for one in job.work.stages if one.room in rooms and one.stage == "coat"]
    if not days:
        return tr("The earliest day is not known: no room has a date on which its coat went on.")
    first = datetime.date.fromisoformat(max(days)) + datetime.timedelta(days=math.ceil(hours / 24))
    return tr("Not before {day}, and only once the coat is dry throughout.", day=date_text(first))


def _advice() -> list[Line]:
    return [
        Line(
            tr("Paint and paper"),
            tr(
                "Try paint or paper on a small area first. Use what lets moisture through, and follow the "
                "manufacturer's advice."
            ),
        ),
        Line(
            tr("Fixings"),
            tr("Fix loads into the wall behind, not into the coat. Drill with a sharp bit, without impact."),
        ),
        Line(tr("Cleaning"), tr("Dust with a soft brush. Wipe damp, never wet, and without abrasives.")),
        Line(tr("Mending"), tr("Fill dents with the filler of the same coating system, and sand lightly once dry.")),
        Line(
            tr("Heat and air"), tr("Heat evenly and air briefly several times a day, above all while the coat dries.")
        ),
        Line(
            tr("What it is not"),
            tr("The coat stops no leak and covers no cause of damp. Have damp spots looked at first."),
        ),
    ]


def _coated_table(measured: Measured, progress: Progress) -> Table:
    job, names = measured.job, room_names(measured.job)
    system = in_words(of_job(job))
    substrates = {one.id: one.name for one in system.substrates}
    readings = {one.room: one for one in progress.rooms}
    rows: list[tuple[Cell, ...]] = []
    for room in measured.takeoff.rooms:
        if not _is_coated(job, room):
            continue
        key = str(room.room)
        dates = {one.stage: day_words(one.on) for one in job.work.stages if one.room == key}
        own = readings[key]
        gauge = tr("none")
        if own.mean_mm is not None and own.least_mm is not None:
            gauge = tr(
                "{count}: mean {mean}, least {least} mm",
                count=own.readings,
                mean=shown(own.mean_mm),
                least=shown(own.least_mm),
            )
        used = dict.fromkeys(substrates.get(s.substrate, s.substrate) for s in room.surfaces if s.net_m2 > 0)
        rows.append(
            (
                names[key],
                shown(room.coated_m2),
                ", ".join(used),
                dates.get("prepared", "–"),
                dates.get("base", "–"),
                dates.get("coat", "–"),
                gauge,
                ", ".join(_batches(job, key)) or "–",
            )
        )
    return Table(
        id="handed-over",
        title=tr("What was coated"),
        columns=(
            Column(tr("Room"), share=1.2),
            Column(tr("Area"), "m²", share=0.7),
            Column(tr("Substrate"), share=1.2),
            Column(tr("Prepared"), share=1.2),
            Column(tr("Base on"), share=1.0),
            Column(tr("Coat on"), share=1.0),
            Column(tr("Gauge readings"), share=1.4),
            Column(tr("Batches"), share=1.0),
        ),
        rows=tuple(rows),
        empty=tr("No room is coated yet."),
        note=tr("Gauge readings are of the wet film, taken while it was put on."),
    )


def _batches(job: Job, room: str) -> list[str]:
    found = [tub.batch for day in job.work.days if day.room == room for tub in day.opened if tub.batch]
    return list(dict.fromkeys(found))


def _not_coated_table(measured: Measured) -> Table:
    job, names = measured.job, room_names(measured.job)
    rows: list[tuple[Cell, ...]] = []
    for room in measured.takeoff.rooms:
        name = names[str(room.room)]
        if room.coated_m2 > 0 and not _is_coated(job, room):
            rows.append((name, tr("whole room, not coated yet"), printed(room.coated_m2)))
        elif room.coated_m2 <= 0:
            rows.append((name, tr("nothing was to be coated"), None))
        elif room.not_coated_m2 + room.excluded_m2 > 0.005:
            rows.append((name, tr("parts left out, such as tiles"), printed(room.not_coated_m2 + room.excluded_m2)))
    return Table(
        id="not-handed-over",
        title=tr("What was not coated"),
        columns=(Column(tr("Room"), share=1.4), Column(tr("What"), share=2.4), Column(tr("Area"), "m²", "figure")),
        rows=tuple(rows),
        empty=tr("Everything that was to be coated is coated."),
    )
