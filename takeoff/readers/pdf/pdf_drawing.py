"""The reader itself: ask the worker for a page, make a Drawing of it, tell what was noticed."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path

import numpy as np

from takeoff.drawing.model import Claim, Drawing, Layer, Picture
from takeoff.errors import Finding, InputError, Where
from takeoff.files.from_outside import name_of, whole_file
from takeoff.findings import noticed
from takeoff.geometry.facets import Run
from takeoff.language import number, percent, tr, tr_count
from takeoff.language.lists import some_of
from takeoff.readers.pdf.beziers import TooManyPieces
from takeoff.readers.pdf.paper import Paper, paper_of
from takeoff.readers.pdf.pdf_lines import Drawn, linework
from takeoff.readers.pdf.pdf_messages import Content, Pages, Rendered, Request
from takeoff.readers.pdf.pdf_pens import layers_of
from takeoff.readers.pdf.pdf_process import LONGEST_SILENCE_S, ask
from takeoff.readers.pdf.pdf_words import labels
from takeoff.units.printing import printed, shown_short

Progress = Callable[[float, str], None]

PAGES_SHOWN = 6
LAYERS_SHOWN = 8
SMALLEST_CURVE_MM = 5.0
"""On paper: what is smaller is a letter or a symbol."""
DUST = 20
"""Pages with fewer lines than this are covers and lists, hardly plans."""
MOST_BYTES = 300 * 2**20

MAGIC = b"%PDF"
MAGIC_WITHIN = 1024
"""Some programs write a few bytes before the mark."""
FEW_LINES = 40
PICTURE_SHARE = 0.35
"""A page with fewer lines than FEW_LINES and images over this part of it is a scan."""


def read(
    path: Path, page: int | None = None, progress: Progress | None = None, silence_s: float = LONGEST_SILENCE_S
) -> tuple[Drawing, tuple[Finding, ...]]:
    """One page of a PDF as drawn, mm on paper, y up, and everything worth knowing about it.

    ``page`` counts from 1; without it the page with most linework is read, or one that says it is a floor plan where
    that does not, and a finding names the others. A page that is a picture gives a Drawing without lines, with
    ``picture`` set and the finding "page-is-picture" (error). Raises InputError, one sentence, for whatever cannot be
    read and for a page that shows nothing; Cancelled where ``progress`` raises it.
    """
    path = Path(path)
    digest = _digest(path)
    say = progress or _silent
    content = ask(Request(str(path.absolute()), name_of(path), page), say, silence_s)
    assert isinstance(content, Content)
    say(0.95, tr("Finding lines"))
    paper = paper_of(content)
    layers, pens = layers_of(content.pens, content.hidden)
    try:
        drawn = linework(content, paper, pens, len(layers) - 1)
    except TooManyPieces as error:
        raise InputError(
            tr(
                "Page {page} of {file} has curves of {count} lines, too many to measure: print it without hatches and "
                "shading, or ask for the DXF.",
                page=content.page,
                file=name_of(path),
                count=number(error.count),
            )
        ) from error
    drawing = _drawing(name_of(path), digest, content, paper, drawn, layers)
    say(1.0, tr("Read"))
    covered = _pictured_share(content, paper) if drawing.picture is None else 0.0
    return drawing, findings(drawing, content, drawn, page is not None, covered)


def render(path: Path, page: int, dpi: float = 200.0, progress: Progress | None = None) -> Rendered:
    """A page as a picture, at ``dpi`` or less where it would pass 50 million pixels.

    Raises InputError as ``read`` does.
    """
    path = Path(path)
    _digest(path)
    request = Request(str(path.absolute()), name_of(path), page, "picture", dpi)
    rendered = ask(request, progress or _silent)
    assert isinstance(rendered, Rendered)
    return rendered


def pages(path: Path, longest_px: int, first: int = 1, progress: Progress | None = None) -> Pages:
    """Small pictures of up to 60 pages from ``first`` on, to choose one by, with how many lines each has.

    Raises InputError as ``read`` does.
    """
    path = Path(path)
    _digest(path)
    request = Request(str(path.absolute()), name_of(path), first, "pages", longest_px=longest_px)
    shown = ask(request, progress or _silent)
    assert isinstance(shown, Pages)
    return shown


def _silent(share: float, what: str) -> None:
    """Nobody is told."""


def _drawing(
    name: str, digest: str, content: Content, paper: Paper, drawn: Drawn, layers: tuple[Layer, ...]
) -> Drawing:
    words = labels(
        tuple(paper.char(c) for c in content.chars), tuple(paper.note(n) for n in content.notes), len(layers) - 2
    )
    layers = layers if drawn.letters or drawn.stroked else layers[: -1 if words else -2]
    sheet = Claim(
        "sheet",
        f"page {content.page}",
        values=(
            ("width_mm", paper.width_mm),
            ("height_mm", paper.height_mm),
            ("page", float(content.page)),
            ("pages", float(content.pages)),
        ),
    )
    if not len(drawn.lines) and not words and not content.images:
        raise InputError(
            tr(
                "Page {page} of {file} shows no lines: choose another, or ask for the DXF.",
                page=content.page,
                file=name,
            )
        )
    picture = _picture(content, paper, digest) if _is_picture(content, paper, drawn) else None
    if not len(drawn.lines) and picture is None:
        raise InputError(
            tr(
                "Page {page} of {file} has no lines, only text or small images: choose another, or ask for the DXF.",
                page=content.page,
                file=name,
            )
        )
    return Drawing(
        name=name,
        layers=layers,
        lines=drawn.lines,
        loops=drawn.loops,
        labels=words,
        claims=(sheet,),
        sources=drawn.sources,
        sha256=digest,
        picture=picture,
    )


def _is_picture(content: Content, paper: Paper, drawn: Drawn) -> bool:
    return len(drawn.lines) < FEW_LINES and _pictured_share(content, paper) >= PICTURE_SHARE


def _pictured_share(content: Content, paper: Paper) -> float:
    """Which part of the page images cover; those that lie over each other count twice."""
    if not content.images:
        return 0.0
    boxes = paper.boxes(np.array(content.images))
    size = np.clip(boxes[:, 2:], 0.0, None) - np.clip(boxes[:, :2], 0.0, None)
    covered = float(np.clip(size, 0.0, None).prod(axis=1).sum())
    return covered / (paper.width_mm * paper.height_mm)


def _picture(content: Content, paper: Paper, digest: str) -> Picture:
    """The page as a picture of one pixel per mm of paper; the picture reader renders it finer."""
    wide, high = max(1, round(paper.width_mm)), max(1, round(paper.height_mm))
    return Picture(sha256=digest, width_px=wide, height_px=high)


def _digest(path: Path) -> str:
    """The file's sha256. Raises InputError where it is no file, no PDF, or cannot be read."""
    data = whole_file(path, tr("PDF"), MOST_BYTES, tr("print the plan's page alone as a new PDF"))
    if MAGIC not in data[:MAGIC_WITHIN]:
        raise InputError(tr("{file} is no PDF: choose a PDF, or open it as what it is.", file=name_of(path)))
    return hashlib.sha256(data).hexdigest()


