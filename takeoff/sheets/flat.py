"""The same tables for rows and columns that are worked on further: rooms and dims in one table each."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from takeoff.sheets.sheet_values import Cell, Column, Document, Line, RowKind, Table

DANGEROUS = "=+-@\t\r\n＝＋－＠"
"""A text that starts so could run as a formula when a spreadsheet opens it (also the wide forms)."""


def flat_tables(document: Document) -> tuple[Table, ...]:
    """Every table once: rooms of all storeys and dims of all rooms each as one table, then cautions."""
    words = document.words
    rooms = _stacked("rooms", words["schedule"], words["storey"], [(s.title, s.schedule) for s in document.storeys])
    dims = _stacked("dims", words["dims"], words["room"], [(t.subject, t) for t in document.dims])
    summary = (document.summary,) if document.summary else ()
    return (
        _first(document),
        *summary,
        *rooms,
        *document.totals,
        *document.order,
        *dims,
        *document.findings,
        *_sentences("conditions", document.words["conditions"], document.conditions),
        *_sentences("cautions", document.cautions_title, document.cautions),
    )


def may_run(text: str) -> bool:
    """Whether a spreadsheet could take the text for a formula, blanks before it left aside.

    >>> may_run("=1+1"), may_run(" @SUM(A1)"), may_run("Hall")
    (True, True, False)
    """
    return text[:1] in ("\t", "\r", "\n") or text.strip()[:1] in tuple(DANGEROUS)


def plain(text: str) -> str:
    """The text without what no file may hold: nought bytes and halves of characters become �."""
    whole = text.replace("\0", "\ufffd")
    return whole.encode("utf-16-le", "surrogatepass").decode("utf-16-le", "replace")


def _first(document: Document) -> Table:
    """What the first page says above its plan; without the client's conditions it is no scope."""
    on_scope = {line.label for line in document.lines if line.stands_on("scope")}
    rows = [
        (document.title, document.job),
        ("", document.reference),
        ("", document.date),
        ("", document.addressed),
        ("", document.source),
        *((head.figure, head.words) for head in document.headlines),
        *((line.label, line.text) for line in document.lines if _on_first(line, on_scope)),
    ]
    return Table(
        id="scope" if document.conditions else "first",
        title=document.title,
        columns=(Column("", share=1), Column("", share=4)),
        rows=tuple(row for row in rows if row[1]),
    )


def _on_first(line: Line, on_scope: set[str]) -> bool:
    # what the client and the team read otherwise stands once, as the client reads it
    return line.stands_on("scope") or (line.stands_on("site") and line.label not in on_scope)


def _sentences(key: str, title: str, lines: Sequence[Line]) -> tuple[Table, ...]:
    if not lines:
        return ()
    columns = (Column("", share=1), Column("", share=4))
    rows = tuple((line.label, line.text) for line in lines)
    return (Table(id=key, title=title, columns=columns, rows=rows),)


def _stacked(key: str, title: str, head: str, parts: Iterable[tuple[str, Table]]) -> tuple[Table, ...]:
    """Tables with the same columns in one, a first column saying whose each row is; () for no tables."""
    tables = list(parts)
    if not tables:
        return ()
    rows: list[tuple[Cell, ...]] = []
    kinds: list[RowKind] = []
    for name, table in tables:
        rows += [(name, *row) for row in table.rows]
        kinds += [table.kind_of(k) for k in range(len(table.rows))]
        if table.total is not None:
            rows.append((name, *table.total))
            kinds.append("total")
    first = tables[0][1]
    return (
        Table(
            id=key,
            title=title,
            columns=(Column(head, share=1.4), *first.columns),
            rows=tuple(rows),
            kinds=tuple(kinds),
            note=first.note,
            empty=first.empty,
        ),
    )
