"""What the commands after the order say and keep; bad input is one sentence and changes nothing."""

from __future__ import annotations

import contextlib
import io
import shutil
from pathlib import Path

import openpyxl
import pypdfium2
import pytest

from takeoff.cli.main import run
from takeoff.plan.edits.price_edits import with_rates
from takeoff.services.opened.job_store import load_job
from takeoff.storage import jobs

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"


@pytest.fixture(scope="module")
def sent(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job file with a state that was sent and accepted."""
    folder = tmp_path_factory.mktemp("sent")
    plain = folder / "house.json"
    rates = ["walls=31.20", "ceilings=36", "reveals=44", "drops=40", "bead=6.50"]
    plain.write_bytes(jobs.dump(with_rates(load_job(SAMPLE).job, rates)))
    assert run(["send", str(plain), "--to", "Client Example", "--date", "2031-05-20", "-o", str(folder / "out")]) == 0
    path = folder / "house.takeoff"
    assert run(["states", str(path), "--accept", "1", "--date", "2031-05-22"]) == 0
    assert "sent, the contract" in state_lines(path)
    return path


def state_lines(path: Path) -> str:
    told = io.StringIO()
    with contextlib.redirect_stdout(told), pytest.MonkeyPatch.context() as wide:
        wide.setenv("COLUMNS", "120")
        assert run(["states", str(path)]) == 0
    return told.getvalue()


@pytest.fixture
def job(sent: Path, tmp_path: Path) -> Path:
    """A copy of it to work on."""
    return Path(shutil.copy(sent, tmp_path))


def said(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str]:
    code = run(list(arguments))
    told = capsys.readouterr()
    return code, told.out + told.err


def test_from_order_to_hand_over(job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = str(job)
    text = said(capsys, "supply", path, "--whole-order", "--bars-cut", "--date", "2031-05-23")[1]
    assert "cut already" in text
    room = load_job(job).job.storeys[0].rooms[0].title
    assert said(capsys, "stage", path, room, "coat", "--date", "2031-05-26")[0] == 0
    opened = ("--opened", "22 L demo bucket=1", "--batch", "B17", "--gauge", "window=0.7", "--gauge", "door=0.5")
    text = said(capsys, "day", path, room, "--hours", "6", *opened, "--date", "2031-05-26")[1]
    assert "0.60" in text
    assert "0.50, door, too thin" in text
    assert "L per m² so far" in text
    new = ("--place", room, "--what", "Take damp plaster off", "--hours", "3,5", "--price", "42")
    assert said(capsys, "change", path, *new, "--date", "2031-05-24")[0] == 0
    text = said(capsys, "change", path, "--set", "1", "done", "--date", "2031-05-25")[1]
    assert "done 25 May 2031, not agreed" in text
    code, text = said(capsys, "account", path, "--bill", "--with-change", "1", "--date", "2031-05-27")
    assert (code, "Neither contract nor agreed: change 1" in text) == (2, True)
    assert load_job(job).job.work.bills == ()
    assert said(capsys, "change", path, "--bill-unagreed", "1", "--pdf", str(tmp_path / "change.pdf"))[0] == 0
    account = tmp_path / "account.pdf"
    assert (
        said(capsys, "account", path, "--bill", "--with-change", "1", "--pdf", str(account), "--date", "2031-05-27")[0]
        == 0
    )
    assert len(load_job(job).job.work.bills) == 1
    assert "not agreed, billed all the same" in words(account)
    over = tmp_path / "over.pdf"
    assert said(capsys, "handover", path, "-o", str(over), "--date", "2031-06-01")[0] == 0
    assert "B17" in words(over)
    assert "stops no leak" in words(over)
    book = openpyxl.load_workbook(account.with_suffix(".xlsx"))
    assert "What is due" in book.sheetnames
    assert "1" in said(capsys, "consumption", path)[1]


def words(path: Path) -> str:
    with pypdfium2.PdfDocument(path) as document:
        text = " ".join(document[k].get_textpage().get_text_range() for k in range(len(document)))
    return " ".join(text.split())


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("change", "--what", "x", "--hours", "1"), "needs its place"),
        (("change", "--place", "Hall", "--what", "x", "--pieces", "2"), "has no price"),
        (("change", "--set", "7", "agreed"), "no change 7"),
        (("day", "Kitchen", "--gauge", "a=40"), "gauge reading of 40.0 mm cannot be"),
        (("supply", "--delivered", "22 L demo bucket=1"), "enter the order first"),
        (("supply", "--returned", "22 L demo bucket=1"), "was never delivered"),
        (("stage", "Nowhere", "coat"), "no room “Nowhere”"),
        (("states", "--back", "9"), "no state 9"),
        (("states", "--compare", "1", "x"), "is no state"),
        (("account", "--paid", "soon"), "is not a price"),
        (("account", "--bill", "--with-change", "3"), "Neither contract nor agreed: change 3"),
        (("account", "--bill"), "Nothing is due: set how far the rooms are"),
        (("change", "--place", "Hall", "--what", "x"), "needs a quantity"),
        (("change", "--place", "Hall", "--what", "x", "--size", "wide", "--price", "4"), "wide"),
        (("defect", "--what", "A scratch"), "A defect needs its place"),
        (("defect", "--place", "Hall"), "A defect needs its words"),
        (("defect", "--put-right", "2"), "no defect 2"),
        (("supply", "--order-rest", "--lot", "z"), "no lot “z”"),
    ],
)
def test_what_cannot_be_changes_nothing(
    job: Path, arguments: tuple[str, ...], told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    before = job.read_bytes()
    code, text = said(capsys, arguments[0], str(job), *arguments[1:])
    assert code == 2
    assert told in text
    assert job.read_bytes() == before


def test_change_in_a_room_that_is_done_stays_in_the_account(job: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The storey becomes lower after a room's coat is on: its omission does not come off, making good is proposed."""
    from takeoff.plan import edits
    from takeoff.services.opened.job_store import change_job

    storey = load_job(job).job.storeys[0]
    done, other = (str(room.id) for room in storey.rooms[:2])
    change_job(job, lambda one: edits.set_room_stage(one, done, "coat", "2031-05-26"))
    change_job(job, lambda one: edits.set_storey_height(one, storey.id, storey.height_mm - 100))
    assert said(capsys, "change", str(job), "--from-state", "1", "--date", "2031-05-27")[0] == 0
    changes = load_job(job).job.work.changes
    names = {str(room.id): room.title for room in storey.rooms}
    own = [one for one in changes if one.place == names[done]]
    assert [one.done_already for one in own] == [True]
    assert all(not line.omitted for line in own[0].lines)
    assert any(line.omitted for one in changes if one.place == names[other] for line in one.lines)


@pytest.mark.parametrize(
    ("first", "then"),
    [
        (
            ("supply", "--ordered", "22 L demo bucket=2", "--date", "2031-05-20"),
            ("supply", "--delivered", "22 L demo bucket=2", "--date", "2031-05-19"),
        ),
        (("stage", "Kitchen", "coat", "--date", "2031-05-26"), ("stage", "Kitchen", "sanded", "--date", "2031-05-25")),
        (
            ("change", "--place", "Hall", "--what", "x", "--hours", "1", "--price", "40", "--date", "2031-05-24"),
            ("change", "--set", "1", "agreed", "--date", "2031-05-23"),
        ),
        (
            ("defect", "--place", "Hall", "--what", "x", "--date", "2031-06-02"),
            ("defect", "--put-right", "1", "--date", "2031-06-01"),
        ),
    ],
)
def test_dates_out_of_order_change_nothing(
    job: Path, first: tuple[str, ...], then: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    assert said(capsys, first[0], str(job), *first[1:])[0] == 0
    before = job.read_bytes()
    code, text = said(capsys, then[0], str(job), *then[1:])
    assert code == 2
    assert "comes before" in text
    assert len(text.strip().splitlines()) == 1
    assert job.read_bytes() == before


def test_defects_are_listed_and_stand_on_the_hand_over(
    job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    new = ("--place", "Hall", "--what", "A scratch by the door", "--by", "Ann", "--date", "2031-06-01")
    assert "open" in said(capsys, "defect", str(job), *new)[1]
    over = tmp_path / "over.pdf"
    assert said(capsys, "handover", str(job), "-o", str(over), "--date", "2031-06-02")[0] == 0
    assert "Defect 1, Hall: A scratch by the door." in words(over)
    text = said(capsys, "defect", str(job), "--put-right", "1", "--by", "Jo", "--date", "2031-06-03")[1]
    assert "3 June 2031 Jo" in text
    assert said(capsys, "handover", str(job), "-o", str(over), "--date", "2031-06-04")[0] == 0
    assert "Defect 1" not in words(over)
    assert "A scratch by the door" in words(over)
