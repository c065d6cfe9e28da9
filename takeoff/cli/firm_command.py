"""The command that keeps the contractor's own details for the jobs to come."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from takeoff.language import tr

if TYPE_CHECKING:
    from takeoff.services.written.firm import Firm

FILE = click.Path(path_type=Path)


@click.command(
    help=tr("Show your firm's details, or keep them for new jobs: they stand on every paper. Clients are never kept.")
)
@click.option("--name", metavar="TEXT", help=tr("The firm that does the work."))
@click.option("--address", metavar="TEXT", help=tr("Its address, with commas between the lines."))
@click.option("--terms", type=FILE, metavar="FILE", help=tr("Your terms, a text file, printed on the scope."))
@click.option("--logo", type=FILE, metavar="FILE", help=tr("Your logo, a PNG, JPEG or TIFF."))
@click.option("--forget", is_flag=True, help=tr("Forget what was kept; with other options all but these."))
def firm(name: str | None, address: str | None, terms: Path | None, logo: Path | None, forget: bool) -> int:
    """Show or keep the firm."""
    from takeoff.plan import edits
    from takeoff.plan.model import Job
    from takeoff.services.written.firm import Firm, firm_of, keep_firm, kept_firm, logo_in, with_firm
    from takeoff.services.written.sheet_folder import terms_in

    job = with_firm(Job(), Firm() if forget else kept_firm())
    if name is not None:
        job = edits.set_details(job, contractor=name)
    if address is not None:
        job = edits.set_details(job, address=address)
    if terms is not None:
        job = edits.set_details(job, terms=terms_in(terms))
    if logo is not None:
        job = edits.set_logo(job, logo_in(logo))
    own = firm_of(job)
    if own != kept_firm():
        path = keep_firm(own)
        if own == Firm():
            click.echo(tr("Your firm's details are forgotten."))
            return 0
        click.echo(tr("Kept for new jobs: {file}", file=path))
    for line in _lines(own):
        click.echo(line)
    return 0


def _lines(own: Firm) -> list[str]:
    """What is kept, a line each; one that says so where nothing is."""
    said = [
        tr("Firm: {name}", name=own.contractor) if own.contractor else "",
        tr("Address: {address}", address=own.address) if own.address else "",
        tr("Terms: {count} letters", count=len(own.terms)) if own.terms else "",
        tr("Logo: {wide} × {high} pixels", wide=own.logo.width_px, high=own.logo.height_px) if own.logo else "",
    ]
    return [line for line in said if line] or [tr("Nothing is kept yet: give --name, --address, --terms or --logo.")]
