"""All sheets of all samples in German and in English: the same figures on each paper and in each table, and nothing
English on a German one but the names that the job's people gave.

A sample is dressed first: price with taxes and extras, options, lots, days, readings, looks and counted items, so that
every part of the papers has something to say.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from random import Random
from typing import Any

import msgspec
import openpyxl
import pypdfium2
import pytest
from test_totals_close import SAMPLES, priced

from takeoff.language import use_language, use_region
from takeoff.plan import edits
from takeoff.plan.counted_items import CountedItem
from takeoff.plan.edits.lot_edits import lot_for_each_storey
from takeoff.plan.model import Job
from takeoff.plan.site_check import ConditionReading, Tick
from takeoff.services.after_order.work_sheets import account_paper, handover_paper
from takeoff.services.measured.job_result import Measured, measure_job
from takeoff.services.measured.printed_totals import result_json
from takeoff.services.opened.opening import Opened, open_file
from takeoff.services.written.writing import document, for_paper, write_everything
from takeoff.sheets.sheet_values import PAPERS, Document
from tests.language.pseudo import german_words, marked_german

DAY = "2031-05-20"
NOON = datetime(2031, 5, 20, 12)
PATHS = pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.name)
OF_EACH_SORT = [
    path for path in SAMPLES if path.name in ("terrace.job.json", "flat_feet.dxf", "loft.dxf", "stairwell.dxf")
]
"""A job of two storeys, one in feet, one under slopes, one with a void: what the papers of a sample can be of."""

WORD = re.compile(r"[^\W\d_]{2,}")
FIGURE = re.compile(r"\d+(?:[.,]\d+)*")

UNITS = frozenset({"m²", "mm", "ml", "kg", "ft", "sq", "XTS", "EUR", "DXF"})
CALENDAR = frozenset(
    [
        "Mai",
        "May",
        "Jun",
        "Juni",
        "June",
        "Juli",
        "Jul",
        "Mo",
        "Di",
        "Mi",
        "Do",
        "Fr",
        "Sa",
        "So",
        "Mon",
        "Tue",
        "Wed",
        "Thu",
        "Fri",
        "Sat",
        "Sun",
    ]
)
"""The region's own words for days and months, which Unicode's CLDR has and no catalogue."""

TYPED = frozenset(["Skip", "hire", "each", "Day", "work", "As", "drawn", "Ann", "Mill", "Lane", "wetter", "gauge"])
"""What ``dressed`` types as the user: names of extras, an option, people and places."""


def dressed(job: Job, seed: int) -> Job:
    """The job with all that its papers may speak of."""
    job = priced(Random(seed), job)
    job = edits.with_programme(job, {"start": "2031-05-26", "people": "2", "country": "DE"})
    rooms = [str(room.id) for storey in job.storeys for room in storey.rooms]
    seen = {"at": "2031-05-19T09:00", "person": "Ann"}
    readings = (
        ConditionReading("moisture", 99.0, room=rooms[0], scale="wetter", **seen),
        ConditionReading("surface", 5.0, room=rooms[-1], place="gauge", **seen),
        ConditionReading("air", 19.0, **seen),
        ConditionReading("humidity", 70.0, **seen),
        ConditionReading("gap", 12.0, room=rooms[0], **seen),
    )
    for reading in readings:
        job = edits.add_reading(job, reading, NOON)
    for what in ("lining", "old-paint", "textured", "mould", "damp"):
        job = edits.answer_look(job, Tick(what, "yes", room=rooms[0], **seen), NOON)
    job = edits.count_items(job, rooms[0], CountedItem("radiators", 2, "off-and-on", "plumber"))
    return job if job.lots else lot_for_each_storey(job)


def dressed_and_measured(path: Path) -> Measured:
    """The sample as it is read, dressed and measured by who speaks the language of the moment."""
    opened = open_file(path)
    return measure_job(Opened(opened.path, opened.kind, dressed(opened.job, len(path.name)), opened.findings))


def own_words(job: Job) -> set[str]:
    """What the job's people called something: rooms, storeys, drawings, marks, layers, fixed things."""
    texts = [job.name, *map(str, msgspec.structs.astuple(job.details))]
    for drawing in job.drawings:
        texts += [drawing.name, drawing.number, drawing.revision, *(layer for layer, _ in drawing.layer_roles)]
    for storey in job.storeys:
        texts += [storey.name, *(f"{room.number} {room.name}" for room in storey.rooms)]
        texts += [one.mark for one in (*storey.openings, *storey.rooflights)]
        sides = [side for room in storey.rooms for side in room.sides]
        texts += [part.what for side in sides if side.treatment for part in side.treatment.exclusions]
    return set(WORD.findall(" ".join(texts))) | TYPED | UNITS | CALENDAR


_NOT_SAID = frozenset(
    {
        "id",
        "kind",
        "kinds",
        "audience",
        "papers",
        "paper",
        "fingerprint",
        "day",
        "words",
        "feet",
        "sums",
        "storey",
        "swings",
    }
)
"""Fields of the sheets' values that nobody reads: keys, and words that stand elsewhere once they are said."""


