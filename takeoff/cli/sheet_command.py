"""The command that writes the papers of a job, all or some of them."""

from __future__ import annotations

import datetime
import os
from pathlib import Path
from typing import Literal

import click
import msgspec

from takeoff.cli import options, outlet
from takeoff.cli.collecting import seldom_collected
from takeoff.language import tr

PARTS = ("scope", "order", "site", "dimensions", "workbook", "tables", "calendar")
"""What can be named, said here so that help comes at once; a test holds it to what there is."""

FILE = click.Path(path_type=Path)


@click.command(
    help=tr("Export the sheets of a job: {names}. Without -o into a folder named after it.", names=", ".join(PARTS))
)
@click.argument("file", type=FILE, metavar="JOB")
@click.option(
    "-o", "--output", "folder", type=FILE, metavar="DIR", help=tr("The folder; one of another job is refused.")
)
@click.option(
    "--only", default="", metavar="NAMES", help=tr("Only these, parted by commas: {names}.", names=", ".join(PARTS))
)
@options.on_paper
@options.on_day
@options.as_draft
@click.option("--terms", type=FILE, metavar="FILE", help=tr("Your terms, a text file, printed on the scope."))
@click.option("--logo", type=FILE, metavar="FILE", help=tr("Your logo, a PNG, JPEG or TIFF, on every paper."))
@click.option("--prices", is_flag=True, help=tr("The order says what the goods cost."))
def sheets(
    file: Path,
    folder: Path | None,
    only: str,
    page: Literal["A4", "A3", "Letter"] | None,
    date: datetime.date | None,
    draft: bool,
    terms: Path | None,
    logo: Path | None,
    prices: bool,
) -> int:
    """Write the sheets of a job. Ends with 1 while something is to be mended."""
    from takeoff.cli.progress import progress_on_terminal
    from takeoff.cli.summary import withheld
    from takeoff.files.from_outside import named_in_refusals, within_memory
    from takeoff.plan import edits
    from takeoff.services.measured.job_result import measure_job
    from takeoff.services.opened.opening import open_file
    from takeoff.services.written.firm import logo_in
    from takeoff.services.written.sheet_folder import folder_beside, parts_of, terms_in, write_parts
    from takeoff.services.written.writing import CLIENT_NAME, document, letters_lacking, refuse_more_rooms

    parts = parts_of(only)
    folder = folder_beside(file) if folder is None else folder
    with within_memory(file), progress_on_terminal(file) as tell, seldom_collected():
        opened = open_file(file, progress=tell)
        job = opened.job if terms is None else edits.set_details(opened.job, terms=terms_in(terms))
        job = job if logo is None else edits.set_logo(job, logo_in(logo))
        opened = msgspec.structs.replace(opened, job=edits.set_order_prices(job, True) if prices else job)
        measured = measure_job(opened)
        with named_in_refusals(file):
            refuse_more_rooms(measured.job)
            made = document(measured, date.isoformat() if date else "", draft)
        older = os.path.exists(folder / CLIENT_NAME)
        written = write_parts(measured, made, folder, parts, page, draft, bool(only))
    outlet.note_written(written)
    for path in written:
        click.echo(tr("Written: {file}", file=path))
    if lacking := letters_lacking(made):
        click.echo(lacking, err=True)
    if measured.has_errors and not draft and "scope" in parts:
        click.echo(withheld(older), err=True)
    return 1 if measured.has_errors else 0
