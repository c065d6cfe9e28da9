"""The blank form for site readings, written."""

from __future__ import annotations

from pathlib import Path

from takeoff.errors import InputError

MOST_ROOMS = 200


def write_form(path: Path, paper: str = "A4", rooms: int = 1, job: str = "") -> None:
    """Write a PDF with a page for each of so many rooms; ``job`` is printed on each.

    Raises InputError for a number of rooms that nobody reads, OutputError where it cannot be written.
    """
    if not 1 <= rooms <= MOST_ROOMS:
        raise InputError(f"A form has 1 to {MOST_ROOMS} pages, not {rooms}: give the number of rooms.")
    from takeoff.files.atomic import write_bytes
    from takeoff.sheets.fonts import Typeface
    from takeoff.sheets.pdf import pages_bytes
    from takeoff.sheets.site_form import form_pages, load_texts

    face = Typeface()
    pages = form_pages(paper, rooms, face.measure, job)
    write_bytes(path, pages_bytes(pages, face, load_texts().title))
