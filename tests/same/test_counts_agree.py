"""Counts agree wherever they stand: packs and findings on paper, at the foot of the window, in its steps and lists, at
the command and in the result; for every sample."""

from __future__ import annotations

import re
from collections import Counter
from functools import cache
from pathlib import Path

import msgspec
import pytest
from test_totals_close import SAMPLES

from takeoff.cli.summary import print_findings, print_summary
from takeoff.errors import Finding
from takeoff.measure.memory import Memory
from takeoff.services.measured.job_result import Measured, measure_job
from takeoff.services.measured.printed_totals import result_json
from takeoff.services.opened.opening import open_file
from takeoff.services.written.writing import document
from takeoff.sheets.sheet_values import Document
from takeoff.views import board, job_steps, settling, table_lines

PATHS = pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.name)


@cache
def opened(path: Path) -> tuple[Measured, Document, board.State, board.Considered, tuple[Finding, ...]]:
    """The sample as the command measures it, its sheets, and as the window considers it."""
    read = open_file(path)
    measured = measure_job(read)
    state = board.stand(read.job, Memory())
    considered = board.consider(state)
    return (
        measured,
        document(measured, "2031-05-20", draft=True),
        state,
        considered,
        board.all_findings(state, considered, read.findings),
    )


def first_number(text: str) -> int:
    found = re.search(r"\d+", text)
    assert found, text
    return int(found[0])


@PATHS
def test_packs_are_as_many_everywhere(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    measured, sheets, state, considered, _ = opened(path)
    materials = next(table for table in sheets.order if table.id == "materials")
    column = next(k for k, c in enumerate(materials.columns) if c.title == "Packs")
    packs = {str(row[0]): row[column] for row in materials.rows}
    count = sum(n for n in packs.values() if isinstance(n, int))
    assert count > 10
    assert count == sum(line.count for line in measured.order.lines)
    assert first_number(job_steps.packs_words(considered)) == count
    assert job_steps.packs_words(considered) in job_steps.running_totals(state, considered)
    step = next(s for s in job_steps.steps(state, considered, (), "") if s.id == "order")
    assert first_number(step.says) == count
    listed = [line.cells[0].partition("\n") for line in table_lines.order_lines(considered) if line.id]
    assert {name: sum(map(int, re.findall(r"(\d+)\s×", said))) for name, _, said in listed} == packs
    bought = msgspec.json.decode(result_json(measured))["materials"]
    assert sum(line["packs"] for line in bought) == count
    coat = next(line for line in measured.order.lines if line.id == "coat")
    said = [head.figure for head in sheets.headlines if "of coat" in head.figure]
    assert said == [f"{coat.count} packs of coat"]
    print_summary(measured, sheets, ())
    told = capsys.readouterr().out
    assert said[0] in told


@PATHS
def test_findings_are_as_many_everywhere(path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    measured, sheets, state, considered, findings = opened(path)
    counts = Counter(finding.severity for finding in measured.findings)
    assert Counter(finding.severity for finding in findings) == counts
    listed = settling.counts(settling.rows(state, findings))
    assert {group: listed[group] for group in ("error", "check", "note")} == {
        group: counts[group] for group in ("error", "check", "note")
    }
    step = next(s for s in job_steps.steps(state, considered, findings, "") if s.id == "settle")
    for severity, word in (("error", "to fix"), ("check", "to check"), ("assumed", "assumed")):
        said = re.search(rf"(\d+) {word}", step.says)
        assert (int(said[1]) if said else 0) == counts[severity]
    to_check = next((line.text for line in sheets.lines if line.label == "To check"), "")
    said = re.search(r"(\d+) findings? to check", to_check)
    assert (int(said[1]) if said else 0) == counts["check"]
    print_findings(measured, every=True)
    told = capsys.readouterr().out
    assert len(re.findall(r"^  - ", told, re.MULTILINE)) == len(measured.findings)
    annex = {table.id: table for table in sheets.findings}
    sentences = {str(row[1]) for row in annex["findings"].rows} | {str(row[0]) for row in annex["assumptions"].rows}
    assert all(any(one.text in text for text in sentences) for one in measured.findings)


@PATHS
def test_evidence_folds_out_in_the_window_and_stands_in_the_annex(path: Path) -> None:
    _, sheets, state, _, findings = opened(path)
    annex = next(table for table in sheets.findings if table.id == "findings")
    cells = [str(row[1]) for row in annex.rows]
    rows = settling.rows(state, findings)
    with_evidence = [f for f in findings if f.evidence and f.severity != "assumed"]
    assert with_evidence or path.suffix != ".dxf"  # how a drawing was read is told with why
    for one in with_evidence:
        assert any(one.text in cell and one.evidence in cell for cell in cells), one.code
        assert any(one.evidence in row.evidence for row in rows), one.code
