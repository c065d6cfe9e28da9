"""The subcommands and their options. Heavy modules are imported once a command runs."""

from __future__ import annotations

import datetime
import os
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import click
import msgspec

from takeoff import __version__
from takeoff.cli import options, outlet
from takeoff.cli.collecting import seldom_collected
from takeoff.cli.command_groups import JobCommands
from takeoff.cli.compare_command import compare
from takeoff.cli.firm_command import firm
from takeoff.cli.job_commands import COMMANDS
from takeoff.cli.options import coat_from, drawing_options, settings_from
from takeoff.cli.progress import Tell, progress_on_terminal
from takeoff.cli.sheet_command import sheets as sheets_command
from takeoff.cli.site_commands import SITE_COMMANDS
from takeoff.cli.work_commands import COMMANDS as WORK_COMMANDS
from takeoff.files.from_outside import named_in_refusals, within_memory
from takeoff.language import tr

if TYPE_CHECKING:
    from takeoff.services.measured.job_result import Measured
    from takeoff.services.opened.opening import Opened
    from takeoff.sheets.sheet_values import Document

FILE = click.Path(path_type=Path)


@click.group(
    cls=JobCommands,
    help=tr(
        "Measure what there is to coat in a floor plan: walls, ceilings, reveals, corners, and what to order.\n\n"
        "Exit codes: 0 done, 1 done with something to fix, 2 could not."
    ),
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(__version__, prog_name="takeoff")
@click.option("--language", metavar="CODE", help=tr("Language of all text and of the sheets: en, de."))
@click.option(
    "--region", metavar="CODE", help=tr("How numbers, dates and money are written, and the paper: GB, US, DE, AT …")
)
def takeoff(language: str | None, region: str | None) -> None:
    """The command; its subcommands do the work."""


@takeoff.command(
    help=tr(
        "Measure FILE: a DXF drawing, a page of a PDF, a building model or a job file, and write the "
        "result. Several drawings are the storeys of one job, the lowest first; after a job they are "
        "added to it."
    )
)
@click.argument("files", type=FILE, nargs=-1, required=True, metavar="FILE...")
@drawing_options
@click.option(
    "-o",
    "--output",
    "folder",
    type=FILE,
    metavar="DIR",
    help=tr("Export the four papers as PDF, the tables as XLSX and CSV, result.json and job.json into DIR."),
)
@click.option(
    "--json",
    "json_file",
    type=click.Path(path_type=str, allow_dash=True),
    metavar="FILE",
    help=tr("Write the result as JSON to FILE, or to standard output with -."),
)
@options.on_paper
@click.option(
    "--convention",
    metavar="FILE|ID",
    help=tr("Measuring convention of the bill (net, uk-nrm2, de-vob …, or a file); the order stays net."),
)
@options.on_day
@options.as_draft
def measure(
    files: tuple[Path, ...],
    folder: Path | None,
    json_file: str | None,
    page: Literal["A4", "A3", "Letter"] | None,
    date: datetime.date | None,
    convention: str | None,
    draft: bool,
    **given: Any,
) -> int:
    """Measure a drawing or a job."""
    from takeoff.cli.summary import print_question, print_summary, withheld
    from takeoff.services.written.writing import document, letters_lacking, refuse_more_rooms

    if folder is not None:
        _finish(folder)
    opened, measured = _measured(files, given, convention)
    if json_file is None and not draft:
        asked = [print_question(one, folder is not None) for one in (opened, *opened.others)]
        if any(asked):
            return 1
    with within_memory(files[0]), named_in_refusals(files[0]), seldom_collected():
        if folder is not None:
            refuse_more_rooms(measured.job)
        sheets = document(measured, date.isoformat() if date else "", draft)
        older = folder is not None and _has_scope(folder)
        written = _write(measured, sheets, folder, json_file, page, draft)
    if json_file != "-":
        print_summary(measured, sheets, written)
    if folder is not None and (lacking := letters_lacking(sheets)):
        click.echo(lacking, err=True)
    if folder is not None and measured.has_errors and not draft:
        click.echo(withheld(older), err=json_file == "-")
    return 1 if measured.has_errors else 0


@takeoff.command(help=tr("List the use of each layer of FILE and all findings, and nothing else."))
@click.argument("files", type=FILE, nargs=-1, required=True, metavar="FILE...")
@click.option("--details", is_flag=True, help=tr("Say under each finding why it is listed."))
@drawing_options
def check(files: tuple[Path, ...], details: bool, **given: Any) -> int:
    """The use of layers, and all findings."""
    from takeoff.cli.summary import print_findings, print_layers

    opened, measured = _measured(files, given)
    for one in (opened, *opened.others):
        print_layers(one)
    print_findings(measured, every=True, details=details)
    return 1 if measured.has_errors else 0


@takeoff.command(
    help=tr(
        "Save what was found in the drawing FILE as a job, to be edited and measured. Several drawings "
        "are the storeys of one job, the lowest first."
    )
)
@click.argument("files", type=FILE, nargs=-1, required=True, metavar="FILE...")
@drawing_options
@click.option(
    "-o", "--output", "job_file", type=FILE, required=True, metavar="JOB.json", help=tr("The job file to write.")
)
def job(files: tuple[Path, ...], job_file: Path, **given: Any) -> int:
    """Save a drawing as a job."""
    from takeoff.cli.summary import print_findings
    from takeoff.files.atomic import write_bytes
    from takeoff.services.measured.job_result import job_json

    measured = _measured(files, given)[1]
    write_bytes(job_file, job_json(measured.job))
    outlet.note_written((job_file,))
    print_findings(measured, every=False)
    click.echo(tr("Written: {file}", file=job_file))
    return 1 if measured.has_errors else 0


@takeoff.command(help=tr("Open the window, with FILE or with the sample job. Without any command this is what starts."))
@click.argument("file", type=FILE, required=False)
def window(file: Path | None) -> int:
    """Open the window."""
    from takeoff.ui.screen import start

    return start(file)


@takeoff.command(
    help=tr("Write the blank survey form of a room, to fill in on site in the order in which it is typed in.")
)
@click.option("-o", "--output", "file", type=FILE, required=True, metavar="FORM.pdf", help=tr("The PDF to write."))
@click.option(
    "--page",
    type=click.Choice(["A4", "A3", "Letter"], case_sensitive=False),
    help=tr("Size of the pages; without it the usual paper of your region."),
)
@click.option(
    "--rooms", type=options.WHOLE, default=1, show_default=True, metavar="N", help=tr("How many rooms: two pages each.")
)
@click.option("--name", "job_name", default="", metavar="JOB", help=tr("The job's name, printed on every page."))
@click.option("--today", is_flag=True, help=tr("Write the page that asks whether to coat today instead."))
def form(file: Path, page: Literal["A4", "A3", "Letter"] | None, rooms: int, job_name: str, today: bool) -> int:
    """Write the blank survey form."""
    from takeoff.services.written.writing import write_form, write_today_form

    if today:
        write_today_form(file, page or "", job_name)
    else:
        write_form(file, page or "", rooms, job_name)
    click.echo(tr("Written: {file}", file=file))
    return 0


@takeoff.command(help=tr("List the known coating systems, or check the named one, write a copy of it, or keep it."))
@click.argument("name", required=False, metavar="ID|FILE")
@click.option(
    "-o", "--output", "file", type=FILE, metavar="FILE.json", help=tr("Write that system there, to be edited.")
)
@click.option("--own", is_flag=True, help=tr("Add that system to your own, for every job."))
@click.option("--usual", is_flag=True, help=tr("New jobs use that system from now on."))
def systems(name: str | None, file: Path | None, own: bool, usual: bool) -> int:
    """List, check, copy or keep coating systems."""
    from takeoff.cli.summary import print_systems
    from takeoff.files.atomic import write_bytes
    from takeoff.supply.systems import chosen, encoded, save_own, use_from_now_on

    if name is None:
        if file is not None or own or usual:
            raise click.UsageError(tr("Name the system: takeoff systems ID -o FILE.json."))
        print_systems()
        return 0
    system = chosen(name)
    if file is not None:
        write_bytes(file, encoded(system))
        click.echo(tr("Written: {file}", file=file))
    if own:
        click.echo(tr("Among your own systems: {file}", file=save_own(system)))
    if usual:
        use_from_now_on(system.id)
        click.echo(tr("New jobs now use {system}.", system=system.name))
    if not (file or own or usual):
        click.echo(tr("{system} ({id}) can be used: --system {name}", system=system.name, id=system.id, name=name))
    return 0


@takeoff.command(help=tr("Print the JSON Schema of a job file or of a result."))
@click.argument("kind", type=click.Choice(["job", "result"]))
def schema(kind: Literal["job", "result"]) -> int:
    """Print a JSON Schema."""
    from takeoff.services.measured.job_result import schema_json

    click.echo(schema_json(kind).decode(), nl=False)
    return 0


for command in (*COMMANDS, *SITE_COMMANDS, *WORK_COMMANDS, compare, sheets_command, firm):
    takeoff.add_command(command)


def _opened(files: tuple[Path, ...], given: dict[str, Any], tell: Tell | None) -> Opened:
    """The opened files as one job, with what was remembered of layers; what is said of them now is remembered."""
    from takeoff.files.paths import state_folder
    from takeoff.services.measured.coating import coated_as_said
    from takeoff.services.opened.layers import remember
    from takeoff.services.opened.opening import open_file
    from takeoff.services.opened.several_drawings import all_in_one
    from takeoff.storage import layer_profiles

    unit, scale, page_number = given.pop("unit"), given.pop("scale"), given.pop("page_number")
    said, anew, system = given.pop("said"), given.pop("anew"), given.pop("system")
    coat = coat_from(given)
    settings = settings_from(given)
    profiles, lost = ((), ()) if anew else layer_profiles.load(state_folder())
    every = [open_file(file, settings, unit, tell, scale, page_number, said, profiles) for file in files]
    for one in every:
        if said and not anew and one.raw is not None and one.drawing is not None and one.job.drawings:
            remember(state_folder(), one.drawing, one.job.drawings[0].layer_roles)
    opened = coated_as_said(ordered_with(all_in_one(every[0], every[1:]), system), coat)
    return msgspec.structs.replace(opened, findings=(*lost, *opened.findings)) if lost else opened


def ordered_with(opened: Opened, name: str | None) -> Opened:
    """The opened job with the coating system of that file or id. Raises InputError."""
    from takeoff.plan import edits
    from takeoff.supply.systems import as_copy, chosen

    if name is None:
        return opened
    system = chosen(name)
    return msgspec.structs.replace(opened, job=edits.set_system(opened.job, system.id, as_copy(system)))


def _measured(files: tuple[Path, ...], given: dict[str, Any], convention: str | None = None) -> tuple[Opened, Measured]:
    from takeoff.services.measured.job_result import billed_by, measure_job

    with within_memory(files[0]), progress_on_terminal(files[0]) as tell:
        opened = _opened(files, given, tell)
        if convention is not None:
            opened = billed_by(opened, convention)
        return opened, measure_job(opened, tell)


def _finish(folder: Path) -> None:
    """Makes whole what a run was killed in while it wrote there, before anything else is done, and says so."""
    from takeoff.files.together import finish

    if finish(folder):
        click.echo(
            tr("“{folder}” was left half written by an interrupted run; it is complete again.", folder=folder), err=True
        )


def _has_scope(folder: Path) -> bool:
    from takeoff.services.written.writing import CLIENT_NAME

    return os.path.exists(folder / CLIENT_NAME)  # False too for a name that no disk takes: writing says so


def _write(
    measured: Measured,
    sheets: Document,
    folder: Path | None,
    json_file: str | None,
    page: Literal["A4", "A3", "Letter"] | None,
    draft: bool,
) -> tuple[Path, ...]:
    """Write what was asked for: all of it, or nothing where a part cannot be written."""
    from takeoff.files.atomic import writing
    from takeoff.services.measured.printed_totals import result_json
    from takeoff.services.written.writing import write_everything

    written: tuple[Path, ...] = ()
    with ExitStack() as together:
        data = result_json(measured) if json_file else b""
        if json_file and json_file != "-":
            together.enter_context(writing(Path(json_file))).write_bytes(data)
            written = (Path(json_file),)
        if folder is not None:
            written = (*write_everything(measured, sheets, folder, page, draft), *written)
    outlet.note_written(written)
    if json_file == "-":
        outlet.put(data)
    return written
