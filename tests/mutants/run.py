"""Breaks one line of the program at a time and says whether the tests notice.

    python tests/mutants/run.py [--only TEXT] [--named] [--list]

``mutants.txt`` holds the breakages. Each stands as

    @ takeoff/measure tests/measure/test_x.py::test_y
    - the line as it stands, without its indent
    + what it becomes

The first path is a file or a folder of the program, in which the line must stand exactly once; a line
``~ def name`` between says in which function to look. The second names the test that kills the
breakage. A breakage that does not apply, or makes no program at all, is an error and never passed
over: the list is kept with the program. Each is applied to a copy of the tree; its test is run, and
where that passes, all tests of its folder (but with ``--named``). What is told ends with the test
that failed first. Takes some minutes; ends with 1 where one survives or does not apply.
"""

from __future__ import annotations

import argparse
import compileall
import os
import re
import resource
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from importlib import import_module
from pathlib import Path
from typing import NamedTuple, NoReturn

import pytest

TREE = Path(__file__).resolve().parents[2]
LIST = Path(__file__).with_name("mutants.txt")
COPIED = ("takeoff", "tests", "resources", "sample_plans", "pyproject.toml")
LOADED = ("numpy", "shapely", "msgspec", "scipy.optimize", "scipy.sparse.csgraph", "hypothesis", "ezdxf", "reportlab")
LONGEST_CPU_S = 240
PASSED, FAILED, BROKEN, UNKNOWN, MISSING, NOTHING = 0, 1, 2, 3, 4, 5
"""What pytest ends with: passed, failed, could not begin, nobody knows, no such test, no test at all."""


class Mutant(NamedTuple):
    """One breakage; ``at`` is its line in the list."""

    at: int
    where: str
    test: str
    within: str
    line: str
    becomes: str


class DoesNotApply(Exception):
    """A breakage whose line is not in the program, or stands there more than once."""


def mutants(text: str) -> Iterator[Mutant]:
    """The breakages of a list; raises ValueError where one is not written as it should be."""
    head: tuple[str, str] | None = None
    within = line = ""
    for at, row in enumerate(text.splitlines(), 1):
        sign, rest = row[:1], row[2:]
        if sign == "@":
            where, _, test = rest.partition(" ")
            head, within, line = (where, test.strip()), "", ""
        elif sign == "~":
            within = rest
        elif sign == "-":
            line = rest
        elif sign == "+":
            if head is None or not line or not head[1]:
                raise ValueError(f"line {at}: a breakage needs its place, its test and the line as it stands")
            yield Mutant(at, *head, within, line, rest)
            within = line = ""
        elif row.strip() and sign != "#":
            raise ValueError(f"line {at}: “{row}” is no part of a breakage")


def applied(mutant: Mutant, tree: Path) -> tuple[Path, str]:
    """The file that a breakage changes and its new text. Raises DoesNotApply."""
    place = tree / mutant.where
    files = sorted(place.rglob("*.py")) if place.is_dir() else [place]
    found = []
    for file in files:
        if file.is_file():
            lines = file.read_text(encoding="utf-8").splitlines(keepends=True)
            found += [(file, lines, k) for k in _places(lines, mutant)]
    if len(found) != 1:
        raise DoesNotApply(f"stands {len(found)} times in {mutant.where}: {mutant.line}")
    file, lines, k = found[0]
    indent = lines[k][: len(lines[k]) - len(lines[k].lstrip())]
    lines[k] = f"{indent}{mutant.becomes}\n"
    broken = "".join(lines)
    try:
        compile(broken, str(file), "exec")
    except SyntaxError as error:
        raise DoesNotApply(f"is no program any more: {mutant.becomes}") from error
    return file, broken


def _places(lines: list[str], mutant: Mutant) -> Iterator[int]:
    inside = not mutant.within
    depth = 0
    for k, row in enumerate(lines):
        text = row.strip()
        indent = len(row) - len(row.lstrip())
        if mutant.within and text.startswith((mutant.within + "(", mutant.within + ":")):
            inside, depth = True, indent
        elif mutant.within and inside and text and indent <= depth and not text.startswith((")", "]")):
            inside = False
        if inside and text == mutant.line:
            yield k


def run_tests(tree: Path, target: str) -> tuple[int, str]:
    """What pytest ends with for some tests of a tree, in a process of its own, and the test that failed
    first; a run without end fails. Raises DoesNotApply where there is no such test."""
    with tempfile.TemporaryFile() as output:
        child = os.fork()
        if child == 0:
            _test_in_this_process(tree, target, output.fileno())
        code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        output.seek(0)
        said = output.read().decode(errors="replace")
    first = re.search(r"^(?:FAILED|ERROR) (\S+?)(?:\[|\s|$)", said, re.MULTILINE)
    if code in (PASSED, FAILED, BROKEN):
        return code, first[1] if first else ""
    if code < 0:
        return FAILED, "a run without end"
    if code in (MISSING, NOTHING):
        raise DoesNotApply(f"there is no test {target}")
    sys.exit(f"{target} could not be run:\n{said[-2000:]}")


