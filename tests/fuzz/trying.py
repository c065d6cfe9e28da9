"""One mutant through the whole program, and what is wrong with what came of it.

Run as a process of its own by ``fuzzing.py``: ``trying.py KIND SEED ORIGINALS FOLDER SHEETS NUMBER…`` tries these
mutants one after the other and writes a line of JSON before and after each. Of every SHEETS-th all sheets are
written, of the others the result is only printed, which takes a third of the time.
"""

from __future__ import annotations

import contextlib
import io
import json
import multiprocessing.context
import os
import re
import resource
import shutil
import sys
from pathlib import Path
from typing import Any

from originals import KINDS, mutant, read_originals

MOST_CPU_S = 20.0
KILLED_AFTER_S = 25
"""CPU after which the system ends the process; what lies between is seen by the count."""
MOST_BYTES = 2_000_000_000
ROOM_BYTES = 3_500_000_000
"""Address space beyond what is taken before the first mutant: it guards the machine; what counts is
the memory that is really used."""
FAILED = "the program itself has failed"
_FAULT = re.compile(r"Traceback|the program itself has failed|\.py[:\"]")
ASKS = "Nothing is measured until you give one of them"
CLIENTS = {"scope.pdf"}
EXPECTED = {"result.json", "job.json", "scope.pdf", "order.pdf", "site.pdf", "dimensions.pdf", "takeoff.xlsx"}


def peak_bytes() -> int:
    """The most memory that this process has used since ``forget_peak``."""
    found = re.search(r"VmHWM:\s+(\d+)", Path("/proc/self/status").read_text())
    return int(found[1]) * 1024 if found else resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024


def forget_peak() -> None:
    with contextlib.suppress(OSError):
        Path("/proc/self/clear_refs").write_text("5")


def cpu_s() -> float:
    used = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    return sum(u.ru_utime + u.ru_stime for u in used)


def measured(path: Path, folder: Path | None) -> tuple[int, str]:
    """Exit code of the command and all that it said; without a folder it only prints."""
    from takeoff.cli.main import run

    out = io.TextIOWrapper(io.BytesIO(), "utf-8")
    where = [] if folder is None else ["-o", str(folder)]
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out):
        code = run(["measure", str(path), *where, "--date", "2031-05-20"])
    out.flush()
    return code, out.buffer.getvalue().decode("utf-8", "replace")


def traced(path: Path) -> tuple[int, str]:
    """The same for a picture that is opened to be traced, and kept as a photo."""
    from takeoff.errors import InputError
    from takeoff.readers.picture import read_photo, upright
    from takeoff.services.opened.opening import Answers, open_for_window, silent

    try:
        open_for_window(path, Answers(), silent)
        upright(path)
        read_photo(path)
    except InputError as error:
        return 2, str(error)
    return 0, ""


def faults(path: Path, kind: str, code: int, said: str, folder: Path, sheets: bool = True) -> list[str]:
    """What is wrong with the outcome; empty where all is well."""
    found = []
    if _FAULT.search(said):
        found.append(next((line for line in said.splitlines() if FAILED in line), "a traceback"))
    if code not in (0, 1, 2):
        found.append(f"exit code {code}")
    written = {p.name for p in folder.rglob("*")} if folder.exists() else set()
    if code == 2:
        if path.name not in said:
            found.append("the refusal does not name the file")
        if kind == "job" and is_json(path) and not names_a_field(said):
            found.append("the refusal does not name the field")
        if written:
            found.append(f"refused, and {len(written)} files were written")
    elif code == 1 and ASKS in said and not written:
        pass  # its unit or scale is asked for first
    elif kind != "picture" and sheets:
        # with something to mend the client gets no scope, and it is said
        expected = EXPECTED if code == 0 else EXPECTED - CLIENTS
        if not written >= expected:
            found.append(f"files are missing: {sorted(expected - written)}")
        found += [f"{name} was left over" for name in written if name.startswith(".") or ".part" in name]
        found += unreadable(folder)
    return found


