"""Everything the program gives, written down before a change and compared after it.

    python tests/same/figures.py write BEFORE [--quick] [--jobs N]      with the tree as it was
    python tests/same/figures.py write AFTER --from BEFORE [--quick]    with the tree as it is
    python tests/same/figures.py compare BEFORE AFTER [--close 1e-12]

Which tree is measured is said by PYTHONPATH. The inputs are the sample plans and jobs, the real
plans of ../shared/plans (also read with a wrong unit, scale, page or layer, and cut off half-way),
and random jobs (``random_jobs.py``: 1,000, or 60 with ``--quick``). The random jobs are written into
BEFORE/jobs; ``--from`` measures those very files again, and only the inputs that BEFORE measured.

Every input gets a folder in DIR/out: what the command printed and its exit code, result.json,
job.json, the tables, the cells of takeoff.xlsx, the text of both PDFs and the findings, sorted.
``compare`` prints every difference as input, file, place, before, after, counts them by place, and
ends with 1 where there is one. ``--close`` passes over numbers that differ by less than this part.

The date is given, and the search for bars is a count of work: nothing here depends on time.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import json
import math
import multiprocessing
import os
import re
import shutil
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

HERE = Path(__file__).resolve().parent
TREE = HERE.parents[1]
PLANS = next((p / "shared" / "plans" for p in TREE.parents if (p / "shared" / "plans").is_dir()), None)
DATE = "2031-05-20"
PROCESSES = 2
JOBS, QUICK_JOBS = 1000, 60

Input = tuple[str, Path, tuple[str, ...]]
"""Name, file, options of the command."""


def drawn_inputs(quick: bool) -> list[Input]:
    """Sample plans and jobs, and the real plans, read rightly and wrongly."""
    samples = TREE / "sample_plans"
    found: list[Input] = [(f"sample-{p.stem}", p, ()) for p in sorted(samples.glob("*.dxf"))]
    found += [(f"sample-{p.stem}", p, ()) for p in sorted(samples.glob("*.job.json"))]
    ground, terrace = samples / "terrace_ground.dxf", samples / "terrace.job.json"
    found += [
        ("sample-in-cm", ground, ("--unit", "cm")),
        ("sample-other-heights", ground, ("--storey-height", "2.7 m", "--door-head", "2100", "--reveal", "0")),
        ("sample-no-layer", ground, ("--layers", "NOT-THERE")),
        ("sample-job-with-unit", terrace, ("--unit", "m")),
        ("sample-job-at-a3", terrace, ("--page", "A3", "--convention", "uk-nrm2")),
        *((f"sample-job-by-{c}", terrace, ("--convention", c)) for c in _conventions()),
    ]
    if PLANS is None:
        print("../shared/plans is not there: its plans are left out", file=sys.stderr)
        return found
    for path in sorted(p for p in PLANS.rglob("*") if p.suffix in (".dxf", ".ifc")):
        if not (quick and path.stat().st_size > 1_000_000):
            found.append((f"real-{path.parent.name}-{path.stem}-{path.suffix[1:]}", path, ()))
    house = PLANS / "house"
    plain, fine = house / "ground_plain_1to100.pdf", house / "ground_1to10.pdf"
    found += [
        ("real-pdf-plain", plain, ("--scale", "1:100")),
        ("real-pdf-plain-no-scale", plain, ()),
        ("real-pdf-fine", fine, ("--scale", "1:10")),
        ("real-house-in-m", house / "ground.dxf", ("--unit", "m")),
        ("real-house-in-ft", house / "upper.dxf", ("--unit", "ft")),
        ("real-picture-none", house / "LICENSE.txt", ()),
    ]
    if not quick:
        found += [
            ("real-pdf-wrong-scale", plain, ("--scale", "1:500")),
            ("real-pdf-page-9", plain, ("--scale", "1:100", "--page-number", "9")),
            ("real-pdf-fine-no-scale", fine, ()),
            ("real-duplex-layers", PLANS / "duplex" / "duplex_L1.dxf", ("--layers", "A-WALL")),
            ("real-duplex-roles", PLANS / "duplex" / "duplex_L1.dxf", ("--layer", "A-DOOR=walls")),
            ("real-pavilion-cm", PLANS / "pavilion" / "plan.dxf", ("--unit", "cm")),
        ]
    return found


def _conventions() -> list[str]:
    return sorted(p.stem for p in (TREE / "resources" / "conventions").glob("*.json") if p.stem != "net")


def cut_off(folder: Path) -> list[Input]:
    """Halves of files, made once into ``folder``: damaged on purpose."""
    folder.mkdir(parents=True, exist_ok=True)
    whole = [TREE / "sample_plans" / "terrace_ground.dxf", TREE / "sample_plans" / "terrace.job.json"]
    if PLANS is not None:
        whole += [PLANS / "quantities-fixture" / "sample-building.ifc", PLANS / "house" / "ground_plain_1to100.pdf"]
    made = []
    for path in whole:
        half = folder / f"half-{path.name}"
        if not half.exists():
            data = path.read_bytes()
            half.write_bytes(data[: len(data) // 2])
        made.append((f"half-{path.name}", half, ()))
    return made


def worked_rooms(folder: Path) -> list[Input]:
    """The worked rooms of ../shared/cases as jobs in ``folder``, made by what the tests map them with."""
    made: list[Input] = []
    with contextlib.suppress(ImportError):
        sys.path.insert(0, str(HERE.parent / "measure"))
        from worked_rooms import WORKED  # type: ignore[import-not-found]

        from takeoff.storage import jobs

        folder.mkdir(parents=True, exist_ok=True)
        for name, job in WORKED.items():
            (folder / f"worked-{name}.json").write_bytes(jobs.dump(job))
    made += [(p.stem, p, ()) for p in sorted(folder.glob("worked-*.json"))]
    return made


def random_inputs(folder: Path, count: int, *, make: bool) -> list[Input]:
    """The random jobs in ``folder``, numbered; with ``make`` those that are not there yet are made."""
    if make:
        sys.path.insert(0, str(HERE))
        from random_jobs import write_jobs

        folder.mkdir(parents=True, exist_ok=True)
        write_jobs(folder, count)
    return [(p.stem, p, ()) for p in sorted(folder.glob("random-*.json"))[:count]]


def measure_one(given: tuple[Input, Path]) -> str:
    """Run the command on one input and write all it gives into a folder of its name."""
    from takeoff.cli.main import run

    (name, path, options), out = given
    told = io.StringIO()
    with tempfile.TemporaryDirectory() as temporary:
        written = Path(temporary) / "written"
        call = ["measure", str(path), *options, "--anew", "--date", DATE, "-o", str(written)]
        with contextlib.redirect_stdout(told), contextlib.redirect_stderr(told):
            code = run(call)
        checked = io.StringIO()
        if path.suffix != ".json":
            rest = [o for o in options if o not in ("--page", "A3")]
            with contextlib.redirect_stdout(checked), contextlib.redirect_stderr(checked):
                run(["check", str(path), *rest, "--anew"])
        texts = dict(_texts(written)) if written.is_dir() else {}
        texts["summary.txt"] = f"exit {code}\n{told.getvalue()}".replace(temporary, "TEMPORARY")
        if checked.getvalue():
            texts["check.txt"] = checked.getvalue().replace(temporary, "TEMPORARY")
    target = out / name
    shutil.rmtree(target, ignore_errors=True)
    target.mkdir(parents=True)
    for file, text in texts.items():
        (target / file).write_text(text, encoding="utf-8", newline="")
    return name


def _texts(written: Path) -> Iterator[tuple[str, str]]:
    """(file, text) of everything that was written; findings once more, one a line, sorted."""
    for path in sorted(p for p in written.rglob("*") if p.is_file()):
        name = path.relative_to(written).as_posix().replace("/", "-")
        if path.suffix == ".pdf":
            yield f"{name}.txt", pdf_text(path)
        elif path.suffix == ".xlsx":
            yield f"{name}.txt", cells(path)
        else:
            yield name, path.read_text(encoding="utf-8")
        if name == "result.json":
            found = json.loads(path.read_bytes())["findings"]
            lines = sorted(json.dumps([f["code"], f["severity"], f["text"], f.get("where")]) for f in found)
            yield "findings.txt", "\n".join(lines) + "\n"


def pdf_text(path: Path) -> str:
    """The text of all pages, as the file tells it."""
    import pypdfium2

    document = pypdfium2.PdfDocument(path)
    try:
        pages = [page.get_textpage().get_text_range() for page in document]
    finally:
        document.close()
    return "\n--- page ---\n".join(text.replace("\r\n", "\n") for text in pages)


def cells(path: Path) -> str:
    """Every cell with something in it: sheet, cell, value or formula."""
    import openpyxl

    book = openpyxl.load_workbook(path, data_only=True)
    lines = [
        f"{sheet.title}!{cell.coordinate} {cell.value!r}"
        for sheet in book.worksheets
        for row in sheet.iter_rows()
        for cell in row
        if cell.value is not None
    ]
    return "\n".join(lines) + "\n"


def _quiet_start() -> None:
    os.environ |= {"COLUMNS": "100", "XDG_STATE_HOME": tempfile.mkdtemp(prefix="takeoff-state-")}


def write(folder: Path, before: Path | None, quick: bool, count: int, more: bool) -> int:
    """Measure every input into folder/out; how many there were."""
    source = before or folder
    inputs = [
        *drawn_inputs(quick),
        *cut_off(source / "halves"),
        *worked_rooms(source / "worked"),
        *random_inputs(source / "jobs", count, make=before is None),
    ]
    if before is not None:
        inputs = [one for one in inputs if (before / "out" / one[0]).is_dir()]
    out = folder / "out"
    out.mkdir(parents=True, exist_ok=True)
    todo = [(one, out) for one in inputs if not (more and (out / one[0]).is_dir())]
    with multiprocessing.get_context("spawn").Pool(PROCESSES, _quiet_start) as pool:
        for done, _ in enumerate(pool.imap_unordered(measure_one, todo, chunksize=4), 1):
            if done % 100 == 0:
                print(f"{done} of {len(todo)}", file=sys.stderr, flush=True)
    print(f"{len(todo)} inputs measured into {out}")
    return len(todo)


def compare(before: Path, after: Path, close: float, most: int) -> int:
    """Print what differs between the inputs that both folders hold; how many differences there are."""
    names = {p.name for p in (before / "out").iterdir()} & {p.name for p in (after / "out").iterdir()}
    count, places, touched = 0, Counter[str](), set()
    for name in sorted(names):
        a, b = (_read(folder / "out" / name) for folder in (before, after))
        for place, old, new in differences(a, b, close):
            count += 1
            touched.add(name)
            places[re.sub(r"\[\d+\]|:\d+", "[]", place)] += 1
            if count <= most:
                print(f"{name}\t{place}\n    before {old}\n    after  {new}")
    if count:
        print(f"\n{count} differences in {len(touched)} of {len(names)} inputs")
        for place, number in places.most_common():
            print(f"  {number:6} {place}")
    else:
        print(f"{len(names)} inputs, no difference")
    return count


def _read(folder: Path) -> dict[str, str]:
    return {p.name: p.read_text(encoding="utf-8") for p in sorted(folder.iterdir())}


def differences(a: dict[str, str], b: dict[str, str], close: float) -> Iterator[tuple[str, object, object]]:
    """(file and place, before, after) of everything that differs between what two runs wrote."""
    for file in sorted(a.keys() | b.keys()):
        if file not in a or file not in b:
            yield file, "a file" if file in a else "no such file", "a file" if file in b else "no such file"
        elif a[file] != b[file]:
            if file == "findings.txt":
                continue  # result.json tells the same
            if file.endswith(".json"):
                yield from _of_values(json.loads(a[file]), json.loads(b[file]), file, close)
            else:
                yield from _of_lines(a[file], b[file], file)


def _of_values(a: object, b: object, place: str, close: float) -> Iterator[tuple[str, object, object]]:
    if place.endswith(".findings") and isinstance(a, list) and isinstance(b, list):
        yield from _of_findings(a, b, place)
    elif isinstance(a, dict) and isinstance(b, dict):
        if list(a) != list(b) and a.keys() == b.keys():
            yield f"{place} (order of keys)", list(a), list(b)
        for key in dict.fromkeys((*a, *b)):
            yield from _of_values(a.get(key, "absent"), b.get(key, "absent"), f"{place}.{key}", close)
    elif isinstance(a, list) and isinstance(b, list):
        if len(a) != len(b):
            yield f"{place} (length)", len(a), len(b)
        for i, (old, new) in enumerate(zip(a, b, strict=False)):
            yield from _of_values(old, new, f"{place}[{i}]", close)
    elif a != b or type(a) is not type(b):
        numbers = isinstance(a, int | float) and isinstance(b, int | float)
        if not (numbers and close and math.isclose(a, b, rel_tol=close, abs_tol=close)):  # type: ignore[arg-type]
            yield place, a, b


def _of_findings(a: list[object], b: list[object], place: str) -> Iterator[tuple[str, object, object]]:
    """Findings that only one of two lists has; where both have the same, whether their order is."""
    old, new = (Counter(json.dumps(one, sort_keys=True) for one in found) for found in (a, b))
    gone, come = list((old - new).elements()), list((new - old).elements())
    for one in gone:
        yield f"{place} ({json.loads(one)['code']})", one, "not told"
    for one in come:
        yield f"{place} ({json.loads(one)['code']})", "not told", one
    if not gone and not come and a != b:
        yield f"{place} (order)", "another order", "another order"


def _of_lines(a: str, b: str, file: str) -> Iterator[tuple[str, object, object]]:
    import difflib

    old, new = a.splitlines(), b.splitlines()
    for kind, i, j, k, n in difflib.SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if kind != "equal":
            yield f"{file}:{i + 1}", " | ".join(old[i:j]), " | ".join(new[k:n])


def main() -> int:
    """0 where all was written or nothing differs, 1 where something differs."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    commands = parser.add_subparsers(dest="command", required=True)
    writing = commands.add_parser("write", help="measure every input into a folder")
    writing.add_argument("folder", type=Path)
    writing.add_argument("--from", dest="before", type=Path, help="measure the very job files of this folder")
    writing.add_argument("--quick", action="store_true", help=f"{QUICK_JOBS} random jobs, no large plan")
    writing.add_argument("--jobs", type=int, help="how many random jobs")
    writing.add_argument("--more", action="store_true", help="leave what the folder holds already")
    comparing = commands.add_parser("compare", help="what differs between two folders")
    comparing.add_argument("before", type=Path)
    comparing.add_argument("after", type=Path)
    comparing.add_argument("--close", type=float, default=0.0, help="numbers that differ by less are equal")
    comparing.add_argument("--most", type=int, default=200, help="how many differences are printed")
    given = parser.parse_args()
    if given.command == "compare":
        return 1 if compare(given.before, given.after, given.close, given.most) else 0
    count = given.jobs if given.jobs is not None else QUICK_JOBS if given.quick else JOBS
    write(given.folder.resolve(), given.before and given.before.resolve(), given.quick, count, given.more)
    return 0


if __name__ == "__main__":
    sys.exit(main())
