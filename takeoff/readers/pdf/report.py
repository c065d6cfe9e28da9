"""What was noticed while reading a page, one sentence per kind."""

from __future__ import annotations

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding, Severity, Where
from takeoff.geometry.facets import Run
from takeoff.readers.pdf.linework import Drawn
from takeoff.readers.pdf.messages import Content

PAGES_SHOWN = 6
LAYERS_SHOWN = 8
SMALLEST_CURVE_MM = 5.0
"""On paper: what is smaller is a letter or a symbol."""
SCANNED_SHARE = 0.35
DUST = 20
"""Pages with fewer lines than this are covers and lists, hardly plans."""


def findings(
    drawing: Drawing, content: Content, drawn: Drawn, chosen: bool, pictured: float = 0.0
) -> tuple[Finding, ...]:
    """All findings of one page; ``chosen``: the user named the page; ``pictured``: which part of a page
    of lines images cover."""
    at = Where(page=content.page)
    found = [
        *_pages(drawing.name, content, chosen, at),
        *_kinds(drawing, content, at),
        *_scanned(drawing.name, pictured, at),
        *_notes(drawing.name, content, drawn, at),
    ]
    return tuple(found)


def _told(code: str, severity: Severity, text: str, at: Where) -> Finding:
    return Finding(code, severity, text, at)


def _pages(name: str, content: Content, chosen: bool, at: Where) -> list[Finding]:
    if content.pages == 1 or chosen:
        return []
    counts = dict(content.sides_on)
    others = sorted((n for n in counts if n != content.page and counts[n] >= DUST), key=lambda n: -counts[n])
    listed = ", ".join(f"{n} ({counts[n]:,} lines)" for n in others[:PAGES_SHOWN])
    more = f" and {len(others) - PAGES_SHOWN} more" if len(others) > PAGES_SHOWN else ""
    rest = (
        f"Other pages with linework: {listed}{more}; name one to read it instead."
        if others
        else "The other pages hold next to no linework."
    )
    found = [
        _told(
            "page-chosen",
            "check" if others else "note",
            f"{name} has {content.pages} pages: page {content.page}, with most linework "
            f"({counts[content.page]:,} lines), was read. {rest}",
            at,
        )
    ]
    if content.uncounted:
        found.append(
            _told("pages-not-read", "check", f"{name}: {content.uncounted} damaged pages could not be read.", at)
        )
    return found


def _kinds(drawing: Drawing, content: Content, at: Where) -> list[Finding]:
    """Whether the page is a picture, has text, and where its layers come from."""
    name = drawing.name
    if drawing.picture is not None:
        return [
            _told(
                "page-is-picture",
                "error",
                f"Page {content.page} of {name} is a picture (a scan) without lines: straighten and trace it, or "
                "ask for the plan as DXF or as a PDF printed from the drawing program.",
                at,
            )
        ]
    found = []
    if not drawing.labels:
        found.append(
            _told(
                "no-text",
                "note",
                f"Page {content.page} of {name} has no text: letters may be drawn as lines, so no names, areas "
                "or scale could be read.",
                at,
            )
        )
    named = sorted({pen.layer for pen in content.pens if pen.layer})
    if named:
        more = f" and {len(named) - LAYERS_SHOWN} more" if len(named) > LAYERS_SHOWN else ""
        found.append(
            _told(
                "pdf-layers", "note", f"{name} names {len(named)} layers ({', '.join(named[:LAYERS_SHOWN])}{more}).", at
            )
        )
    if content.hidden:
        found.append(
            _told(
                "layers-hidden",
                "note",
                f"{name}: layers with linework that are switched off: {', '.join(content.hidden[:LAYERS_SHOWN])}.",
                at,
            )
        )
    return found


def _scanned(name: str, pictured: float, at: Where) -> list[Finding]:
    """A page of lines that is mostly a picture: a scan with a stamp, or a plan with a photo beside it."""
    if pictured < SCANNED_SHARE:
        return []
    return [
        _told(
            "picture-on-page",
            "check",
            f"Images cover {min(pictured, 1.0):.0%} of page {at.page} of {name}, and only its lines are read: if "
            "the plan is one of the images, open the page as a picture and trace it.",
            at,
        )
    ]


def _notes(name: str, content: Content, drawn: Drawn, at: Where) -> list[Finding]:
    notes = [
        (
            "curve-by-chords",
            drawn.chorded,
            "curves that are no circles are measured by chords within 0.005 mm on paper",
        ),
        ("paths-unseen", drawn.unseen, "shapes in white or as paper colour were left out"),
        ("paths-cut", drawn.cut, "paths were cut at the edge of the page or of a viewport"),
        ("strips-as-lines", drawn.hairs, "thin filled strips are taken for the lines they stand for"),
        ("letters-as-shapes", drawn.letters, "small filled shapes are taken for letters, not for walls"),
        (
            "letters-as-lines",
            drawn.stroked,
            "short lines are taken for letters drawn stroke by stroke, not for walls, and are not read",
        ),
        ("shading-left", content.shadings, "shadings were left out"),
    ]
    found = [_told(code, "note", f"{name}: {count} {what}.", at) for code, count, what in notes if count]
    if drawn.runs:
        first = drawn.runs[0]
        found.append(
            _told(
                "facets-as-arc",
                "note",
                f"{name}: {len(drawn.runs)} curves drawn in facets are measured as the arcs they stand for, the "
                f"first of radius {first.radius:.4g} mm on paper.",
                _at(first, content.page),
            )
        )
    unclear = [r for r in drawn.unclear if r.radius >= SMALLEST_CURVE_MM]
    if unclear:
        first = max(unclear, key=lambda r: r.radius)
        found.append(
            _told(
                "facets-unclear",
                "check",
                f"{name}: {len(unclear)} runs of equal sides may be curves or polygons, the largest of radius "
                f"{first.radius:.4g} mm on paper: they are measured as drawn.",
                _at(first, content.page),
            )
        )
    return found


def _at(run: Run, page: int) -> Where:
    x, y = (run.arcs[0][0], run.arcs[0][1]) if run.arcs else (None, None)
    return Where(x_mm=x, y_mm=y, page=page)