def is_json(path: Path) -> bool:
    try:
        return isinstance(json.loads(path.read_bytes()), dict)
    except (ValueError, RecursionError):
        return False


def names_a_field(said: str) -> bool:
    from takeoff.storage.jobs import field_names

    words = set(re.findall(r"\w+", said))
    return "field" in words or "the job:" in said or bool(words & set(field_names()))


def unreadable(folder: Path) -> list[str]:
    """Files that were written and are not what they should be."""
    found = []
    for path in folder.rglob("*"):
        data = path.read_bytes() if path.is_file() else b"{}"
        if path.suffix == ".json":
            try:
                json.loads(data, parse_constant=_no_number)
            except ValueError as error:
                found.append(f"{path.name}: {error}")
        if path.suffix == ".pdf" and not (data.startswith(b"%PDF") and data.rstrip().endswith(b"%%EOF")):
            found.append(f"{path.name} is no whole PDF")
        if not data:
            found.append(f"{path.name} is empty")
    return found


def _no_number(text: str) -> Any:
    raise ValueError(f"it holds {text}")


def tried(kind: str, path: Path, folder: Path, sheets: bool = True) -> dict[str, Any]:
    """One mutant: its exit code, what was said, CPU, memory and faults."""
    forget_peak()
    began, children = cpu_s(), resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    resource.setrlimit(resource.RLIMIT_CPU, (int(began) + KILLED_AFTER_S, resource.RLIM_INFINITY))
    code, said = measured(path, folder if sheets else None)
    found = faults(path, kind, code, said, folder, sheets)
    if kind == "picture":
        code, said = traced(path)
        found += faults(path, kind, code, said, folder)
    used, peak = cpu_s() - began, peak_bytes()
    grown = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    peak = max(peak, grown * 1024 if grown > children else 0)
    if used > MOST_CPU_S:
        found.append(f"{used:.0f} s of CPU")
    if peak > MOST_BYTES:
        found.append(f"{peak / 1e9:.1f} GB of memory")
    shutil.rmtree(folder, ignore_errors=True)
    return {"code": code, "cpu": used, "peak": peak, "faults": found, "said": said[-6000:]}


def warmed(kind: str) -> None:
    """Loads what every mutant needs, and only then limits the address space. The reader of models, a process of its
    own, is split from this one, which knows all that it needs: its start would take longer than its work."""
    import takeoff.readers.dxf
    import takeoff.recognise.propose
    import takeoff.services.written.writing
    import takeoff.sheets.pdf

    if kind == "ifc":
        import takeoff.readers.ifc.ifc_file as ifc_file
        import takeoff.readers.ifc.modelling

        vars(ifc_file.multiprocessing)["get_context"] = lambda how: multiprocessing.context.ForkContext()
    del takeoff
    found = re.search(r"VmSize:\s+(\d+)", Path("/proc/self/status").read_text())
    limit = (int(found[1]) * 1024 if found else 0) + ROOM_BYTES
    resource.setrlimit(resource.RLIMIT_AS, (limit, limit))


def main() -> None:
    kind, seed, originals, folder = sys.argv[1], int(sys.argv[2]), Path(sys.argv[3]), Path(sys.argv[4])
    every = int(sys.argv[5])
    os.environ["TAKEOFF_TRACEBACK"] = "1"
    told = os.fdopen(os.dup(1), "w", buffering=1)
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    known = read_originals(originals)
    warmed(kind)
    for number in map(int, sys.argv[6:]):
        path = folder / f"mutant-{number}{KINDS[kind].suffix}"
        path.write_bytes(mutant(kind, known, seed, number))
        print(json.dumps({"begun": number}), file=told)
        try:
            outcome = tried(kind, path, folder / "out", number % every == 0)
        except Exception as error:  # noqa: BLE001 - what escapes the command is a failure too
            outcome = {"code": -1, "cpu": 0.0, "peak": 0, "faults": [f"{type(error).__name__}: {error}"], "said": ""}
        print(json.dumps({"done": number, **outcome}), file=told)
        path.unlink()
    told.close()
    os._exit(0)


if __name__ == "__main__":
    main()
