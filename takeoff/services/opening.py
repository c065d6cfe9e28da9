"""Opening a file for the window: importable by name, so that it can run in a process of its own."""

from __future__ import annotations

from pathlib import Path

import msgspec

from takeoff.errors import InputError
from takeoff.files.paths import resource
from takeoff.services.contents import kind_of
from takeoff.services.measuring import READING_SHARE, Answers, Opened, Progress, answered, open_file, page_answered

SAMPLE = "terrace.job.json"
LONGEST_THUMBNAIL_PX = 230
MOST_SHOWN = 60
"""Pages of a PDF that are shown small; the reader gives no more."""


class Thumbnail(msgspec.Struct, frozen=True):
    """A page of a PDF, small: rows from the top, three bytes per pixel, and how many lines it has."""

    page: int
    width_px: int
    height_px: int
    rgb: bytes
    lines: int


def open_for_window(path: Path, answers: Answers, progress: Progress) -> Opened:
    """``open_file`` with what a spawned process can be given. Pictures and scanned pages are opened too,
    to be traced. Raises InputError."""
    kind = kind_of(path)
    if kind == "picture":
        from takeoff.services.pictures import picture_file

        return picture_file(path)
    if kind == "pdf":
        return _page(path, answers, progress)
    return open_file(path, answers.settings, answers.unit, progress, said=answers.said, profiles=answers.profiles)


def _page(path: Path, answers: Answers, progress: Progress) -> Opened:
    from takeoff.services.papers import read_pdf
    from takeoff.services.pictures import scanned_page

    scale = None if answers.scale is None else str(answers.scale)
    raw, read = read_pdf(path, scale, answers.page, lambda part, text: progress(part * READING_SHARE, text), scans=True)
    if raw.picture is None:
        return page_answered(path, raw, read, answers, progress)
    sheet = next(claim for claim in raw.claims if claim.kind == "sheet")
    return scanned_page(path, sheet, progress)


def answered_for_window(opened: Opened, answers: Answers, progress: Progress) -> Opened:
    """``answered`` with what a spawned process can be given."""
    return answered(opened, answers, progress)


def thumbnails(path: Path, first: int, progress: Progress) -> tuple[Thumbnail, ...]:
    """Small pictures of up to 60 pages of a PDF from ``first`` on. Raises InputError."""
    from takeoff.readers import pdf

    shown = pdf.pages(path, LONGEST_THUMBNAIL_PX, first, progress)
    return tuple(
        Thumbnail(p.page, p.width_px, p.height_px, p.rgb, lines)
        for p, lines in zip(shown.shown, shown.sides, strict=True)
    )


def sample_job() -> Path | None:
    """The sample job that a first start opens: in the wheel's data, or beside it in a checkout."""
    try:
        found = resource(f"samples/{SAMPLE}")
    except InputError:
        beside = Path(__file__).resolve().parents[2] / "sample_plans" / SAMPLE
        return beside if beside.is_file() else None
    return Path(str(found))
