"""The short summary on standard output: rooms, totals, what to order, findings.

Every figure comes from the sheets' own tables, so that command and paper cannot disagree. Tables are lines of text:
words left, figures right, hairlines of spaces.
"""

from __future__ import annotations

import shutil
import sys
import textwrap
from collections import Counter
from decimal import Decimal
from itertools import groupby
from pathlib import Path

import click

from takeoff.errors import Finding, Where
from takeoff.findings import options_for
from takeoff.language import mark, number, tr, tr_count
from takeoff.services.measured.job_result import Measured
from takeoff.services.opened.opening import Opened
from takeoff.sheets.sheet_values import Cell, Column, Document, Table
from takeoff.sheets.wall_names import Spoken
from takeoff.units.printing import whole

GAP = "  "
LEAST_WORDS = 12
"""No column of words is cut shorter than this."""


def text_table(table: Table, width: int) -> str:
    """The table with its title, heads and total; "" for a table without rows that says nothing then.

    Columns of words are cut with an ellipsis until all fits into ``width``, figures never.
    """
    if not table.rows:
        return f"{table.title}\n  {table.empty}" if table.empty else ""
    body = [tuple(_text(cell) for cell in row) for row in table.rows]
    total = [tuple(_text(cell) for cell in table.total)] if table.total else []
    heads = tuple(column.title for column in table.columns)
    plain = [row for row, kind in zip(body, _kinds(table), strict=True) if kind != "group"]
    widths = _widths([heads, *plain, *total], table.columns, width)
    lines = [table.title, _line(heads, widths, table.columns)]
    for row, kind in zip(body, _kinds(table), strict=True):
        lines.append(f"  {row[0]}" if kind == "group" else _line(row, widths, table.columns))
    if total:
        lines += ["  " + "-" * (sum(widths) + len(GAP) * (len(widths) - 1)), _line(total[0], widths, table.columns)]
    if table.note:
        lines.append(f"  {table.note}")
    return "\n".join(lines)


def print_tables(*tables: Table | None) -> None:
    """Tables under each other, as wide as the terminal; what is None is left out."""
    width = shutil.get_terminal_size((100, 24)).columns
    click.echo("\n\n".join(text_table(table, width) for table in tables if table is not None))


def print_holds(table: Table) -> None:
    """The table of holds as sentences, whole: a reason that is cut off helps nobody."""
    click.echo(table.title)
    for at, row in enumerate(table.rows):
        if table.kind_of(at) == "group":
            click.echo(f"  {row[0]}")
        else:
            _print_indented(f"{row[0]}: {row[1]} {row[2]}", "    - ")
    _print_indented(table.note if table.rows else table.empty, "  ")


def _kinds(table: Table) -> list[str]:
    return [table.kind_of(index) for index in range(len(table.rows))]


def _text(cell: Cell) -> str:
    """A cell as the sheets print it; figures are rounded already."""
    if cell is None:
        return ""
    return number(cell) if isinstance(cell, Decimal) else str(cell)


def _widths(rows: list[tuple[str, ...]], columns: tuple[Column, ...], width: int) -> list[int]:
    widths = [max((len(row[i]) for row in rows if i < len(row)), default=0) for i in range(len(columns))]
    room = width - 2 - len(GAP) * (len(columns) - 1)
    while sum(widths) > room:
        words = [i for i, column in enumerate(columns) if column.kind == "text" and widths[i] > LEAST_WORDS]
        if not words:
            break
        widths[max(words, key=lambda i: widths[i])] -= 1
    return widths


def _line(cells: tuple[str, ...], widths: list[int], columns: tuple[Column, ...]) -> str:
    parts = []
    for cell, wide, column in zip(cells, widths, columns, strict=False):
        shown = cell if len(cell) <= wide else cell[: wide - 1] + "…"
        parts.append(shown.ljust(wide) if column.kind == "text" else shown.rjust(wide))
    return ("  " + GAP.join(parts)).rstrip()


WIDTH_WHEN_PIPED = 100
NARROWEST, WIDEST = 60, 140

SHOWN_OF_A_KIND = 5
"""Findings of one code that the summary shows; ``takeoff check`` shows all."""

_SEVERITIES = {
    "error": mark("To fix before the result can be used"),
    "check": mark("To check"),
    "assumed": mark("Assumed (not given)"),
    "note": mark("Notes"),
}


def print_question(opened: Opened, writing: bool) -> bool:
    """Print what has to be said before anything is measured: the unit or scale of a drawing that does not
    settle it, each answer with how large things would be. False, and nothing, where nothing is open; and
    with files to be *written* where a page's scale is: the team's sheets of it say that it is a guess."""
    from takeoff.views.drawing_asks import question

    codes = ("unit-undecided",) if writing else ("unit-undecided", "scale-undecided")
    left = next((f for f in opened.findings if f.code in codes), None)
    asked = question(opened.drawing, opened.job, opened.findings) if left and opened.drawing is not None else None
    if left is None or asked is None or opened.raw is None:
        return False
    click.echo(click.style(asked.title, bold=True))
    click.echo(textwrap.fill(left.text, _width()))
    option = "--unit" if asked.kind == "unit" else "--scale"
    answers = [(f"{option} {'' if asked.kind == 'unit' else '1:'}{c.key}", c.means) for c in asked.choices]
    wide = max(len(answer) for answer, _ in answers)
    _print_part("\n".join(f"  {answer.ljust(wide)}  {means}" for answer, means in answers))
    click.echo("\n" + tr("Nothing is measured until you give one of them; --draft measures by the guess."))
    return True


