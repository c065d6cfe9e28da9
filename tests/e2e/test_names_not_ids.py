"""No id of the job's own reaches a reader: rooms, walls, openings and edges are called by name, number or letter."""

from __future__ import annotations

import csv
import json
import re
from pathlib import Path

import pypdfium2
import pytest

from takeoff.measure import Memory
from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import open_file
from takeoff.views.board import consider, stand
from takeoff.views.cards import opening_card, room_card, side_card
from takeoff.views.settling import rows
from takeoff.views.table_lines import opening_lines, room_lines

CHECKOUT = Path(__file__).parents[2]
SAMPLES = sorted((CHECKOUT / "sample_plans").glob("*.dxf"))
SHARED = sorted((CHECKOUT.parent / "shared" / "plans").rglob("*.dxf"))
MODELS = [path for path in (CHECKOUT.parent / "shared" / "plans").rglob("*.ifc") if path.name != "sample-building.ifc"]
JOB = CHECKOUT / "sample_plans" / "terrace.job.json"

ID = re.compile(r"(?<![\w.])(?:[rso]\d+|[A-Z]\d+-\d+)(?![\w,])|\w\|\w|@\w")
"""Ids of rooms, sides and openings as recognition and the sample job give them, and edges made of them."""


def said(folder: Path) -> list[str]:
    """Every cell of every table and every line of every sheet."""
    texts: list[str] = []
    for table in folder.glob("*.csv"):
        with table.open(encoding="utf-8-sig", newline="") as file:
            texts += [f"{table.name}: {cell}" for row in csv.reader(file) for cell in row]
    for sheet in folder.glob("*.pdf"):
        pages = pypdfium2.PdfDocument(sheet)
        texts += [
            f"{sheet.name}: {line}" for page in pages for line in page.get_textpage().get_text_range().splitlines()
        ]
        pages.close()
    result = json.loads((folder / "result.json").read_bytes())
    return texts + [finding["text"] for finding in result["findings"]]


@pytest.mark.parametrize("plan", [*SAMPLES, JOB, *SHARED, *MODELS], ids=lambda path: path.name)
def test_no_id_in_what_the_command_says_and_writes(takeoff, tmp_path: Path, plan: Path) -> None:
    done = takeoff("measure", plan, "-o", tmp_path, "--draft")
    assert done.returncode == 0, done.stderr
    every = [*done.stdout.splitlines(), *done.stderr.splitlines(), *said(tmp_path)]
    assert len(every) > 100
    assert [text for text in every if ID.search(text)] == []


@pytest.mark.parametrize("plan", [SAMPLES[0], JOB, *SHARED], ids=lambda path: path.name)
def test_no_id_in_what_the_window_lists_and_its_cards_say(plan: Path) -> None:
    measured = measure_job(open_file(plan))
    state = stand(measured.job, Memory())
    assert consider(state).findings is not None
    texts = [text for row in rows(state, measured.findings) for text in (row.head, row.text)]
    for lines in (room_lines(state), opening_lines(state)):
        texts += [cell for line in lines for cell in line.cells]
    for storey in state.job.storeys:
        for room in storey.rooms:
            cards = [room_card(state, str(room.id), measured.findings)]
            cards += [side_card(state, str(room.id), str(side.id), measured.findings) for side in room.sides]
            own = [opening for opening in storey.openings if opening.room == room.id]
            cards += [opening_card(state, str(opening.id), measured.findings) for opening in own]
            for card in (card for card in cards if card is not None):
                texts += [card.title, card.about, *(finding.text for finding in card.to_settle)]
                texts += [text for line in card.lines for work in line.lines for text in (work.text, work.what)]
    assert [text for text in texts if ID.search(text)] == []


def test_ids_are_seen_by_the_pattern() -> None:
    for text in ("Room r1 without a name", "side s3 of", "s1|s2@wall_wall", "G5-3|G5-4@room", "r5: o28 reaches"):
        assert ID.search(text), text
    for text in ("window w1", "Demo bead, 2.4 m", "2026-11-29", "G5 Kitchen", "ow1"):
        assert not ID.search(text), text
