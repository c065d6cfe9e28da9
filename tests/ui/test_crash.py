"""When the program fails, the work is saved before anything is said."""

from __future__ import annotations

import sys
from pathlib import Path

from takeoff.plan import edits
from takeoff.storage import offers
from takeoff.ui.crash import CrashHook, sentence_for
from takeoff.ui.document import NO_MEMORY
from takeoff.ui.window import job_files

CHECKOUT = Path(__file__).parents[2]


class Order:
    def __init__(self, result: Path | None) -> None:
        self.result, self.done = result, []

    def rescue(self) -> Path | None:
        self.done.append("saved")
        return self.result


def fail(hook: CrashHook) -> None:
    try:
        raise ZeroDivisionError("division by zero")
    except ZeroDivisionError as error:
        hook.handle(type(error), error, error.__traceback__)


def test_work_is_saved_before_it_is_told(told, capsys) -> None:
    order = Order(Path("somewhere.job.json"))
    before = told.tell

    def tell(parent: object, sentence: str, details: str = "") -> None:
        order.done.append("told")
        before(parent, sentence, details)

    told.tell = tell
    fail(CrashHook(order))
    assert order.done == ["saved", "told"]
    assert "“somewhere.job.json”" in told.sentences[0]
    assert "ZeroDivisionError" in capsys.readouterr().err


def test_failure_to_save_is_told_with_the_first(told, capsys) -> None:
    class Full:
        def rescue(self) -> Path | None:
            raise OSError("disk full")

    fail(CrashHook(Full()))
    assert "disk full" in told.sentences[0]
    assert "ZeroDivisionError" in told.sentences[0]


def test_hook_stands_in_place_and_is_taken_away_again() -> None:
    hook, before = CrashHook(Order(None)), sys.excepthook
    hook.install()
    assert sys.excepthook == hook.handle
    hook.remove()
    assert sys.excepthook == before
    assert "Nothing was unsaved" in sentence_for(ValueError(), None)


def test_rescued_copy_of_an_edited_job_opens_again(sample) -> None:
    assert sample.files.rescue() is None
    sample.document.apply("Rename", lambda job: edits.rename_room(job, "G1", "Passage"))
    path = sample.files.rescue()
    assert path is not None
    (offer,), _ = offers.offers(path.parents[1], alive=lambda _: False)
    assert offers.restore(offer).job == sample.document.job


def test_want_of_memory_is_said_as_such(tmp_path) -> None:
    sentence = sentence_for(MemoryError(), tmp_path)
    assert sentence.startswith("There is not enough memory to continue: close other programs. Your work is saved in")
    assert "failed" not in sentence


def test_an_edit_that_memory_is_short_of_is_refused_and_changes_nothing(sample) -> None:
    def greedy(job: object) -> object:
        raise MemoryError

    before, refused = sample.document.state, []
    sample.document.refused.connect(refused.append)
    assert not sample.document.apply("Too large", greedy)
    assert sample.document.state is before
    assert sample.document.stack.isClean()
    assert refused == [NO_MEMORY]


def test_a_file_that_memory_is_short_of_leaves_the_job_open(sample, told, monkeypatch) -> None:
    def greedy(path: Path) -> object:
        raise MemoryError

    before = sample.document.state
    monkeypatch.setattr(job_files, "open_file", greedy)
    sample.files.open(CHECKOUT / "sample_plans" / "terrace.job.json")
    assert sample.document.state is before
    assert told.sentences == ["There is not enough memory for terrace.job.json: close other programs and try again."]
