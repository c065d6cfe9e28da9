"""The reader itself: ask the worker for a page, make a Drawing of it, tell what was noticed."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from pathlib import Path

import numpy as np

from takeoff.drawing.model import Claim, Drawing, Layer, Picture
from takeoff.errors import Finding, InputError
from takeoff.readers.pdf.linework import Drawn, linework
from takeoff.readers.pdf.messages import Content, Pages, Rendered, Request
from takeoff.readers.pdf.page import Paper, paper_of
from takeoff.readers.pdf.pens import layers_of
from takeoff.readers.pdf.process import LONGEST_SILENCE_S, ask
from takeoff.readers.pdf.report import findings
from takeoff.readers.pdf.words import labels

Progress = Callable[[float, str], None]

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

    ``page`` counts from 1; without it the page with most linework is read and a finding names the
    others. A page that is a picture gives a Drawing without lines, with ``picture`` set and the
    finding "page-is-picture" (error). Raises InputError, one sentence, for whatever cannot be read
    and for a page that shows nothing; Cancelled where ``progress`` raises it.
    """
    path = Path(path)
    digest = _digest(path)
    say = progress or _silent
    content = ask(Request(str(path.absolute()), path.name, page), say, silence_s)
    assert isinstance(content, Content)
    say(0.95, "Finding lines")
    paper = paper_of(content)
    layers, pens = layers_of(content.pens, content.hidden)
    drawn = linework(content, paper, pens, len(layers) - 1)
    drawing = _drawing(path.name, digest, content, paper, drawn, layers)
    say(1.0, "Read")
    covered = _pictured_share(content, paper) if drawing.picture is None else 0.0
    return drawing, findings(drawing, content, drawn, page is not None, covered)


def render(path: Path, page: int, dpi: float = 200.0, progress: Progress | None = None) -> Rendered:
    """A page as a picture, at ``dpi`` or less where it would pass 50 million pixels.

    Raises InputError as ``read`` does.
    """
    path = Path(path)
    _digest(path)
    request = Request(str(path.absolute()), path.name, page, "picture", dpi)
    rendered = ask(request, progress or _silent)
    assert isinstance(rendered, Rendered)
    return rendered


def pages(path: Path, longest_px: int, first: int = 1, progress: Progress | None = None) -> Pages:
    """Small pictures of up to 60 pages from ``first`` on, to choose one by, with how many lines each has.

    Raises InputError as ``read`` does.
    """
    path = Path(path)
    _digest(path)
    request = Request(str(path.absolute()), path.name, first, "pages", longest_px=longest_px)
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
            f"Page {content.page} of {name} shows no lines: choose another page or ask for the plan as DXF."
        )
    picture = _picture(content, paper, digest) if _is_picture(content, paper, drawn) else None
    if not len(drawn.lines) and picture is None:
        raise InputError(
            f"Page {content.page} of {name} holds no lines, only text or small images: choose another page "
            "or ask for the DXF of the plan."
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
    try:
        if path.is_dir():
            raise InputError(f"{path.name or path} is a folder: name the PDF in it.")
        with path.open("rb") as file:
            start = file.read(MAGIC_WITHIN)
            digest = hashlib.sha256(start)
            while block := file.read(2**20):
                digest.update(block)
    except FileNotFoundError as error:
        raise InputError(f"{path.name} does not exist in {path.parent}: check the name and the folder.") from error
    except PermissionError as error:
        raise InputError(f"{path.name} may not be read: ask its owner for permission, or copy it.") from error
    except OSError as error:
        reason = error.strerror or "unknown reason"
        raise InputError(f"{path.name} cannot be read ({reason}): check the disk or copy the file.") from error
    if not start.strip(b"\0 \t\r\n"):
        raise InputError(f"{path.name} is empty: get the file again.")
    if MAGIC not in start:
        raise InputError(f"{path.name} is no PDF: choose a PDF, or open it as what it is.")
    return digest.hexdigest()
