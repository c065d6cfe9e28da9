"""Works out the formulas of a workbook once more: sums, products and chains of cells, half up, with decimals."""

from __future__ import annotations

import io
import re
from decimal import ROUND_HALF_UP, Decimal

import openpyxl
from openpyxl.utils import range_boundaries

ROUND = re.compile(r"=ROUND\((.*),(\d)\)")
CALL = re.compile(r"(SUMPRODUCT|SUM)\(([^()]*)\)")
CELL = re.compile(r"[A-Z]{1,3}\d+")


class Workbook:
    """A workbook as it was written: its formulas, and the values that were kept with them."""

    def __init__(self, data: bytes) -> None:
        self.formulas = openpyxl.load_workbook(io.BytesIO(data))
        self.kept = openpyxl.load_workbook(io.BytesIO(data), data_only=True)

    def cells(self) -> list[tuple[str, str, str]]:
        """(worksheet, cell, formula) of every formula."""
        return [
            (sheet.title, cell.coordinate, cell.value)
            for sheet in self.formulas
            for row in sheet.iter_rows()
            for cell in row
            if cell.data_type == "f"
        ]

    def kept_value(self, sheet: str, cell: str) -> Decimal:
        """What is kept in a cell."""
        return number(self.kept[sheet][cell].value)

    def worked_out(self, sheet: str, cell: str) -> Decimal:
        """What a cell comes to, all the cells that it rests on worked out too."""
        text = self.formulas[sheet][cell].value
        if not isinstance(text, str) or not text.startswith("="):
            return number(text)
        found = ROUND.fullmatch(text)
        assert found, text
        inner = CALL.sub(lambda call: str(self._call(sheet, *call.groups())), found[1])
        inner = CELL.sub(lambda name: str(self.worked_out(sheet, name[0])), inner)
        return arithmetic(inner).quantize(Decimal(1).scaleb(-int(found[2])), ROUND_HALF_UP)

    def _call(self, sheet: str, function: str, arguments: str) -> Decimal:
        spans = [self._span(sheet, text) for text in arguments.split(",")]
        if function == "SUM":
            return sum((value for span in spans for value in span), Decimal(0))
        first, second = spans
        return sum((a * b for a, b in zip(first, second, strict=True)), Decimal(0))

    def _span(self, sheet: str, text: str) -> list[Decimal]:
        left, top, right, bottom = range_boundaries(text)
        names = [
            openpyxl.utils.get_column_letter(column) + str(row)
            for row in range(top, bottom + 1)
            for column in range(left, right + 1)
        ]
        return [self.worked_out(sheet, name) for name in names if self.formulas[sheet][name].value is not None]


def number(value: object) -> Decimal:
    """A number of a cell as decimal, as it was printed."""
    assert isinstance(value, int | float), value
    return Decimal(repr(value))


def arithmetic(text: str) -> Decimal:
    """ "2*3.45*2.4", "43.2-3.28", "12*100/100": products first, then from left to right."""
    total = Decimal(0)
    for sign, term in re.findall(r"(^|(?<=\d)[+-])(-?[\d.]+(?:E[+-]\d+)?(?:[*/]-?[\d.]+(?:E[+-]\d+)?)*)", text):
        parts = re.split(r"([*/])", term)
        value = Decimal(parts[0])
        for operator, factor in zip(parts[1::2], parts[2::2], strict=True):
            value = value * Decimal(factor) if operator == "*" else value / Decimal(factor)
        total += -value if sign == "-" else value
    return total