def findings(
    drawing: Drawing, content: Content, drawn: Drawn, chosen: bool, pictured: float = 0.0
) -> tuple[Finding, ...]:
    """All findings of one page; ``chosen``: the user named the page; ``pictured``: which part of a page
    of lines images cover."""
    at = Where(page=content.page)
    found = [] if content.pages == 1 or chosen else _pages(drawing.name, content, at)
    found += _kinds(drawing, content, at)
    if pictured >= PICTURE_SHARE:
        # A scan with a stamp, or a plan with a photo beside it.
        share = min(pictured, 1.0)
        found.append(
            noticed(
                "picture-on-page", at, file=drawing.name, page=content.page, share=percent(int(printed(100 * share, 0)))
            )
        )
    return (*found, *_notes(drawing.name, content, drawn, at))


def _pages(name: str, content: Content, at: Where) -> list[Finding]:
    counts = dict(content.sides_on)
    others = sorted((n for n in counts if n != content.page and counts[n] >= DUST), key=lambda n: -counts[n])
    lines = number(counts[content.page])
    if others:
        told = [
            tr_count("{page} ({lines} line)", "{page} ({lines} lines)", counts[n], page=n, lines=number(counts[n]))
            for n in others
        ]
        shown = some_of(told, PAGES_SHOWN)
        way = "page-chosen" if counts[content.page] == max(counts.values()) else "page-chosen/plan"
        found = [noticed(way, at, file=name, pages=content.pages, page=content.page, lines=lines, others=shown)]
    else:
        found = [noticed("page-chosen/alone", at, file=name, pages=content.pages, page=content.page, lines=lines)]
    if content.uncounted:
        found.append(noticed("pages-not-read", at, file=name, count=content.uncounted))
    return found


def _kinds(drawing: Drawing, content: Content, at: Where) -> list[Finding]:
    """Whether the page is a picture, has text, and where its layers come from."""
    name = drawing.name
    if drawing.picture is not None:
        return [noticed("page-is-picture", at, page=content.page, file=name)]
    found = []
    if not drawing.labels:
        found.append(noticed("no-text", at, page=content.page, file=name))
    named = sorted({pen.layer for pen in content.pens if pen.layer})
    if named:
        layers = some_of(named, LAYERS_SHOWN)
        found.append(noticed("pdf-layers", at, file=name, count=len(named), layers=layers))
    if content.hidden:
        found.append(noticed("layers-hidden/pdf", at, file=name, layers=some_of(content.hidden, LAYERS_SHOWN)))
    return found


def _notes(name: str, content: Content, drawn: Drawn, at: Where) -> list[Finding]:
    notes = (
        ("curve-by-chords/pdf", drawn.chorded),
        ("paths-unseen", drawn.unseen),
        ("paths-cut", drawn.cut),
        ("strips-as-lines", drawn.hairs),
        ("strokes-as-fill", drawn.inked),
        ("letters-as-shapes", drawn.letters),
        ("letters-as-lines", drawn.stroked),
        ("shading-left", content.shadings),
    )
    found = [noticed(key, at, file=name, count=number(count)) for key, count in notes if count]
    if drawn.runs:
        first = drawn.runs[0]
        at = _at(first, content.page)
        found.append(
            noticed("facets-as-arc/pdf", at, file=name, count=len(drawn.runs), radius=shown_short(first.radius))
        )
    unclear = [r for r in drawn.unclear if r.radius >= SMALLEST_CURVE_MM]
    if unclear:
        first = max(unclear, key=lambda r: r.radius)
        at = _at(first, content.page)
        found.append(noticed("facets-unclear/pdf", at, file=name, count=len(unclear), radius=shown_short(first.radius)))
    return found


def _at(run: Run, page: int) -> Where:
    x, y = (run.arcs[0][0], run.arcs[0][1]) if run.arcs else (None, None)
    return Where(x_mm=x, y_mm=y, page=page)