def print_summary(measured: Measured, sheets: Document, written: tuple[Path, ...]) -> None:
    """Print rooms, totals, order, findings and the files that were written."""
    click.echo(click.style(f"{sheets.job or measured.source}", bold=True))
    for storey in sheets.storeys:
        _print_part(text_table(storey.schedule, _width()))
    if sheets.summary:
        _print_part(text_table(sheets.summary, _width()))
    from takeoff.views.opening_types import unsure_in_groups

    _print_part("\n".join(f"{headline.figure}  {headline.words}" for headline in sheets.headlines))
    for line in sheets.lines:
        if line.label == sheets.words["two_totals"]:
            _print_part(textwrap.fill(line.text, _width()))
    for table in sheets.order[:1]:
        _print_part(text_table(table, _width()))
    for table in sheets.findings:
        if table.id == "unsure":
            _print_part(text_table(unsure_in_groups(table, measured.job, measured.takeoff), _width()))
    print_findings(measured, every=False)
    if written:
        click.echo("\n" + tr("Written:"))
        for folder, paths in groupby(written, key=lambda path: path.parent):
            _print_written(folder, tuple(path.name for path in paths))


def withheld(older: bool) -> str:
    """Why nothing was written for the client, and what to do; ``older``: a scope of before is there."""
    words = (
        tr(
            "Nothing was written for the client (the scope.pdf there is an older one): fix what is listed first, or "
            "add --draft for a draft."
        )
        if older
        else tr("Nothing was written for the client: fix what is listed first, or add --draft for a draft.")
    )
    return "\n" + textwrap.fill(words, _width())


def _print_written(folder: Path, names: tuple[str, ...]) -> None:
    tables = [name for name in names if name.endswith(".csv")]
    named = [name for name in names if name not in tables] + (
        [tr_count("{count} CSV table", "{count} CSV tables", len(tables))] if tables else []
    )
    click.echo(
        textwrap.fill(
            f"{folder}: {', '.join(named)}",
            _width(),
            initial_indent="  ",
            subsequent_indent="    ",
            break_long_words=False,
            break_on_hyphens=False,
        )
    )


def print_layers(opened: Opened) -> None:
    """Print what each layer of a drawing is taken for, with why; nothing for a job or a model."""
    from takeoff.services.opened.layers import table

    if opened.drawing is None or not opened.guesses:
        return
    rows = table(opened.drawing, opened.guesses)
    columns = (Column(tr("Layer")), Column(tr("Use")), Column(tr("Why")), Column(tr("Items"), kind="count"))
    cells = tuple((row.name, row.words + (" ?" if row.asks else ""), row.why, row.things) for row in rows)
    title = tr("Layers (change with --layer NAME=ROLE)")
    _print_part(text_table(Table("layers", title, columns, cells), _width()))


def print_systems() -> None:
    """Print the coating systems that are known, which of them new jobs are made with, and where one's own lie."""
    from takeoff.errors import InputError
    from takeoff.supply.systems import available, load, own_folder, own_systems, usual_system

    usual = usual_system().id
    mine = own_systems()
    for name in (*available(), *mine):
        try:
            words = load(name).name
        except InputError as error:
            words = tr("cannot be used: {why}", why=error)
        click.echo(
            f"{'*' if name == usual else ' '} {name:24} "
            + (words if name in mine else tr("{system}, supplied with the program", system=words))
        )
    click.echo("\n" + tr("* used for new jobs. Your own are in {folder}", folder=own_folder()))


def print_findings(measured: Measured, every: bool, details: bool = False) -> None:
    """Print findings by severity, grave ones first; of one kind only a few unless ``every``. ``details``: with why
    each is listed."""
    findings = measured.findings
    if not findings:
        click.echo("\n" + tr("No findings."))
    names = Spoken(measured.job)
    for severity, group in groupby(findings, key=lambda finding: finding.severity):
        click.echo("\n" + click.style(f"{tr(_SEVERITIES[severity])}:", bold=True))
        _print_group(tuple(group), names, every, details)


def _print_group(group: tuple[Finding, ...], names: Spoken, every: bool, details: bool) -> None:
    counts, shown = Counter(finding.code for finding in group), Counter[str]()
    for finding in group:
        shown[finding.code] += 1
        if every or shown[finding.code] <= SHOWN_OF_A_KIND:
            _print_indented(f"{finding.text}{_place(finding.where, names)}", "  - ")
            if options := options_for(finding):
                _print_indented(options, "    ")
            if details and finding.evidence:
                _print_indented(finding.evidence, "    ")
        elif shown[finding.code] == counts[finding.code]:
            more = tr_count(
                "and {count} more of this kind ({code}): takeoff check shows all",
                "and {count} more of this kind ({code}): takeoff check shows all",
                counts[finding.code] - SHOWN_OF_A_KIND,
                code=finding.code,
            )
            click.echo(f"    {more}")


def _print_indented(text: str, first: str) -> None:
    click.echo(
        textwrap.fill(
            text,
            _width(),
            initial_indent=first,
            subsequent_indent="    ",
            break_long_words=False,
            break_on_hyphens=False,
        )
    )


def _place(where: Where, names: Spoken) -> str:
    """Where to look, in brackets; "" where the finding is about the whole."""
    parts = [part for part in (names.storey(where), *names.place(where)) if part]
    if where.x_mm is not None and where.y_mm is not None:
        parts.append(tr("at x {x}, y {y}", x=whole(where.x_mm), y=whole(where.y_mm)))
    if where.layer:
        parts.append(tr("layer {layer}", layer=where.layer))
    if where.handle:
        parts.append(tr("handle {handle}", handle=where.handle))
    return f" [{'; '.join(parts)}]" if parts else ""


def _print_part(text: str) -> None:
    if text:
        click.echo("\n" + text)


def _width() -> int:
    if not sys.stdout.isatty():
        return WIDTH_WHEN_PIPED
    return max(NARROWEST, min(WIDEST, shutil.get_terminal_size().columns))
