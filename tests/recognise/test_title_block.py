"""Title blocks as attributes of a block, and as words beside their captions."""

from __future__ import annotations

import msgspec
import pytest
from drawn import Sheet, two_rooms
from test_rooms_found import codes

from takeoff.drawing.model import Drawing, Symbol
from takeoff.recognise import propose
from takeoff.recognise.names.title_block import field_of, title_block


def drawn_table() -> Sheet:
    """Captions with their values below, as a table under the plan; letters are 150 high."""
    sheet = two_rooms()
    for caption, value, x in (
        ("PROJECT", "Invented barn", 8000),
        ("DRAWING No.", "A-101", 12000),
        ("REV", "C", 14000),
        ("SCALE", "1:50", 15500),
        ("DATE", "03.05.2021", 17500),
    ):
        sheet.word(caption, x, -3000, "0").word(value, x, -3300, "0")
    return sheet


def test_a_table_of_captions_and_values_is_a_title_block() -> None:
    block = title_block(drawn_table().drawing())
    assert (block.job, block.number, block.revision, block.scale, block.date) == (
        "Invented barn",
        "A-101",
        "C",
        "1:50",
        "03.05.2021",
    )
    assert len(block.rows) == 10


def test_the_job_and_its_drawing_take_what_the_title_block_says_and_no_label_is_lost() -> None:
    job, findings = propose(drawn_table().drawing())
    assert job.name == "Invented barn"
    assert (job.drawings[0].number, job.drawings[0].revision) == ("A-101", "C")
    assert codes(findings) == ["title-block"]
    assert "date “03.05.2021”" in f"{findings[0].text} {findings[0].evidence}"


def test_captions_with_their_values_in_one_text_are_read() -> None:
    sheet = two_rooms().word("Bauvorhaben: Erfundene Scheune", 9000, -3000, "Plankopf")
    sheet.word("Plan-Nr.: 07-2", 9000, -3300, "Plankopf").word("Maßstab: 1:100", 9000, -3600, "Plankopf")
    sheet.word("Index: b", 9000, -3900, "Plankopf")
    block = title_block(sheet.drawing())
    assert (block.job, block.number, block.revision, block.scale) == ("Erfundene Scheune", "07-2", "b", "1:100")


def test_a_blocks_attributes_are_a_title_block_and_a_rooms_tag_is_none() -> None:
    plain = two_rooms().drawing()
    frame = Symbol(
        "A1",
        0,
        0,
        1,
        1,
        0,
        0,
        attributes=(("PROJECT_NAME", "Invented barn"), ("DWG_NO", "A-7"), ("REV", "B"), ("SCALE", "1:50")),
    )
    tag = Symbol("ROOM", 0, 0, 1, 1, 0, 0, attributes=(("NAME", "Hall"), ("NUMBER", "1.02")))
    found = title_block(with_symbols(plain, tag, frame))
    assert (found.job, found.number, found.revision) == ("Invented barn", "A-7", "B")
    assert title_block(with_symbols(plain, tag)).number == ""


def with_symbols(drawing: Drawing, *symbols: Symbol) -> Drawing:
    return msgspec.structs.replace(drawing, symbols=symbols)


def test_a_room_called_data_is_no_title_block() -> None:
    sheet = two_rooms().word("Data", 1500, 2500)
    assert title_block(sheet.drawing()).rows == frozenset()


@pytest.mark.parametrize(
    ("words", "field"),
    [
        ("Drawing No", "number"),
        ("Plan-Nr.", "number"),
        ("N° plan", "number"),
        ("Rev.", "revision"),
        ("Échelle", "scale"),
        ("Datum", "date"),
        ("Projekt", "job"),
        ("Planinhalt", "title"),
        ("Kitchen", ""),
        ("Revised kitchen", ""),
    ],
)
def test_captions_name_their_field(words: str, field: str) -> None:
    assert field_of(words) == field
