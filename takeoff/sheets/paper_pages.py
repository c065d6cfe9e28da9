"""The pages of each paper: scope, order, site sheets and dimension sheet."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from takeoff.language import tr
from takeoff.sheets import palette
from takeoff.sheets.bar_chart import CHART_ROW_MM, chart_pictures
from takeoff.sheets.card_pages import put_cards
from takeoff.sheets.columns import TEXT_PT as SMALL_PT
from takeoff.sheets.columns import put_columns
from takeoff.sheets.flow import SIZES_MM, Flow, Page, TableSetter, labelled_lines, line_mm, wrap
from takeoff.sheets.front_page import front_table, header
from takeoff.sheets.labelled import label_mm, put_lines
from takeoff.sheets.page_foot import put_foot
from takeoff.sheets.picture import Measure
from takeoff.sheets.sheet_values import BarChart, Document, Line, Notes, Paper, Table
from takeoff.sheets.storey_pages import Way, plan_pages, storey_pages

_TEXT_PT = 9.5

ORDER: dict[Paper, tuple[str, ...]] = {
    "scope": ("offer", "price", "holds", "preparation", "bars", "bill", "bill-narrow"),
    "order": ("materials-", "materials", "lots", "lot-"),
    "site": ("holds", "preparation", "mixing", "bars", "days", "closing", "patterns-", "lot-cuts-"),
    "dimensions": ("areas", "substrates", "corners", "lengths-by-room", "dims-", "unsure", "assumptions", "findings"),
}
"""In which order sections stand in a paper, by the beginnings of their ids; others follow in their own order."""


def lay_out(document: Document, size: str, measure: Measure) -> list[Page]:
    """The pages of one paper (``Document.for_paper``) in order, each with its foot.

    ``size`` is "A4", "A3" or "Letter"; KeyError for another, and for a document of no paper.
    """
    flow = Flow(SIZES_MM[size], measure, (document.job, document.title))
    _SET[document.paper](flow, document)  # type: ignore[index]
    for number, page in enumerate(flow.pages, 1):
        put_foot(page, document, number, len(flow.pages), measure)
    return flow.pages


def _scope(flow: Flow, document: Document) -> None:
    """Headline, plans, then tables, conditions and cautions, and where it is signed."""
    done: list[str] = []

    def between() -> bool:
        done.extend(_on_first(flow, document))
        fitting = _that_fit(flow, document, done, passing=True)
        _sections(flow, document, only=fitting)
        done.extend(fitting)
        return bool(fitting)

    plan_pages(flow, document, between)
    if flow.page.pictures:
        # What stands beside a plan leaves no place to go on from.
        flow.new_page()
    _sections(flow, document, (*done, *_on_first(flow, document)))
    sign = _SIGN_MM if document.sign else 0.0
    put_columns(flow, document.words["conditions"], document.conditions)
    put_columns(flow, document.cautions_title, document.cautions, 0.0 if document.questions else sign)
    _to_confirm(flow, document, sign)
    if document.sign:
        _places_to_sign(flow, document)


def _on_first(flow: Flow, document: Document) -> tuple[str, ...]:
    """The id of the table that the first page has taken; () where it has none."""
    front = front_table(document)
    return (front.id,) if front and front.title in flow.pages[0].outline else ()


def _listed(flow: Flow, document: Document) -> None:
    """What is to be known first, then tables: the order, the dimension sheet."""
    flow.new_page(head=False)
    header(flow, document, document.job)
    put_lines(flow, document.lines, flow.width)
    flow.y -= 3.0
    _sections(flow, document)


def _site(flow: Flow, document: Document) -> None:
    """Safety first, then the plans with every wall named, what to cut and to look at, and a card for each room."""
    flow.new_page(head=False)
    header(flow, document, document.job)
    put_columns(flow, document.cautions_title, document.cautions)
    flow.y -= 1.0
    put_lines(flow, document.lines, flow.width, SMALL_PT)
    first = _that_fit(flow, document)
    _sections(flow, document, only=first)
    storey_pages(flow, document, Way.ALONE)
    if document.storeys:
        flow.new_page()
    _sections(flow, document, first)
    put_cards(flow, document.cards)


def _that_fit(flow: Flow, document: Document, but: Sequence[str] = (), passing: bool = False) -> tuple[str, ...]:
    """Ids of the first sections, without those of these ids, that stand whole on what is left of the page; ``passing``:
    one that does not fit is passed over for those after it."""
    left = flow.left_mm()
    found = []
    for part in (part for part in _parts(document) if part.id not in but):
        if isinstance(part, BarChart):
            if passing:
                continue
            break
        tall = (
            _notes_mm(flow, part, _notes_pt(document)) if isinstance(part, Notes) else TableSetter(flow, part).height()
        )
        if tall + _SECTION_HEAD_MM > left:
            if passing:
                continue
            break
        left -= tall + _SECTION_HEAD_MM
        found.append(part.id)
    return tuple(found)


_SECTION_HEAD_MM = 15.0
"""The heading of a section with the space around it."""
_NOTE_GAP_MM = 1.6


def _notes_mm(flow: Flow, notes: Notes, size_pt: float) -> float:
    """Height of labelled sentences without their title."""
    indent = _notes_indent(flow, notes.lines)
    counts = (labelled_lines(line.label, line.text, indent, flow.width, flow.measure, size_pt) for line in notes.lines)
    return sum(line_mm(size_pt) * count + _NOTE_GAP_MM for count in counts) - _NOTE_GAP_MM


def _notes_pt(document: Document) -> float:
    """Size of labelled sentences: on site sheets that of the cautions beside which they stand."""
    return SMALL_PT if document.paper == "site" else _TEXT_PT


_SET: dict[Paper, Callable[[Flow, Document], None]] = {
    "scope": _scope,
    "order": _listed,
    "site": _site,
    "dimensions": _listed,
}


def _parts(document: Document) -> list[Table | Notes | BarChart]:
    """Tables, notes and charts of a paper in its order."""
    parts: tuple[Table | Notes | BarChart, ...] = (
        *document.findings,
        *document.order,
        *document.totals,
        *document.dims,
        *document.notes,
        *document.charts,
    )
    return in_order(parts, document.paper or "scope")


def _sections(flow: Flow, document: Document, but: tuple[str, ...] = (), only: tuple[str, ...] | None = None) -> None:
    """Tables and notes of a paper in its order, without those of these ids, or those of these ids alone."""
    for part in _parts(document):
        if part.id in but or (only is not None and part.id not in only):
            continue
        if isinstance(part, BarChart):
            _bars(flow, part)
        elif isinstance(part, Notes):
            _sentences(flow, part.title, part.lines, _notes_pt(document))
        else:
            TableSetter(flow, part).set()
            flow.y -= 2.0


def _bars(flow: Flow, chart: BarChart) -> None:
    """The bars of a programme: each picture stays whole, the first with its title; what they say below them."""
    pictures = chart_pictures(chart, flow.width, flow.measure, _rows_at_once(flow, chart))
    for number, picture in enumerate(pictures):
        if not number:
            flow.heading(chart.title, picture.height_mm + 4.0)
            flow.y -= 2.0
        flow.need(picture.height_mm + 2.0)
        flow.page.pictures.append((flow.left, flow.y - picture.height_mm, picture))
        flow.y -= picture.height_mm + 2.0
    if pictures and chart.note:
        flow.paragraph(chart.note, size=palette.SMALLEST_PT, colour=palette.GREY)
        flow.y -= 2.0


_WHOLE_ROWS, _LEAST_ROWS = 20, 12
"""A chart of so many rows is never parted; of more, the first part has so many at least."""


def _rows_at_once(flow: Flow, chart: BarChart) -> int:
    """How many rows stand in one picture: all of a few; of many those that fit on what is left of the page."""
    if len(chart.rows) <= _WHOLE_ROWS:
        return _WHOLE_ROWS
    return max(_LEAST_ROWS, int(flow.left_mm() / CHART_ROW_MM) - 8)


def in_order(parts: Sequence[Table | Notes | BarChart], paper: Paper) -> list[Table | Notes | BarChart]:
    """The parts in the order of a paper: what it names first, the rest as it comes."""
    ids = ORDER[paper]

    def place(part: Table | Notes | BarChart) -> int:
        return next((k for k, name in enumerate(ids) if _belongs(part.id, name)), len(ids))

    return sorted(parts, key=place)


def _belongs(part: str, name: str) -> bool:
    return part.startswith(name) if name.endswith("-") else part == name


def _sentences(flow: Flow, title: str, lines: tuple[Line, ...], size_pt: float) -> None:
    """Labelled sentences under their title, each whole or with six lines on its page."""
    if not lines:
        return
    step = line_mm(size_pt)
    indent = _notes_indent(flow, lines)
    flow.heading(title, 4 * step)
    flow.y -= 1.5
    for line in lines:
        tall = step * labelled_lines(line.label, line.text, indent, flow.width, flow.measure, size_pt)
        flow.need(min(tall, 6 * step))
        colour = palette.URGENT if line.urgent else palette.INK
        flow.labelled(line.label, line.text, indent, colour, size=size_pt)
        flow.y -= _NOTE_GAP_MM


def _notes_indent(flow: Flow, lines: tuple[Line, ...]) -> float:
    """How far in labelled sentences stand."""
    return max(_INDENT_MM, label_mm(flow, lines)) if any(line.label for line in lines) else 0.0


_BOX_MM, _BESIDE_BOX_MM, _ANSWER_MM = 3.4, 6.0, 6.4
_TOGETHER_MM = 120.0
"""Questions that take less with the place to sign stand on its page."""


def _to_confirm(flow: Flow, document: Document, after_mm: float) -> None:
    """Each open question with a box to tick and a line to write on: where they are few, all with what follows them."""
    if not document.questions:
        return
    step = line_mm(_TEXT_PT)
    wide = flow.width - _BESIDE_BOX_MM
    texts = (wrap(question, wide, palette.REGULAR, _TEXT_PT, flow.measure) for question in document.questions)
    heights = [step * len(lines) + _ANSWER_MM + 1.6 for lines in texts]
    whole = sum(heights) + after_mm + 1.5
    flow.heading(tr("To confirm"), whole if whole < _TOGETHER_MM else 4 * step + _ANSWER_MM)
    flow.y -= 1.5
    for question, tall in zip(document.questions, heights, strict=True):
        flow.need(min(tall, 8 * step) + (after_mm if question is document.questions[-1] else 0.0))
        low, x = flow.y - step * 0.76 - 0.6, flow.left
        for y in (low, low + _BOX_MM):
            flow.rule(x, x + _BOX_MM, y, 0.2, palette.GREY)
        for side in (x, x + _BOX_MM):
            flow.page.rules.append((side, low, side, low + _BOX_MM, 0.2, palette.GREY))
        flow.paragraph(question, indent=_BESIDE_BOX_MM)
        flow.y -= _ANSWER_MM
        flow.rule(x + _BESIDE_BOX_MM, x + flow.width, flow.y, 0.2, palette.GREY)
        flow.y -= 1.6


_INDENT_MM = 30.0
_SIGN_MM, _BETWEEN_MM, _ABOVE_SIGN_MM = 33.0, 12.0, 2.5


def _places_to_sign(flow: Flow, document: Document) -> None:
    """Side by side, each with a line for place and date and one for the signature, with what it agrees."""
    flow.y -= _ABOVE_SIGN_MM
    wide = (flow.width - _BETWEEN_MM) / 2
    for k, who in enumerate(document.sign):
        x = flow.left + (k % 2) * (wide + _BETWEEN_MM)
        flow.text(x, flow.y - 4.0, who, palette.SEMIBOLD, 9.5)
        for row, words in enumerate((document.words["place_date"], _agreed_words(document))):
            y = flow.y - 13.0 - row * 12.0
            flow.rule(x, x + wide, y, 0.2, palette.GREY)
            flow.text(x, y - 4.0, words, palette.REGULAR, palette.SMALLEST_PT, palette.GREY)
    flow.y -= _SIGN_MM - _ABOVE_SIGN_MM


def _agreed_words(document: Document) -> str:
    """What a signature binds to, below its line."""
    if any(table.id in ("offer", "price") and table.total is not None for table in document.totals):
        return tr("signature for scope and price")
    return tr("signature for scope, no price")
