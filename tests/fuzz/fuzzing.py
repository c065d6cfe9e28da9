"""Mutants of every kind of file through the whole program, by the thousand. Run by hand.

    python tests/fuzz/fuzzing.py --kind dxf --count 3000 --seed 1 --processes 1
    python tests/fuzz/fuzzing.py --kind dxf --seed 1 --only 137          the same one again

A mutant fails when the program itself fails, ends with another code than 0, 1 or 2, takes over 20 s of
CPU or 2 GB of memory, refuses a file without its name (a job without the field), or leaves output that
is not whole. What fails is kept in ``--keep`` (fuzz-failures) with what was said. Ends with 1 where
anything failed. Linux only: it measures memory by /proc.
"""

from __future__ import annotations

import argparse
import json
import os
import re
import select
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any, NamedTuple

from originals import KINDS, TREE, mutant, read_originals, write_originals

BATCH = 60
"""Mutants to a process: a start takes as long as several of them."""
LONGEST_WAIT_S = 400.0
"""The readers' own patience with a process of theirs is 60 s; a loaded machine is slower."""


class Outcome(NamedTuple):
    """What came of one mutant."""

    number: int
    code: int | None
    cpu_s: float
    peak_bytes: int
    faults: tuple[str, ...]
    said: str


def batch(kind: str, seed: int, originals: Path, numbers: list[int], sheets: int = 1) -> Iterator[Outcome]:
    """The outcomes of these mutants; a process that dies is followed by another. ``sheets``: of every so many-th
    the sheets are written too."""
    left = list(numbers)
    while left:
        with tempfile.TemporaryDirectory(prefix="fuzz-") as folder:
            for outcome in _one_process((kind, str(seed), str(originals), folder, str(sheets)), left):
                left.remove(outcome.number)
                yield outcome


def _one_process(told_first: tuple[str, ...], numbers: list[int]) -> Iterator[Outcome]:
    command = [sys.executable, str(Path(__file__).with_name("trying.py")), *told_first]
    paths = os.pathsep.join(p for p in (os.environ.get("PYTHONPATH", ""), str(TREE)) if p)
    child = subprocess.Popen(
        [*command, *map(str, numbers)],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env={**os.environ, "PYTHONPATH": paths},
    )
    assert child.stdout is not None
    begun = numbers[0]
    reason = ""
    for line in _lines(child):
        if line is None:
            reason = f"nothing came of it in {LONGEST_WAIT_S:.0f} s"
            break
        told: dict[str, Any] = json.loads(line)
        if "begun" in told:
            begun = told["begun"]
        else:
            yield Outcome(told["done"], told["code"], told["cpu"], told["peak"], tuple(told["faults"]), told["said"])
            begun = -1
    child.kill()
    code = child.wait()
    child.stdout.close()
    if begun >= 0:
        yield Outcome(begun, None, 0.0, 0, (reason or f"the process ended with {code} (-24: over 25 s of CPU)",), "")


def _lines(child: subprocess.Popen[bytes]) -> Iterator[bytes | None]:
    """What a process says, line by line; None where it is silent for too long."""
    assert child.stdout is not None
    waiting = b""
    while True:
        ready, _, _ = select.select([child.stdout], [], [], LONGEST_WAIT_S)
        if not ready:
            yield None
            return
        data = os.read(child.stdout.fileno(), 65536)
        if not data:
            return
        *lines, waiting = (waiting + data).split(b"\n")
        yield from lines


def signature(outcome: Outcome) -> str:
    """What failures of one cause have in common."""
    frames = re.findall(r'File ".*?/(takeoff/[^"]+)", line (\d+)', outcome.said)
    first = re.sub(r"\d+(\.\d+)?", "N", outcome.faults[0])[:140]
    return f"{first} at {frames[-1][0]}:{frames[-1][1]}" if frames else first


def kept(folder: Path, kind: str, seed: int, outcome: Outcome, originals: list[bytes]) -> Path:
    """Writes a failing mutant and what is known of it; its path."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{kind}-{seed}-{outcome.number}{KINDS[kind].suffix}"
    path.write_bytes(mutant(kind, originals, seed, outcome.number))
    lines = [*outcome.faults, f"code {outcome.code}, {outcome.cpu_s:.1f} s, {outcome.peak_bytes / 1e6:.0f} MB"]
    path.with_suffix(".txt").write_text("\n".join([*lines, "", outcome.said]), encoding="utf-8")
    return path


def campaign(kind: str, seed: int, numbers: list[int], processes: int, keep: Path, sheets: int) -> int:
    """Tries all and prints what came of them; how many failed."""
    work = Path(tempfile.mkdtemp(prefix="fuzz-originals-"))
    began = time.monotonic()
    try:
        write_originals(kind, work)
        originals = read_originals(work)
        codes: Counter[int | None] = Counter()
        causes: dict[str, list[Path]] = {}
        slowest = largest = 0.0
        batches = [numbers[i : i + BATCH] for i in range(0, len(numbers), BATCH)]
        with ThreadPoolExecutor(processes) as pool:
            for outcomes in pool.map(lambda some: list(batch(kind, seed, work, some, sheets)), batches):
                for outcome in outcomes:
                    codes[outcome.code] += 1
                    slowest, largest = max(slowest, outcome.cpu_s), max(largest, outcome.peak_bytes)
                    if outcome.faults:
                        cause = signature(outcome)
                        path = kept(keep, kind, seed, outcome, originals)
                        causes.setdefault(cause, []).append(path)
                        print(f"{path.name}: {'; '.join(outcome.faults)}", flush=True)
        spent = time.monotonic() - began
        counts = ", ".join(f"{n} × exit {code}" for code, n in sorted(codes.items(), key=lambda c: -c[1]))
        print(f"{kind}: {len(numbers)} mutants in {spent:.0f} s: {counts}; slowest {slowest:.1f} s of CPU, most memory "
              f"{largest / 1e6:.0f} MB")  # fmt: skip
        for cause, paths in sorted(causes.items(), key=lambda c: -len(c[1])):
            print(f"  {len(paths)} × {cause} (first: {paths[0].name})")
        return sum(map(len, causes.values()))
    finally:
        shutil.rmtree(work, ignore_errors=True)


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--kind", choices=[*KINDS, "all"], default="all")
    parser.add_argument("--count", type=int, default=100)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--first", type=int, default=0, help="number of the first mutant")
    parser.add_argument("--only", type=int, help="try this one mutant")
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--sheets", type=int, default=1, help="write the sheets of every so many-th mutant")
    parser.add_argument("--keep", type=Path, default=Path("fuzz-failures"))
    said = parser.parse_args()
    numbers = [said.only] if said.only is not None else list(range(said.first, said.first + said.count))
    kinds = list(KINDS) if said.kind == "all" else [said.kind]
    failed = sum(campaign(kind, said.seed, numbers, said.processes, said.keep, said.sheets) for kind in kinds)
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
