"""What a set of sheets says, as frozen values that every writer (PDF, XLSX, CSV, screen) shares.

All wording and all print rounding is decided before these values are made: a figure in a table
is a ``Decimal`` that is printed as it stands, so no two writers can disagree.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Literal, TypeVar, get_args

import msgspec

from takeoff.plan.model import Ring, Swing, Vertex

Cell = str | int | Decimal | None
Rows = tuple[tuple[Cell, ...], ...]
Point = tuple[float, float]
Course = tuple[Vertex, ...]
"""An open course in plan mm, with bulges as in a ring; the last bulge is not used."""

RowKind = Literal["line", "group", "total"]

Audience = Literal["client", "team"]
"""Who reads a part of the sheets: whoever has the work done, or those who do it."""

EVERYBODY: tuple[Audience, ...] = ("client", "team")

Paper = Literal["scope", "order", "site", "dimensions"]
"""The papers of a job: for the client, the supplier, the team on site, and whoever checks what was measured."""

PAPERS: tuple[Paper, ...] = get_args(Paper)

READER_OF: dict[Paper, Audience] = {"scope": "client", "order": "team", "site": "team", "dimensions": "team"}
"""Who may see what stands on a paper: only the scope goes to a client."""


def _stands_on(papers: tuple[Paper, ...] | None, audience: tuple[Audience, ...], paper: Paper) -> bool:
    if papers is not None:
        return paper in papers
    return paper in ("scope", "site") and READER_OF[paper] in audience


class Column(msgspec.Struct, frozen=True):
    """A column of a table: its head, the unit said once in the head, how figures are printed.

    ``share`` is the column's part of the table's width; ``money`` prints two places.
    """

    head: str
    unit: str = ""
    kind: Literal["text", "figure", "count", "money"] = "text"
    places: int = 2
    share: float = 1.0

    @property
    def title(self) -> str:
        """The head with its unit: "Walls m²"."""
        return f"{self.head} {self.unit}".strip()


class CellSum(msgspec.Struct, frozen=True):
    """The cell of a row and column is the sum of cells of another column in these rows."""

    row: int
    column: int
    of_column: int
    rows: tuple[int, ...]


class Table(msgspec.Struct, frozen=True):
    """Rows under heads, and a last row of totals that are the sums of what is printed above.

    ``kinds`` says of each row whether it is a line, the name of a group (over the whole width)
    or a total within the table; empty means that all are lines. ``empty`` is printed instead of
    a table without rows. ``subject``: whose table it is, where several have the same columns.
    ``ditto``: so many first columns say again and again what they say above, and need not be printed.
    ``audience``: who reads it. ``team_note``: what the note adds for the team alone. ``sums``: cells that add up
    others where rows and totals alone do not show it.
    ``papers``: on which papers it is printed; None: the client's scope, the team's site sheets; (): none.
    """

    id: str
    title: str
    columns: tuple[Column, ...]
    rows: Rows = ()
    total: tuple[Cell, ...] | None = None
    kinds: tuple[RowKind, ...] = ()
    note: str = ""
    empty: str = ""
    subject: str = ""
    ditto: int = 0
    audience: tuple[Audience, ...] = ("team",)
    team_note: str = ""
    sums: tuple[CellSum, ...] = ()
    papers: tuple[Paper, ...] | None = None

    def stands_on(self, paper: Paper) -> bool:
        """Whether it is printed on that paper."""
        return _stands_on(self.papers, self.audience, paper)

    @property
    def full_note(self) -> str:
        """The note with what it adds for the team, as it is printed."""
        return f"{self.note} {self.team_note}".strip()

    def kind_of(self, row: int) -> RowKind:
        """What the given row is."""
        return self.kinds[row] if self.kinds else "line"


def without_money(table: Table) -> Table:
    """The table without its columns of money, for a supplier who names his own; a total of money alone goes too."""
    kept = [k for k, column in enumerate(table.columns) if column.kind != "money"]
    if len(kept) == len(table.columns):
        return table
    total = None if table.total is None else tuple(table.total[k] for k in kept)
    figures = total is not None and any(isinstance(cell, Decimal | int) for cell in total)
    return msgspec.structs.replace(
        table,
        columns=tuple(table.columns[k] for k in kept),
        rows=tuple(tuple(row[k] for k in kept) for row in table.rows),
        total=total if figures else None,
        sums=(),
    )


class Headline(msgspec.Struct, frozen=True):
    """A figure to be seen first, and the words under it; ``papers`` as of a table."""

    figure: str
    words: str
    audience: tuple[Audience, ...] = EVERYBODY
    papers: tuple[Paper, ...] | None = None

    def stands_on(self, paper: Paper) -> bool:
        """Whether it is printed on that paper."""
        return _stands_on(self.papers, self.audience, paper)


class Line(msgspec.Struct, frozen=True):
    """A labelled sentence: "Assumed", "Walls 2.40 m high; …"; ``papers`` as of a table."""

    label: str
    text: str
    urgent: bool = False
    audience: tuple[Audience, ...] = EVERYBODY
    papers: tuple[Paper, ...] | None = None

    def stands_on(self, paper: Paper) -> bool:
        """Whether it is printed on that paper."""
        return _stands_on(self.papers, self.audience, paper)


class Notes(msgspec.Struct, frozen=True):
    """Labelled sentences under a title of their own: how to mix, what to do first. ``id`` places them in a paper."""

    id: str
    title: str
    lines: tuple[Line, ...]
    papers: tuple[Paper, ...]

    def stands_on(self, paper: Paper) -> bool:
        """Whether they are printed on that paper."""
        return paper in self.papers


FlatRing = tuple[tuple[float, float], ...]
"""(mm along a wall from its start, mm above the storey's datum)"""


class CardFace(msgspec.Struct, frozen=True):
    """A wall seen from inside, as a room's card draws it: its words ("A  3.45 m"), its rings by even-odd, and its
    openings with their labels."""

    words: str
    length_mm: float
    low_mm: float
    high_mm: float
    whole: tuple[FlatRing, ...]
    coat: tuple[FlatRing, ...]
    left_on: tuple[FlatRing, ...]
    openings: tuple[tuple[str, tuple[FlatRing, ...]], ...] = ()


class RoomCard(msgspec.Struct, frozen=True):
    """One room for those who work in it: its figure, what is to be known of it, its walls side by side."""

    id: str
    title: str
    figure: str
    lines: tuple[Line, ...]
    faces: tuple[CardFace, ...]


class Strip(msgspec.Struct, frozen=True):
    """A coated jamb in plan: from the wall's face to the frame; ``towards`` the opening's middle."""

    face: Point
    frame: Point
    towards: Point


class PlanOpening(msgspec.Struct, frozen=True):
    """An opening as it is drawn, its points in plan mm.

    ``face`` runs along the host face between the jambs, ``far`` along the other side of the
    wall; ``frame`` are the two lines between which a frame stands. ``sure`` is false for
    openings that were not measured. ``label``: its mark or number, for the team. ``swings``: a
    door's leaves, where they were read.
    """

    id: str
    kind: Literal["window", "door", "open"]
    face: tuple[Vertex, Vertex]
    far: tuple[Vertex, Vertex]
    frame: tuple[tuple[Vertex, Vertex], ...] = ()
    strips: tuple[Strip, ...] = ()
    sure: bool = True
    label: str = ""
    swings: tuple[Swing, ...] = ()


class Arris(msgspec.Struct, frozen=True):
    """A corner in plan: where it is and the two unit directions in which its faces run off."""

    at: Point
    arms: tuple[Point, Point]


class PlanRoom(msgspec.Struct, frozen=True):
    """A room as it is drawn: rings, stretches of coat, and what its label says.

    ``coat`` leaves out openings; ``parts`` are the stretches that are only a part of their face,
    whole, each with its length written. ``letters``: walls by letter, for the team. ``held``: the word that stands in a
    room on hold, "" for none.
    """

    id: str
    rings: tuple[Ring, ...]
    coat: tuple[Course, ...]
    parts: tuple[tuple[Course, str], ...]
    open_sides: tuple[Course, ...]
    name: str
    figure: str
    sure: bool = True
    letters: tuple[tuple[Course, str], ...] = ()
    held: str = ""


class Plan(msgspec.Struct, frozen=True):
    """The plan picture of one storey in plan mm, before a scale is chosen.

    ``walls``: rings of wall bodies with the openings cut out, by even-odd; ``nominal`` when some
    of their thickness is not known. ``centres`` of all arcs help to draw curves as curves.
    ``north_deg``: where north lies, anticlockwise from the plan's x; None where the drawing does not say.
    """

    storey: str
    title: str
    rooms: tuple[PlanRoom, ...] = ()
    walls: tuple[Ring, ...] = ()
    nominal: bool = False
    openings: tuple[PlanOpening, ...] = ()
    beads: tuple[Arris, ...] = ()
    fillets: tuple[Arris, ...] = ()
    overhead_beads: tuple[Course, ...] = ()
    overhead: tuple[Ring, ...] = ()
    rooflights: tuple[Ring, ...] = ()
    centres: tuple[Point, ...] = ()
    north_deg: float | None = None


class StoreySheet(msgspec.Struct, frozen=True):
    """One storey's page: title, plan picture, short schedule of its rooms."""

    title: str
    plan: Plan
    schedule: Table
    lines: tuple[Line, ...] = ()


BarKind = Literal["work", "drying", "night", "back"]
"""*night*: one in which a lived-in room is out of use; *back*: the moment at which a room is given back."""


class ChartBar(msgspec.Struct, frozen=True):
    """A bar in a row, from and to in days from the start of the chart's first day, as they are drawn."""

    row: int
    start: float
    end: float
    kind: BarKind


class BarChart(msgspec.Struct, frozen=True):
    """``rows``: rooms; ``days``: two lines for each day's head and whether it is worked. ``ends``: what stands at the
    end of each row, in columns under ``end_heads``. Empty where nothing is to do."""

    id: str
    title: str
    rows: tuple[str, ...] = ()
    days: tuple[tuple[str, str, bool], ...] = ()
    bars: tuple[ChartBar, ...] = ()
    ends: tuple[tuple[str, ...], ...] = ()
    end_heads: tuple[str, ...] = ()
    note: str = ""
    audience: tuple[Audience, ...] = EVERYBODY
    papers: tuple[Paper, ...] | None = None

    def stands_on(self, paper: Paper) -> bool:
        """Whether it is printed on that paper."""
        return _stands_on(self.papers, self.audience, paper)


class LogoPicture(msgspec.Struct, frozen=True):
    """The bytes of a PNG or JPEG that is known to be whole, and its size in pixels."""

    data: bytes
    width_px: int
    height_px: int


class Letterhead(msgspec.Struct, frozen=True):
    """``firm`` and ``address`` as typed, the address with commas between its lines; nothing set: nothing is drawn."""

    firm: str = ""
    address: str = ""
    logo: LogoPicture | None = None

    @property
    def is_set(self) -> bool:
        """Whether it says more than the firm's name, which stands at the foot of every page."""
        return bool(self.address or self.logo)


class Document(msgspec.Struct, frozen=True):
    """A whole set of sheets for all its readers; every part knows who they are.

    ``summary`` compares storeys and is there for more than one. ``conditions`` and ``sign`` (who
    agrees) are the client's; ``team_title`` stands on the team's sheets instead of ``title``.
    ``notes``: sentences under titles of their own. ``cards``: a card for each room, of the site sheets alone.
    ``fingerprint``: tells whether two papers are of the same job. ``day``: the date as given.
    ``paper``: which of the papers this is, "" for all.
    ``charts``: bars of the programme.
    ``fingerprint``: tells whether two papers are of the same job. ``paper``: which of them this is, "" for all.
    ``draft``: why nothing of this is for a client yet; "" for sheets that hold. ``origin``: which drawings
    were measured and how many rooms were measured on site, for every sheet. ``feet``: of a plan in feet.
    ``questions``: what the client is asked to confirm, a sentence each, to be answered where he signs.
    ``letterhead``: who writes, for the first page of every paper. ``order_prices``: the order says what goods cost.
    """

    title: str
    job: str
    reference: str
    date: str
    source: str
    headlines: tuple[Headline, ...]
    lines: tuple[Line, ...]
    storeys: tuple[StoreySheet, ...]
    summary: Table | None
    totals: tuple[Table, ...]
    order: tuple[Table, ...]
    dims: tuple[Table, ...]
    findings: tuple[Table, ...]
    cautions_title: str
    cautions: tuple[Line, ...]
    firm: str
    foot: str
    agree: str
    words: dict[str, str]
    team_title: str = ""
    conditions: tuple[Line, ...] = ()
    sign: tuple[str, ...] = ()
    addressed: str = ""
    draft: str = ""
    origin: str = ""
    feet: bool = False
    notes: tuple[Notes, ...] = ()
    cards: tuple[RoomCard, ...] = ()
    fingerprint: str = ""
    day: str = ""
    charts: tuple[BarChart, ...] = ()
    paper: Paper | Literal[""] = ""
    questions: tuple[str, ...] = ()
    letterhead: Letterhead = Letterhead()
    order_prices: bool = False

    @property
    def draft_words(self) -> str:
        """ "DRAFT, not for a client: …"; "" for sheets that hold."""
        return self.words["draft_reason"].format(reason=self.draft.rstrip(".")) if self.draft else ""

    def tables(self) -> tuple[Table, ...]:
        """Every table in the order in which the sheets show them."""
        schedules = tuple(sheet.schedule for sheet in self.storeys)
        summary = (self.summary,) if self.summary else ()
        return (*summary, *schedules, *self.totals, *self.order, *self.findings, *self.dims)

    def for_paper(self, paper: Paper) -> Document:
        """One of the papers: what its reader may see of the document and what is printed there, under its title."""
        own = self.seen_by(READER_OF[paper])
        groups = {
            name: tuple(part for part in getattr(own, name) if part.stands_on(paper))
            for name in ("headlines", "lines", "totals", "order", "dims", "findings", "notes", "charts")
        }
        title = self.words.get(f"{paper}_title", "") or own.title
        if paper == "order" and not self.order_prices:
            groups["order"] = tuple(without_money(table) for table in groups["order"])
        cards = own.cards if paper == "site" else ()
        return msgspec.structs.replace(own, title=title, paper=paper, cards=cards, **groups)

    def seen_by(self, reader: Audience) -> Document:
        """The document as one reader gets it: only what is theirs, under their title.

        Figures are the same for all. Letters of walls and marks of openings are the team's.
        """
        team = reader == "team"
        groups = {name: _own(getattr(self, name), reader) for name in ("totals", "order", "dims", "findings")}
        return msgspec.structs.replace(
            self,
            title=self.team_title or self.title if team else self.title,
            headlines=_own(self.headlines, reader),
            lines=_own(self.lines, reader),
            storeys=self.storeys if team else tuple(_without_marks(sheet) for sheet in self.storeys),
            conditions=() if team else self.conditions,
            sign=() if team else self.sign,
            agree="" if team else self.agree,
            **groups,
        )


Part = TypeVar("Part", Table, Line, Headline)


def _own(parts: tuple[Part, ...], reader: Audience) -> tuple[Part, ...]:
    own = tuple(part for part in parts if reader in part.audience)
    if reader == "team":
        return own
    return tuple(
        msgspec.structs.replace(part, team_note="") if isinstance(part, Table) and part.team_note else part
        for part in own
    )


def _without_marks(sheet: StoreySheet) -> StoreySheet:
    plan = sheet.plan
    plan = msgspec.structs.replace(
        plan,
        rooms=tuple(msgspec.structs.replace(room, letters=()) for room in plan.rooms),
        openings=tuple(msgspec.structs.replace(opening, label="") for opening in plan.openings),
    )
    return msgspec.structs.replace(sheet, plan=plan)
