"""The command that lays new drawings over a job and says what they change."""

from __future__ import annotations

from contextlib import ExitStack
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from takeoff.cli import options, outlet
from takeoff.language import mark, tr

if TYPE_CHECKING:
    from takeoff.revise.difference import RoomDifference
    from takeoff.services.changed.comparing import Comparison

FILE = click.Path(path_type=Path)


@click.command(
    help=tr(
        "Lay new drawings over JOB and say what they change: rooms, quantities, and what was set and has no place any "
        "more. Several drawings are several storeys; a storey that is in none stays as it is."
    )
)
@click.argument("job", type=FILE)
@click.argument("news", type=FILE, nargs=-1, required=True, metavar="NEW...")
@click.option(
    "-o",
    "--output",
    "folder",
    type=FILE,
    metavar="DIR",
    help=tr("Write what changes into DIR, for both sides to sign."),
)
@click.option(
    "--json",
    "json_file",
    type=click.Path(path_type=str, allow_dash=True),
    metavar="FILE",
    help=tr("Write the comparison as JSON to FILE, or to standard output with -."),
)
@click.option("--accept", is_flag=True, help=tr("Write the job with all changes accepted into DIR too."))
@click.option(
    "--refuse",
    "refused",
    multiple=True,
    metavar="ROOM",
    help=tr("Leave that room as it was; it stays listed as refused. May be given several times."),
)
@click.option(
    "--same-place",
    "places",
    multiple=True,
    metavar="'X Y = X Y'",
    help=tr("A place in the new drawing and where it is in the job's plan, in m. Two of them set the drawing down."),
)
@click.option("--onto", default="", metavar="STOREY", help=tr("With --same-place: the job's storey that it lies over."))
@click.option("--even-so", is_flag=True, help=tr("Go on although it may be the plan of another building."))
@click.option("--unit", type=click.Choice(options.UNITS), help=tr("Unit of the new drawings, whatever they say."))
@click.option("--scale", metavar="1:N", callback=options.scale, help=tr("Scale of new drawings that are PDF."))
@click.option("--page-number", type=click.IntRange(min=1), metavar="N", help=tr("Page of a PDF to read."))
@options.on_paper
@options.on_day
def compare(
    job: Path,
    news: tuple[Path, ...],
    folder: Path | None,
    json_file: str | None,
    accept: bool,
    refused: tuple[str, ...],
    places: tuple[str, ...],
    onto: str,
    even_so: bool,
    unit: str | None,
    scale: str | None,
    page_number: int | None,
    page: Literal["A4", "A3", "Letter"] | None,
    date: object,
) -> int:
    """What new drawings change. Ends with 1 where they may be of another building and nobody said otherwise."""
    from takeoff.cli.progress import progress_on_terminal
    from takeoff.files.from_outside import within_memory
    from takeoff.files.together import finish
    from takeoff.services.changed.comparing import compare_files, same_place

    if accept and folder is None:
        raise click.UsageError(tr("--accept writes the job into a folder: give -o DIR."))
    if folder is not None:
        finish(folder)
    with within_memory(job), progress_on_terminal(job) as tell:
        points = [same_place(text) for text in places]
        done = compare_files(job, news, unit, scale, page_number, tell, points, onto, refused)
        asked = done.another_plan and not even_so
        said = str(date) if date else ""
        written = _write(done, None if asked else folder, json_file, accept, page or "", said)
    if json_file != "-":
        _print(done, written)
    if asked:
        words = tr("Nothing was written into the folder. Say --even-so if it is the same building.")
        click.echo(words if folder is not None else tr("Say --even-so if it is the same building."), err=True)
    return 1 if asked else 0


def _write(
    done: Comparison, folder: Path | None, json_file: str | None, accept: bool, page: str, date: str
) -> tuple[Path, ...]:
    from takeoff.files.atomic import writing
    from takeoff.services.changed.comparing import difference_json
    from takeoff.services.changed.variation_papers import write_variation

    data = difference_json(done)
    written: tuple[Path, ...] = ()
    with ExitStack() as together:
        if json_file and json_file != "-":
            together.enter_context(writing(Path(json_file))).write_bytes(data)
            written = (Path(json_file),)
        if folder is not None:
            written = (*write_variation(done, folder, accept, page, date), *written)
    outlet.note_written(written)
    if json_file == "-":
        outlet.put(data)
    return written


_CHANGES = {
    "altered": mark("altered"),
    "added": mark("added"),
    "omitted": mark("omitted"),
    "split": mark("split"),
    "joined": mark("joined"),
    "renamed": mark("renamed"),
}
_SHOWN = (
    ("wall_net_m2", mark("walls {added} added, {omitted} omitted")),
    ("ceiling_m2", mark("ceiling {added} added, {omitted} omitted")),
    ("drop_m2", mark("bulkheads and boxing {added} added, {omitted} omitted")),
    ("reveal_m2", mark("reveals {added} added, {omitted} omitted")),
    ("bead_m", mark("corner bead {added} added, {omitted} omitted")),
)


def _print(done: Comparison, written: tuple[Path, ...]) -> None:
    """What changed, room by room, then what is to be looked at."""
    changed = done.compared.difference.changed
    if not changed:
        click.echo(tr("Nothing changes."))
    _print_changed(changed)
    if done.refused:
        click.echo(click.style(tr("Refused, left as it was"), bold=True))
    _print_changed(done.refused)
    for severity, title in (("check", tr("Please check:")), ("note", tr("Notes:"))):
        texts = [finding.text for finding in done.findings if finding.severity == severity]
        if texts:
            click.echo("\n" + title)
            for text in texts:
                click.echo(f"  - {text}")
    for path in written:
        click.echo(tr("Written: {file}", file=path))


def _print_changed(changed: tuple[RoomDifference, ...]) -> None:
    for storey, rooms in groupby(changed, key=lambda room: room.storey_title):
        click.echo(click.style(storey, bold=True))
        for room in rooms:
            _print_room(room)


def _print_room(room: RoomDifference) -> None:
    from takeoff.units.printing import shown

    click.echo(f"  {room.name}: {tr(_CHANGES[room.change])}")
    for key, words in _SHOWN:
        quantity, unit = room.printed[key], "m²" if key.endswith("m2") else "m"
        if quantity.changed:
            added, omitted = (f"{shown(value)} {unit}" for value in (quantity.added, quantity.omitted))
            click.echo("    " + tr(words, added=added, omitted=omitted))
