"""The sample job that a first start opens, and a file that memory is short of."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from takeoff.errors import InputError
from takeoff.services.opened.opening import Answers, open_file, open_for_window, sample_job

CHECKOUT = Path(__file__).parents[2]


def test_sample_of_the_first_start_is_that_of_the_sample_plans() -> None:
    found = sample_job()
    assert found is not None
    assert found == CHECKOUT / "sample_plans" / "terrace.job.json"
    assert found.is_file()


@pytest.mark.parametrize("reading", [open_file, lambda path: open_for_window(path, Answers(), lambda part, text: None)])
def test_file_that_memory_is_short_of_is_named(
    monkeypatch: pytest.MonkeyPatch, reading: Callable[[Path], object]
) -> None:
    def greedy(path: Path, progress: object = None) -> object:
        raise MemoryError

    monkeypatch.setattr("takeoff.readers.dxf.read", greedy)
    with pytest.raises(InputError, match=r"not enough memory for terrace_ground\.dxf: close other programs"):
        reading(CHECKOUT / "sample_plans" / "terrace_ground.dxf")
