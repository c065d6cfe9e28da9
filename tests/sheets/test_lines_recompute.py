"""Every line of dims and of materials, typed into a calculator as printed, gives the printed result."""

from __future__ import annotations

import math
import re
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

import pytest

from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import open_file
from takeoff.services.written.writing import document
from takeoff.sheets.sheet_values import Cell, Document

SAMPLES = Path(__file__).parents[2] / "sample_plans"
HOUSE = Path(__file__).parents[3] / "shared" / "plans" / "house"
FILES = (SAMPLES / "terrace.job.json", *sorted(SAMPLES.glob("*.dxf")), HOUSE / "ground.dxf", HOUSE / "upper.dxf")
_CENT = Decimal("0.01")


def calculated(text: str) -> Decimal:
    """What a calculator makes of a line: sums and differences of products, brackets first; units are words beside
    it (1 m² × 1 mm is 1 L)."""
    plain = re.sub(r"[^\d.+−×()-]", "", text.replace("−", "-").replace("²", ""))
    while "(" in plain:
        plain = re.sub(r"\(([^()]*)\)", lambda inner: str(_chain(inner[1])), plain)
    return _chain(plain)


def _chain(text: str) -> Decimal:
    total = Decimal(0)
    for sign, term in re.findall(r"([+-]?)((?:[\d.]+|×-?)+)", text):
        factors = [Decimal(factor) for factor in term.split("×")]
        total += (-1 if sign == "-" else 1) * math.prod(factors, start=Decimal(1))
    return total


def lines(sheets: Document) -> list[tuple[str, Decimal]]:
    """(what is typed, what is printed) of every line."""
    found = []
    for table in (*sheets.dims, *(one for one in sheets.order if one.id == "materials-workings")):
        for row in table.rows:
            found += [(cell, _result(row)) for cell in row if isinstance(cell, str) and cell.endswith(" =")]
    return found


def _result(row: tuple[Cell, ...]) -> Decimal:
    return next(cell for cell in row if isinstance(cell, Decimal))


def test_the_calculator_is_one() -> None:
    assert calculated("2 × 3.450 × 2.400 =") == Decimal("16.56")
    assert calculated("43.20 − 3.28 =") == Decimal("39.92")
    assert calculated("−1 × 0.900 × 2.040 =") == Decimal("-1.836")
    assert calculated("10 m² × (1.4 + 0.35) mm × 2 =") == Decimal(35)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_every_printed_line_gives_its_printed_result(path: Path) -> None:
    if not path.exists():
        pytest.skip("the shared plans are not here")
    found = lines(document(measure_job(open_file(path)), "2031-05-20"))
    assert len(found) > 40
    wrong = [(text, result) for text, result in found if calculated(text).quantize(_CENT, ROUND_HALF_UP) != result]
    assert wrong == []
