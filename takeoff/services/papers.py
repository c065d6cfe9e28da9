"""Plans that come on paper: a page of a PDF at its scale, and pictures, which have to be traced."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding, InputError

Progress = Callable[[float, str], None]

PICTURE = "page-is-picture"
"""The reader's finding where a page is a scan."""


def read_pdf(
    path: Path, scale: str | None, page_number: int | None, tell: Progress,
) -> tuple[Drawing, tuple[Finding, ...]]:
    """One page of a PDF in mm real size, and what was noticed in reading and scaling it.

    ``scale`` as people write it wins over what the sheet shows. Raises InputError in one sentence
    for what cannot be read, for a scale that is none, and for a page that is a picture.
    """
    from takeoff.readers import pdf
    from takeoff.recognise.scale import decide_scale, findings_at_scale, parse_scale

    if scale is not None:
        parse_scale(scale)  # refused before a long reading, not after
    raw, found = pdf.read(path, page_number, tell)
    for finding in found:
        if finding.code == PICTURE:
            raise InputError(finding.text)
    drawing, scaled = decide_scale(raw, scale)
    return drawing, (*findings_at_scale(found, drawing), *scaled)


def refuse_picture(path: Path) -> InputError:
    """Why a picture is not measured and what to do, in one sentence; or what is wrong with it."""
    from takeoff.readers import picture

    try:
        drawing, _ = picture.read(path)
    except InputError as error:
        return error
    assert drawing.picture is not None
    wide, high = drawing.picture.width_px, drawing.picture.height_px
    return InputError(
        f"{path.name} is a picture ({wide} × {high} pixels) without lines to measure: it has to be traced by "
        "hand once four corners of a known rectangle or one known length are given, so ask for the plan as "
        "DXF or as a PDF printed from the drawing program.")


def to_trace(path: Path, page_number: int = 1) -> tuple[Drawing, tuple[Finding, ...]]:
    """A drawing without lines over a picture, or over a page of a scanned PDF, for tracing.

    Raises InputError for what is neither, or cannot be read.
    """
    from takeoff.readers import pdf, picture
    from takeoff.services.contents import kind_of

    kind = kind_of(path)
    if kind == "picture":
        return picture.read(path)
    if kind != "pdf":
        raise InputError(f"{path.name} is no picture: open a PNG, JPEG, TIFF or scanned PDF to trace it.")
    page = pdf.render(path, page_number)
    return picture.from_rgb(path.name, page.sha256, page.width_px, page.height_px, page.dpi)


def in_vain(scale: str | None, page_number: int | None, name: str) -> tuple[Finding, ...]:
    """A finding where options for paper were given for what is none."""
    given = [*(["--scale"] if scale is not None else []),
             *(["--page-number"] if page_number is not None else [])]
    if not given:
        return ()
    return (Finding(
        "option-without-effect", "check",
        f"{' and '.join(given)} had no effect: {name} is no PDF, so it has no scale and no pages."),)
