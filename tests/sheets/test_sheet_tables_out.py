"""Workbook and CSV: numbers as numbers, text as text, and no cell that runs."""

from __future__ import annotations

import csv
import io
import re
from decimal import Decimal
from pathlib import Path

import invented_job as job_of
import msgspec
import openpyxl
import pytest

from takeoff.sheets import csv_tables, xlsx
from takeoff.sheets.csv_tables import safe_text, table_bytes
from takeoff.sheets.flat import flat_tables, may_run
from takeoff.sheets.sheet_document import build
from takeoff.sheets.sheet_values import Column, Document, Table

NASTY = ("=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", " =1+1", "＝1+1", "=cmd|' /C calc'!A0")


OURS = re.compile(r"=ROUND\((SUM|SUMPRODUCT|[-+*/:,().0-9]|\$?[A-Z]{1,2}\$?\d+)+,\d\)")
"""What a formula of a workbook may be: cells and numbers, added and multiplied."""


def document(name: str = "Sample Cottage", *rooms: str) -> Document:
    storey = job_of.terrace_of(len(rooms)) if rooms else job_of.cottage_storey()
    named = tuple(msgspec.structs.replace(room, name=text) for room, text in zip(storey.rooms, rooms, strict=False))
    storey = msgspec.structs.replace(storey, rooms=named or storey.rooms)
    job, takeoff = job_of.cottage((storey,), name)
    return build(job, takeoff, job_of.order(), job_of.FINDINGS)


def book(of: Document) -> openpyxl.Workbook:
    return openpyxl.load_workbook(io.BytesIO(xlsx.xlsx_bytes(of)))


def rows_of(data: bytes) -> list[list[str]]:
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")))


def test_workbook_holds_every_table_of_the_document() -> None:
    opened = book(document())
    assert opened.sheetnames[:3] == ["Scope", "Rooms", "Areas, whole job"]
    assert len(opened.sheetnames) == len(flat_tables(document()))
    assert {"Materials", "Dims", "Cautions"} <= set(opened.sheetnames)
    titles = {cell.value for sheet in opened for row in sheet.iter_rows(max_col=1) for cell in row}
    assert {table.title for table in flat_tables(document())} <= titles


def test_figures_are_numbers_with_a_format_and_equal_the_printed_ones() -> None:
    sheet = book(document())["Rooms"]
    living = next(row for row in sheet.iter_rows() if row[1].value == "Living")
    assert [cell.value for cell in living[2:6]] == [29.57, 19.5, 1.4, 50.47]
    assert {cell.data_type for cell in living[2:6]} == {"n"}
    assert living[2].number_format == "#,##0.00"


def test_no_text_of_the_workbook_runs_whatever_names_say() -> None:
    opened = book(document("=HYPERLINK(1)", *NASTY))
    cells = [cell for sheet in opened for row in sheet.iter_rows() for cell in row]
    formulas = [cell.value for cell in cells if cell.data_type == "f"]
    assert formulas
    assert all(OURS.fullmatch(text) for text in formulas)
    names = [cell for cell in cells if isinstance(cell.value, str) and cell.value.startswith("=1+1")]
    assert names
    assert all(cell.quotePrefix for cell in names)
    assert all(cell.hyperlink is None for cell in cells)


def test_columns_are_as_wide_as_their_words() -> None:
    sheet = book(document())["Dims"]
    assert 15 <= sheet.column_dimensions["B"].width <= 61


def test_workbook_of_the_same_document_has_the_same_bytes() -> None:
    assert xlsx.xlsx_bytes(document()) == xlsx.xlsx_bytes(document())


@pytest.mark.parametrize("text", NASTY)
def test_text_that_could_run_is_guarded_in_csv(text: str) -> None:
    assert may_run(text)
    made = Table("t", "T", (Column("Name"), Column("Area", kind="figure")), ((text, Decimal("-1.20")),))
    assert rows_of(table_bytes(made))[1] == [f"'{text}", "-1.20"]


@pytest.mark.parametrize("text", ["Hall", "1-2", "a=b", "", "−1.20", "5.9 m²", "'x"])
def test_harmless_text_is_left_as_it_is(text: str) -> None:
    assert safe_text(text) == text


def test_csv_is_marked_utf8_with_crlf_and_quotes_doubled() -> None:
    made = Table(
        "t", "T", (Column("Name"), Column("Area", "m²", "figure")), (('The "old" hall, east', Decimal("1.20")),)
    )
    assert table_bytes(made) == '\ufeffName,Area m²\r\n"The ""old"" hall, east",1.20\r\n'.encode()


def test_csv_files_are_named_after_their_tables_and_add_up(tmp_path: Path) -> None:
    written = csv_tables.write(document(), tmp_path / "csv")
    assert {path.name for path in written} >= {"rooms.csv", "areas.csv", "materials.csv", "dims.csv", "findings.csv"}
    rows = rows_of((tmp_path / "csv" / "rooms.csv").read_bytes())
    assert rows[0] == ["Storey", "Room", "Walls m²", "Ceiling m²", "Reveals m²", "To coat m²"]
    assert sum(Decimal(row[-1]) for row in rows[1:-1]) == Decimal(rows[-1][-1])


def test_dims_of_all_rooms_stand_in_one_table_with_the_room_beside_each() -> None:
    dims = next(table for table in flat_tables(document()) if table.id == "dims")
    assert {row[0] for row in dims.rows} == {"Living", "Kitchen", "Bedroom", "Hall", "Bathroom and utility"}
    assert all(len(row) == len(dims.columns) for row in dims.rows)


def test_half_a_character_does_not_stop_the_writing() -> None:
    odd = document("Sample", "A\udc80", "B\0")
    assert "A\ufffd" in {cell.value for row in book(odd)["Rooms"].iter_rows() for cell in row}
    rooms = next(table for table in flat_tables(odd) if table.id == "rooms")
    assert "A\ufffd" in table_bytes(rooms).decode("utf-8-sig")