def _test_in_this_process(tree: Path, target: str, output: int) -> NoReturn:
    """Ends the process with what pytest ends with. Forked from one that has loaded what takes long, and
    nothing of the program."""
    code = UNKNOWN
    try:
        os.dup2(output, 1)
        os.dup2(output, 2)
        resource.setrlimit(resource.RLIMIT_CPU, (LONGEST_CPU_S, LONGEST_CPU_S))
        os.chdir(tree)
        # what is installed stays, also where it is installed into the tree itself
        sys.path[:] = [str(tree), *(p for p in sys.path if _installed(Path(p or ".").resolve()))]
        sys.dont_write_bytecode = True
        # a plugin that only few tests need takes longer than most of them
        os.environ |= {"PYTHONPATH": str(tree), "PYTHONDONTWRITEBYTECODE": "1"}
        os.environ |= {"PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1", "QT_QPA_PLATFORM": "offscreen"}
        qt = ["-p", "pytestqt.plugin"] if target.startswith("tests/ui") else []
        code = int(pytest.main(["-x", "-q", "-p", "no:cacheprovider", *qt, target]))
        sys.stdout.flush()
    finally:
        os._exit(code)


def _installed(place: Path) -> bool:
    return place.is_relative_to(Path(sys.prefix).resolve()) or not place.is_relative_to(TREE)


def fate(mutant: Mutant, tree: Path, named_only: bool) -> tuple[str, str]:
    """*killed*, *killed by another* test of the folder, or *survived*, and by which test. Raises DoesNotApply."""
    file, text = applied(mutant, tree)
    before = file.read_text(encoding="utf-8")
    for compiled in (file.parent / "__pycache__").glob(f"{file.stem}.*.pyc"):
        compiled.unlink()
    file.write_text(text, encoding="utf-8")
    try:
        code, killer = run_tests(tree, mutant.test)
        if code != PASSED:
            return "killed", killer
        if named_only:
            return "survived", ""
        code, killer = run_tests(tree, str(Path(mutant.test.partition("::")[0]).parent))
        return ("killed by another", killer) if code != PASSED else ("survived", "")
    finally:
        file.write_text(before, encoding="utf-8")


def copy_of_tree(folder: Path) -> Path:
    """A copy of the tree to break, compiled."""
    for name in COPIED:
        source = TREE / name
        if source.is_dir():
            shutil.copytree(source, folder / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(source, folder / name)
    shared = TREE.parent / "shared"
    if shared.exists():
        (folder.parent / "shared").symlink_to(shared)
    compileall.compile_dir(folder / "takeoff", quiet=1)
    return folder


def main() -> int:
    """0 where every breakage was killed by the test it names."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--only", default="", help="breakages whose place, test or line holds this")
    parser.add_argument("--named", action="store_true", help="run only the tests that are named")
    parser.add_argument("--list", action="store_true", help="only say which breakages apply")
    given = parser.parse_args()
    chosen = [m for m in mutants(LIST.read_text(encoding="utf-8")) if given.only in " ".join(map(str, m[1:]))]
    fates: Counter[str] = Counter()
    for name in () if given.list else LOADED:
        import_module(name)
    with tempfile.TemporaryDirectory() as temporary:
        tree = TREE if given.list else copy_of_tree(Path(temporary) / "tree")
        for target in [] if given.list else dict.fromkeys(m.test.partition("::")[0] for m in chosen):
            if run_tests(tree, target)[0] != PASSED:
                sys.exit(f"{target} fails without any breakage: mend it first.")
        for mutant in chosen:
            begun, killer = time.monotonic(), ""
            try:
                if given.list:
                    applied(mutant, tree)
                    found = "applies"
                else:
                    found, killer = fate(mutant, tree, given.named)
            except DoesNotApply as error:
                found = "does not apply"
                print(f"line {mutant.at}: {error}", flush=True)
            fates[found] += 1
            if not given.list:
                took = time.monotonic() - begun
                by = f"  ({killer})" if killer else ""
                print(f"{found:18} {took:5.1f} s  line {mutant.at}: {mutant.where}: {mutant.line}{by}", flush=True)
    print(f"{len(chosen)} breakages: " + ", ".join(f"{n} {what}" for what, n in fates.most_common()))
    return 0 if set(fates) <= {"killed", "applies"} else 1


if __name__ == "__main__":
    sys.exit(main())
