"""The fuzzer itself: mutants are the same again for a seed, and a few of each kind pass."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

pytest.importorskip("resource", reason="this system tells no memory of processes")
sys.path.insert(0, str(Path(__file__).parent))

import fuzzing
from originals import KINDS, mutant, read_originals, write_originals

SEED = 20
HOW_MANY = 4


@pytest.mark.parametrize("kind", KINDS)
def test_a_few_mutants_pass_through_the_whole_program(kind: str, tmp_path: Path) -> None:
    write_originals(kind, tmp_path)
    originals = read_originals(tmp_path)
    made = [mutant(kind, originals, SEED, n) for n in range(HOW_MANY)]
    assert made == [mutant(kind, originals, SEED, n) for n in range(HOW_MANY)]
    assert any(data not in originals for data in made)
    outcomes = list(fuzzing.batch(kind, SEED, tmp_path, list(range(HOW_MANY))))
    assert [o.number for o in outcomes] == list(range(HOW_MANY))
    assert [o.faults for o in outcomes] == [()] * HOW_MANY
    assert all(o.code in (0, 1, 2) for o in outcomes)


def test_a_process_that_dies_is_told_and_the_next_mutants_are_tried(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    broken = tmp_path / "trying.py"
    broken.write_text(
        "import json, os, sys\nfor n in sys.argv[6:]:\n    print(json.dumps({'begun': int(n)}), flush=True)\n"
        "    os.abort() if n == '1' else print(json.dumps({'done': int(n), 'code': 0, 'cpu': 0.1, 'peak': 5,"
        " 'faults': [], 'said': ''}), flush=True)\n"
    )
    monkeypatch.setattr(fuzzing, "__file__", str(tmp_path / "fuzzing.py"))
    outcomes = list(fuzzing.batch("dxf", 1, tmp_path, [0, 1, 2]))
    assert [o.number for o in outcomes] == [0, 1, 2]
    assert [bool(o.faults) for o in outcomes] == [False, True, False]
