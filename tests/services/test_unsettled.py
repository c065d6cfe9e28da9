"""What reading a drawing left wrong goes with the job: nothing of it is for a client until it is answered."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from pathlib import Path

import msgspec
import pypdfium2
import pytest
from pdf_texts import pages

from takeoff.errors import InputError, Where
from takeoff.findings import noticed
from takeoff.measure import measure
from takeoff.plan import edits
from takeoff.plan.edits import settling_edits as settling
from takeoff.plan.job_drawings import FIRST
from takeoff.plan.model import Job, Opening, OpeningId, Room, RoomId, Side, SideId, Storey, StoreyId, Unsettled
from takeoff.plan.settled import unsettled_findings, with_unsettled
from takeoff.services.measured.job_result import Measured, job_json, measure_job
from takeoff.services.measured.printed_totals import result_json
from takeoff.services.opened.opening import Answers, answered, open_file
from takeoff.services.opened.room_proposals import Proposed, merged, propose_with
from takeoff.services.written.writing import document, write_everything
from takeoff.storage.jobs import load
from takeoff.units.printing import printed

SAMPLES = Path(__file__).parents[2] / "sample_plans"
SHEET = Path(__file__).parents[3] / "shared" / "plans" / "house" / "ground_1to10.pdf"
with_sheet = pytest.mark.skipif(not SHEET.exists(), reason="../shared/plans is not beside this checkout")

MISSING = noticed("block-missing", file="house.dxf", blocks="SINK")
GUESSED = noticed("unit-undecided", file="house.dxf", header="says nothing", unit="mm", shown="it is small")


def terrace(*findings: object) -> Job:
    job = open_file(SAMPLES / "terrace.job.json").job
    return with_unsettled(job, findings)  # type: ignore[arg-type]


def measured(job: Job, folder: Path) -> Measured:
    """The job measured from its file."""
    path = folder / "house.job.json"
    path.write_bytes(job_json(job))
    return measure_job(open_file(path))


def test_errors_of_reading_come_back_with_the_job_and_other_findings_do_not(tmp_path: Path) -> None:
    note = noticed("invisible", count=3)
    job = terrace(MISSING, note, noticed("no-room-found"))
    kept = Unsettled(
        code="block-missing", text=MISSING.text, drawing=FIRST, facts=MISSING.facts or None, evidence=MISSING.evidence
    )
    assert job.unsettled == (kept,)
    again = measured(job, tmp_path)
    assert again.findings[0] == MISSING
    assert again.has_errors
    assert note not in again.findings


def test_files_of_before_have_nothing_unsettled() -> None:
    data = json.loads((SAMPLES / "terrace.job.json").read_text(encoding="utf-8"))
    data.pop("unsettled", None)
    assert load(json.dumps(data).encode(), "old.json").unsettled == ()


def test_what_is_unsettled_stays_through_edits_and_goes_where_rooms_are_pasted() -> None:
    job = terrace(MISSING)
    room = job.storeys[0].rooms[0].id
    changed = edits.rename_room(edits.set_storey_height(job, job.storeys[0].id, 2500.0), room, "Snug")
    assert changed.unsettled == job.unsettled
    pasted, _ = edits.pasted_rooms(Job(), edits.copied_rooms(job, (room,)), None)
    assert pasted.unsettled == job.unsettled
    within, _ = edits.pasted_rooms(job, edits.copied_rooms(job, (room,)), job.storeys[0].id)
    assert within.unsettled == job.unsettled


def test_what_a_person_can_look_at_is_accepted_and_a_guessed_unit_is_not(tmp_path: Path) -> None:
    settled = settling.accept_findings(terrace(MISSING), [MISSING])
    assert not measured(settled, tmp_path).has_errors
    assert measured(settling.open_again(settled, settled.settled[-1]), tmp_path).findings[0] == MISSING
    with pytest.raises(InputError, match="has to be fixed"):
        settling.accept_findings(terrace(GUESSED), [GUESSED])


def test_accepting_by_hand_does_not_help_where_the_ledger_forbids_it(tmp_path: Path) -> None:
    forged = msgspec.structs.replace(terrace(MISSING), settled=())
    forged = settling.accept_findings(forged, [MISSING])
    one = msgspec.structs.replace(forged.settled[0], code=GUESSED.code, text=GUESSED.text)
    job = msgspec.structs.replace(terrace(GUESSED), settled=(one,))
    assert measured(job, tmp_path).has_errors


def test_nothing_is_written_for_a_client_while_an_error_is_open(tmp_path: Path) -> None:
    done = measured(terrace(GUESSED), tmp_path)
    written = {p.name for p in write_everything(done, document(done, "2031-05-20"), tmp_path / "out")}
    assert written == {p.name for p in (tmp_path / "out").iterdir()}
    assert {"site.pdf", "takeoff.xlsx", "rooms.csv", "result.json", "job.json"} <= written
    assert not written & {"scope.pdf", "scope.csv", "conditions.csv", "price.csv"}
    with zipfile.ZipFile(tmp_path / "out" / "takeoff.xlsx") as book:
        names = book.read("xl/workbook.xml").decode()
        assert 'name="Scope"' not in names
        assert "agreed in writing" not in book.read("xl/sharedStrings.xml").decode()
    assert json.loads((tmp_path / "out" / "result.json").read_bytes())["draft"].startswith("house.dxf says nothing")


def test_every_page_and_table_of_a_draft_says_so(tmp_path: Path) -> None:
    done = measured(terrace(GUESSED), tmp_path)
    written = write_everything(done, document(done, "2031-05-20"), tmp_path / "out", draft=True)
    assert "scope.pdf" in {path.name for path in written}
    for name in ("scope.pdf", "site.pdf"):
        for page in pages(tmp_path / "out" / name):
            # once across the page, once at its foot
            assert page.count("DRAFT") == 2
            assert "DRAFT, not for the client: house.dxf" in page
            assert "signature" not in page
            assert "agreed __" not in page
    with zipfile.ZipFile(tmp_path / "out" / "takeoff.xlsx") as book:
        sheets = [book.read(name).decode() for name in book.namelist() if name.startswith("xl/worksheets/sheet")]
        first = {sheet[sheet.index("<v>") + 3 : sheet.index("</v>")] for sheet in sheets}
        texts = book.read("xl/sharedStrings.xml").decode().split("<si>")[1:]
    assert len(first) == 1
    assert "DRAFT, not for the client" in texts[int(first.pop())]
    for path in (tmp_path / "out").glob("*.csv"):
        rows = list(csv.reader(io.StringIO(path.read_text(encoding="utf-8-sig"))))
        assert rows[0][0].startswith("DRAFT, not for the client: house.dxf"), path.name


def test_sheets_that_hold_are_no_draft_unless_one_is_asked_for(tmp_path: Path) -> None:
    done = measured(terrace(), tmp_path)
    write_everything(done, document(done, "2031-05-20"), tmp_path / "out")
    assert not any("DRAFT" in page for page in pages(tmp_path / "out" / "scope.pdf"))
    write_everything(done, document(done, "2031-05-20", draft=True), tmp_path / "asked", draft=True)
    assert all(page.count("DRAFT") == 2 for page in pages(tmp_path / "asked" / "scope.pdf"))


def test_long_reasons_keep_within_two_lines_of_the_foot(tmp_path: Path) -> None:
    long = msgspec.structs.replace(GUESSED, text="The drawing " + "is doubtful and " * 60 + "so on: mend it.")
    done = measured(terrace(long, MISSING), tmp_path)
    assert done.draft.endswith("; 1 more to fix")
    write_everything(done, document(done, "2031-05-20"), tmp_path / "out", draft=True)
    for page in pypdfium2.PdfDocument(tmp_path / "out" / "scope.pdf"):
        text = page.get_textpage()
        boxes = [text.get_rect(k) for k in range(text.count_rects())]
        assert all(low >= 12 and right <= page.get_width() - 40 for _, low, right, high in boxes if high < 60)


def test_layers_said_otherwise_tell_anew_what_came_of_looking_for_rooms_and_keep_the_rest() -> None:
    drawing = open_file(SAMPLES / "terrace_ground.dxf").drawing
    assert drawing is not None
    now = propose_with(drawing, ())
    other = noticed("plan-at-other-scale", file="house.dxf", rooms=2, says="1:50", read_at="1:100", times=2.0)
    before = Proposed(now.drawing, now.job, (*now.found, other), now.guesses, now.roles)
    mine = with_unsettled(now.job, (MISSING, other))
    job, _ = merged(before, mine, now)
    assert unsettled_findings(job) == (MISSING,)


def with_doubt(job: Job, *names: str) -> Job:
    storeys = tuple(
        msgspec.structs.replace(
            storey,
            openings=tuple(
                msgspec.structs.replace(o, confidence="question") if o.id in names else o for o in storey.openings
            ),
        )
        for storey in job.storeys
    )
    return msgspec.structs.replace(job, storeys=storeys)


def test_both_totals_stand_on_the_first_page_and_in_the_result(tmp_path: Path) -> None:
    whole = terrace()
    names = [str(o.id) for o in whole.storeys[0].openings[:3]]
    done = measured(with_doubt(whole, *names), tmp_path)
    told = json.loads(result_json(done))
    assert told["totals_if_all_taken_in"] == measure(whole).totals
    assert told["totals_if_all_taken_in"]["coated_m2"] != told["totals"]["coated_m2"]
    now, then = (document(one, "2031-05-20") for one in (done, measured(whole, tmp_path)))
    words = next(line.text for line in now.lines if line.label == "Two totals")
    assert now.headlines[0].figure.split()[0] in words
    assert f"With all 3 uncertain openings (marked ?) deducted: {then.headlines[0].figure.split()[0]} m²" in words
    assert then.headlines[1].figure.split()[0] in words
    assert not any(line.label == "Two totals" for line in then.lines)
    write_everything(done, now, tmp_path / "out")
    assert "With all 3 uncertain openings (marked ?) deducted" in pages(tmp_path / "out" / "scope.pdf")[0]


def test_openings_that_overlap_are_taken_in_together_and_not_added_up(tmp_path: Path) -> None:
    """A wall of 4.00 × 2.40 m with two windows in question, 1.00 × 1.00 m, that share 0.50 × 1.00 m: the wall
    loses 1.50 m² and not 2.00."""
    corners = ((0.0, 0.0), (4000.0, 0.0), (4000.0, 3000.0), (0.0, 3000.0))
    host = Room(
        id=RoomId("r1"), outline=tuple(Side(id=SideId(f"s{k}"), x_mm=x, y_mm=y) for k, (x, y) in enumerate(corners))
    )
    storey = Storey(id=StoreyId("1"), rooms=(host,))
    pair = tuple(
        Opening(
            id=OpeningId(f"o{k}"),
            kind="window",
            room=host.id,
            side=host.outline[0].id,
            offset_mm=1000.0 + 500.0 * k,
            width_mm=1000.0,
            sill_mm=900.0,
            head_mm=1900.0,
            confidence="question",
        )
        for k in range(2)
    )
    job = Job(storeys=(msgspec.structs.replace(storey, openings=pair),))
    done = measured(job, tmp_path)
    told = json.loads(result_json(done))
    lost = told["totals"]["wall_net_m2"] - told["totals_if_all_taken_in"]["wall_net_m2"]
    assert printed(lost) == printed(1.5)


@with_sheet
def test_guessed_scale_goes_with_the_job_and_a_given_one_ends_it(tmp_path: Path) -> None:
    opened = open_file(SHEET)
    guessed = measure_job(opened)
    assert [one.code for one in guessed.job.unsettled] == ["scale-undecided"]
    again = measured(guessed.job, tmp_path)
    assert again.has_errors
    assert again.draft == "ground_1to10.pdf does not show for sure at which scale it is drawn"
    written = write_everything(again, document(again, "2031-05-20"), tmp_path / "out")
    assert "scope.pdf" not in {path.name for path in written}
    said = measure_job(answered(opened, Answers(scale="1:10")))
    assert said.job.unsettled == ()
    assert not measured(said.job, tmp_path).has_errors


def test_a_place_in_the_drawing_comes_back_with_its_error(tmp_path: Path) -> None:
    lost = noticed("block-missing", Where(x_mm=1234.5678, y_mm=2.0, layer="A"), file="house.dxf", blocks="SINK")
    assert lost in measured(terrace(lost), tmp_path).findings
