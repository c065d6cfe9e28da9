"""Everything that is measured of the worked rooms and ordered for them, field by field.

The figures of these rooms are worked by hand in test_worked_rooms.py; here every surface, edge, dim,
piece of bead, finding and line of the order is held as it was then. Where a field is added or a
figure mended, ``python tests/measure/test_golden_rooms.py`` writes the files of ``golden`` anew: look at
every line that changes.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import msgspec
import pytest
from worked_rooms import WORKED

from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import Opened

GOLDEN = Path(__file__).parent / "golden"
CLOSE = 1e-9
"""Machines may differ in the last digits of a figure."""


def measured(name: str) -> dict[str, object]:
    """Takeoff, order and findings of a worked room as plain values."""
    found = measure_job(Opened(Path(f"{name}.json"), "job", WORKED[name], ()))
    told = {"takeoff": found.takeoff, "order": found.order, "findings": found.findings}
    return msgspec.json.decode(msgspec.json.encode(told))


def differences(was: object, now: object, place: str) -> Iterator[str]:
    """Each place where two plain values differ, with both."""
    if isinstance(was, dict) and isinstance(now, dict):
        for key in dict.fromkeys((*was, *now)):
            yield from differences(was.get(key, "not there"), now.get(key, "not there"), f"{place}.{key}")
    elif isinstance(was, list) and isinstance(now, list) and len(was) == len(now):
        for i, (a, b) in enumerate(zip(was, now, strict=True)):
            yield from differences(a, b, f"{place}[{i}]")
    elif isinstance(was, float | int) and isinstance(now, float | int) and not isinstance(was, bool):
        if now != pytest.approx(was, rel=CLOSE, abs=CLOSE):
            yield f"{place}: {was} → {now}"
    elif was != now:
        yield f"{place}: {was} → {now}"


@pytest.mark.parametrize("name", WORKED)
def test_every_field_of_a_worked_room_is_as_it_was(name: str) -> None:
    was = msgspec.json.decode((GOLDEN / f"{name}.json").read_bytes())
    assert list(differences(was, measured(name), name)) == []


def test_no_golden_room_is_left_over() -> None:
    assert {p.stem for p in GOLDEN.glob("*.json")} == set(WORKED)


if __name__ == "__main__":
    for room in WORKED:
        data = msgspec.json.format(msgspec.json.encode(measured(room)), indent=1)
        (GOLDEN / f"{room}.json").write_bytes(data + b"\n")