def said_in(value: object) -> Iterator[str]:
    """Every text of the sheets' values."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, msgspec.Struct):
        for name in value.__struct_fields__:
            if name not in _NOT_SAID:
                yield from said_in(getattr(value, name))
    elif isinstance(value, list | tuple):
        for part in value:
            yield from said_in(part)


def untold(text: str) -> list[str]:
    """The words of a text that stand in no brackets."""
    return WORD.findall(re.sub(r"⟦[^⟦⟧]*⟧", " ", text))


@PATHS
def test_every_text_of_german_sheets_is_out_of_the_catalogue(path: Path) -> None:
    with marked_german():
        found = dressed_and_measured(path)
        known = own_words(found.job)
        made = document(found, DAY, draft=True)
        parts = [made, *(for_paper(made, found, paper) for paper in PAPERS)]
        parts += [handover_paper(found, DAY), account_paper(found.job, DAY)]
        missed = {text for part in parts for text in said_in(part) if set(untold(text)) - known}
    assert missed == set()


@pytest.mark.parametrize("path", OF_EACH_SORT, ids=lambda path: path.name)
def test_german_sheets_have_the_figures_of_the_english_and_no_english_word(path: Path, tmp_path: Path) -> None:
    written = {}
    use_region("IE")  # British sheets alone have limits of dust of their own
    for spoken in ("en", "de"):
        use_language(spoken)
        try:
            found = dressed_and_measured(path)
            made = document(found, DAY, draft=True)
            write_everything(found, made, tmp_path / spoken, "A4", draft=True)
            written[spoken] = (made, result_json(found))
        finally:
            use_language("en")
            use_region("")
    (english, english_json), (german, german_json) = written["en"], written["de"]
    assert figures(german) == figures(english)
    assert leaves(german_json) == leaves(english_json)
    assert cells_of_csv(tmp_path / "de", ";") == cells_of_csv(tmp_path / "en", ",")
    assert cells_of_workbook(tmp_path / "de") == cells_of_workbook(tmp_path / "en")
    known = own_words(found.job) | {english.fingerprint, german.fingerprint}
    for paper in PAPERS:
        texts = {spoken: printed(tmp_path / spoken / f"{paper}.pdf") for spoken in ("en", "de")}
        assert numbers(texts["de"], "de") == numbers(texts["en"], "en"), paper
        assert strangers(texts["de"], known) == set(), paper


def figures(made: Document) -> list[object]:
    """Every figure of every table, in order."""
    return [c for t in made.tables() for row in (*t.rows, t.total or ()) for c in row if not isinstance(c, str)]


def leaves(data: bytes) -> list[tuple[str, Any]]:
    """(path, value) of everything in the result that is not words."""

    def walk(value: Any, at: str) -> Iterator[tuple[str, Any]]:
        if isinstance(value, dict):
            for key, inner in value.items():
                yield from walk(inner, f"{at}.{key}")
        elif isinstance(value, list):
            for number, inner in enumerate(value):
                yield from walk(inner, f"{at}[{number}]")
        elif not isinstance(value, str) or re.fullmatch(r"-?\d+(\.\d+)?", value):
            yield at, value

    return list(walk(msgspec.json.decode(data), ""))


def cells_of_csv(folder: Path, mark: str) -> list[list[Decimal]]:
    """The figures of each table in order, read back as the region's spreadsheet reads them."""
    found = []
    for path in sorted(folder.rglob("*.csv")):
        rows = csv.reader(io.StringIO(path.read_text(encoding="utf-8-sig")), delimiter=mark)
        point = [cell.replace(",", ".") if mark == ";" else cell for row in rows for cell in row]
        found.append([Decimal(cell) for cell in point if re.fullmatch(r"-?\d+(\.\d+)?", cell)])
    assert len(found) > 5
    return found


def cells_of_workbook(folder: Path) -> list[list[object]]:
    """The figures of each sheet of the workbook, in order."""
    book = openpyxl.load_workbook(folder / "takeoff.xlsx", data_only=True)
    return [[c.value for row in sheet.iter_rows() for c in row if isinstance(c.value, int | float)] for sheet in book]


def printed(path: Path) -> str:
    """The text of a PDF but for its running heads and feet."""
    with pypdfium2.PdfDocument(path) as pages:
        texts = [page.get_textpage().get_text_bounded().replace("\r", "") for page in pages]
    return "\n".join(texts)


def numbers(text: str, spoken: str) -> set[str]:
    """All figures of a text, each once, with a decimal point and without thousands marks, but for what depends on how
    long the words are: numbers of pages, scales of plans with their bars, and the letters that tell papers apart."""
    text = re.sub(r"(Page|Seite) \d+ (of|von) \d+|0 1 : \d+ \d+ (m|ft)\b|\b[0-9a-f]{8}\b", "", text)
    group, point = (",", ".") if spoken == "en" else (".", ",")
    return {figure.replace(group, "").replace(point, ".") for figure in FIGURE.findall(text)}


def strangers(text: str, known: set[str]) -> set[str]:
    """Words that no message of the German catalogue has and that nobody of the job typed."""
    text = re.sub(r"\b[0-9a-f]{8}\b", "", text)
    german = german_words()
    return {word for word in WORD.findall(text) if word.casefold() not in german and word not in known}
