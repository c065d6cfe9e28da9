"""Small files that unfold into much: hatches, curves, crossing lines and paths in PDF, blocks in DXF, deep and wide
jobs. Each must end within 20 s of the processor's time and 2 GB, with figures or with a sentence.

``python tests/fuzz/bombs.py --folder DIR [--count 200] [--only NAME]`` makes them, runs the command on each with
limits of the system, and prints what broke a limit, ended otherwise than with 0, 1 or 2, or said Python's words.
"""

from __future__ import annotations

import argparse
import itertools
import json
import os
import random
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import NamedTuple

SECONDS, BYTES = 20, 2_000_000_000
SEED = 7
WORDS_OF_PYTHON = ("Traceback", "Error in", "program itself")


class Bomb(NamedTuple):
    """A file to be read: its name and its bytes."""

    name: str
    data: bytes


def pdf(content: bytes, width: float = 842.0, height: float = 595.0) -> bytes:
    """One page with this content, packed."""
    import zlib

    packed = zlib.compress(content, 9)
    parts = [
        b"<< /Type /Catalog /Pages 2 0 R >>",
        b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 %d %d] /Contents 4 0 R /Resources << >> >>" % (width, height),
        b"<< /Length %d /Filter /FlateDecode >>\nstream\n%s\nendstream" % (len(packed), packed),
    ]
    out, places = b"%PDF-1.7\n", []
    for number, part in enumerate(parts, 1):
        places.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, part)
    table = b"".join(b"%010d 00000 n \n" % place for place in places)
    start = len(out)
    return (
        out
        + b"xref\n0 5\n0000000000 65535 f \n"
        + table
        + b"trailer << /Size 5 /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF" % start
    )


def hatches(count: int, dice: random.Random) -> bytes:
    """Two families of lines over the page that all cross."""
    half = count // 2
    rows = [f"{dice.uniform(0, 842):.2f} 0 m {dice.uniform(0, 842):.2f} 595 l S" for _ in range(half)]
    rows += [f"0 {dice.uniform(0, 595):.2f} m 842 {dice.uniform(0, 595):.2f} l S" for _ in range(half)]
    return pdf("\n".join(rows).encode())


def curves(count: int, dice: random.Random) -> bytes:
    """Curves that turn back on themselves."""

    def at() -> str:
        return f"{dice.uniform(-900, 1700):.1f} {dice.uniform(-900, 1500):.1f}"

    return pdf("\n".join(f"{at()} m {at()} {at()} {at()} c S" for _ in range(count)).encode())


def one_path(count: int, dice: random.Random) -> bytes:
    """One path of so many points."""
    x, y, rows = 400.0, 300.0, ["400 300 m"]
    for _ in range(count):
        x, y = x + dice.uniform(-3, 3), y + dice.uniform(-3, 3)
        rows.append(f"{x:.1f} {y:.1f} l")
    return pdf(("\n".join(rows) + " S").encode())


def rectangles(count: int, dice: random.Random) -> bytes:
    """Filled rectangles one over the other."""
    rows = [f"{dice.uniform(0, 700):.1f} {dice.uniform(0, 500):.1f} 120 80 re f" for _ in range(count)]
    return pdf("\n".join(rows).encode())


def dashes(count: int, dice: random.Random) -> bytes:
    """Lines with the finest dashes."""
    rows = [
        "[0.01 0.01] 0 d",
        *(f"0 {dice.uniform(0, 595):.2f} m 842 {dice.uniform(0, 595):.2f} l S" for _ in range(count)),
    ]
    return pdf("\n".join(rows).encode())


def dxf(*rows: str) -> bytes:
    """A drawing in mm with these pairs of lines."""
    head = ["0", "SECTION", "2", "HEADER", "9", "$INSUNITS", "70", "4", "0", "ENDSEC"]
    return "\n".join([*head, *rows, "0", "EOF", ""]).encode()


def line(x0: float, y0: float, x1: float, y1: float) -> list[str]:
    return ["0", "LINE", "8", "WALL", "10", f"{x0:.1f}", "20", f"{y0:.1f}", "11", f"{x1:.1f}", "21", f"{y1:.1f}"]


def dxf_lines(count: int, dice: random.Random) -> bytes:
    """Lines across one another, on a layer of walls."""
    rows = ["0", "SECTION", "2", "ENTITIES"]
    for _ in range(count):
        rows += line(*(dice.uniform(0, 20_000) for _ in range(4)))
    return dxf(*rows, "0", "ENDSEC")


def dxf_blocks(count: int, dice: random.Random) -> bytes:
    """Blocks within blocks: each holds the one before ten times."""
    del dice
    rows = ["0", "SECTION", "2", "BLOCKS"]
    for level in range(count):
        rows += ["0", "BLOCK", "8", "0", "2", f"B{level}", "70", "0", "10", "0", "20", "0"]
        if level == 0:
            rows += line(0, 0, 100, 100)
        for k in range(10 if level else 0):
            rows += ["0", "INSERT", "8", "WALL", "2", f"B{level - 1}", "10", f"{k * 10**level}", "20", "0"]
        rows += ["0", "ENDBLK"]
    rows += ["0", "ENDSEC", "0", "SECTION", "2", "ENTITIES", "0", "INSERT", "8", "WALL", "2", f"B{count - 1}"]
    return dxf(*rows, "10", "0", "20", "0", "0", "ENDSEC")


def dxf_arrays(count: int, dice: random.Random) -> bytes:
    """One block inserted in rows and columns."""
    del dice
    rows = ["0", "SECTION", "2", "BLOCKS", "0", "BLOCK", "8", "0", "2", "B", "70", "0", "10", "0", "20", "0"]
    rows += [*line(0, 0, 100, 100), "0", "ENDBLK", "0", "ENDSEC", "0", "SECTION", "2", "ENTITIES"]
    rows += ["0", "INSERT", "8", "WALL", "2", "B", "10", "0", "20", "0", "70", f"{min(count, 32767)}"]
    return dxf(*rows, "71", f"{min(count, 32767)}", "44", "150", "45", "150", "0", "ENDSEC")


def dxf_polyline(count: int, dice: random.Random) -> bytes:
    """One polyline of so many points, with bulges."""
    rows = ["0", "SECTION", "2", "ENTITIES", "0", "LWPOLYLINE", "8", "WALL", "90", f"{count}", "70", "1"]
    for _ in range(count):
        rows += [
            "10",
            f"{dice.uniform(0, 9e3):.0f}",
            "20",
            f"{dice.uniform(0, 9e3):.0f}",
            "42",
            f"{dice.uniform(-2600, 2600):.1f}",
        ]
    return dxf(*rows, "0", "ENDSEC")


SQUARE = ((0.0, 0.0), (4000.0, 0.0), (4000.0, 3000.0), (0.0, 3000.0))


def room(number: int, x_mm: float = 0.0, **given: object) -> dict[str, object]:
    sides = [{"id": f"r{number}-{k}", "x_mm": x + x_mm, "y_mm": y} for k, (x, y) in enumerate(SQUARE)]
    return {"id": f"r{number}", "name": f"Room {number}", "outline": sides, **given}


def job(**given: object) -> bytes:
    return json.dumps({"schema": "takeoff-job/2", "name": "Bomb", **given}).encode()


def wide(count: int, dice: random.Random) -> bytes:
    """So many rooms beside one another."""
    del dice
    return job(storeys=[{"id": "s", "rooms": [room(k, 4100.0 * k) for k in range(count)]}])


def over_one_another(count: int, dice: random.Random) -> bytes:
    """So many rooms in one place."""
    return job(storeys=[{"id": "s", "rooms": [room(k, dice.uniform(0, 50)) for k in range(count)]}])


def high(count: int, dice: random.Random) -> bytes:
    """So many storeys."""
    del dice
    return job(storeys=[{"id": f"s{k}", "level_mm": 2800.0 * k, "rooms": [room(k)]} for k in range(count)])


def star(count: int, dice: random.Random) -> bytes:
    """One room with so many corners."""
    import math

    del dice
    corners = [
        (
            5e3 + (4e3 + 900 * (k % 2)) * math.cos(2 * math.pi * k / count),
            5e3 + (4e3 + 900 * (k % 2)) * math.sin(2 * math.pi * k / count),
        )
        for k in range(count)
    ]
    outline = [{"id": f"c{k}", "x_mm": round(x, 2), "y_mm": round(y, 2)} for k, (x, y) in enumerate(corners)]
    return job(storeys=[{"id": "s", "rooms": [{"id": "r", "name": "Star", "outline": outline}]}])


def rooflight(count: int, dice: random.Random) -> bytes:
    """A rooflight whose side bends beyond all measure."""
    del dice
    corners = ((1000.0, 1000.0), (2000.0, 1000.0), (2000.0, 2000.0), (1000.0, 2000.0))
    outline = [(x, y, float(count) if k == 0 else 0.0) for k, (x, y) in enumerate(corners)]
    return job(storeys=[{"id": "s", "rooms": [room(0)], "rooflights": [{"id": "l", "room": "r0", "outline": outline}]}])


def bent(count: int, dice: random.Random) -> bytes:
    """A room whose side bends beyond all measure."""
    del dice
    sides = [
        {"id": f"r-{k}", "x_mm": x, "y_mm": y, "bulge": float(count) if k == 0 else 0.0}
        for k, (x, y) in enumerate(SQUARE)
    ]
    return job(storeys=[{"id": "s", "rooms": [{"id": "r", "name": "Bent", "outline": sides}]}])


def named(count: int, dice: random.Random) -> bytes:
    """A name of so many letters."""
    del dice
    return job(
        storeys=[{"id": "s", "rooms": [room(0, name="W" * count), room(1, 5000.0, name="wide word " * (count // 10))]}]
    )


def openings(count: int, dice: random.Random) -> bytes:
    """So many openings in one wall."""
    found = [
        {
            "id": f"o{k}",
            "kind": "window",
            "room": "r0",
            "side": "r0-0",
            "offset_mm": dice.uniform(0, 3000),
            "width_mm": 800.0,
            "sill_mm": 900.0,
            "head_mm": 2100.0,
        }
        for k in range(count)
    ]
    return job(storeys=[{"id": "s", "rooms": [room(0)], "openings": found}])


def nested(count: int, dice: random.Random) -> bytes:
    """JSON of so many brackets."""
    del dice
    return b'{"schema": "takeoff-job/2", "storeys": ' + b"[" * count + b"]" * count + b"}"


KINDS: dict[str, tuple[Callable[[int, random.Random], bytes], tuple[int, ...]]] = {
    "hatches.pdf": (hatches, (500, 2_000, 5_000, 13_000, 30_000, 60_000, 120_000)),
    "curves.pdf": (curves, (500, 2_000, 8_000, 30_000, 100_000, 200_000)),
    "path.pdf": (one_path, (1_000, 20_000, 100_000, 300_000, 1_000_000)),
    "rectangles.pdf": (rectangles, (500, 5_000, 20_000, 80_000)),
    "dashes.pdf": (dashes, (100, 1_000, 10_000)),
    "lines.dxf": (dxf_lines, (200, 1_000, 3_000, 10_000, 40_000)),
    "blocks.dxf": (dxf_blocks, (3, 5, 7, 9, 20)),
    "arrays.dxf": (dxf_arrays, (30, 200, 1_000, 32_767)),
    "polyline.dxf": (dxf_polyline, (50, 500, 5_000, 50_000)),
    "wide.json": (wide, (50, 200, 500, 2_000, 20_000)),
    "over.json": (over_one_another, (10, 50, 200)),
    "high.json": (high, (10, 50, 300, 5_000)),
    "star.json": (star, (100, 400, 1_500, 20_000)),
    "rooflight.json": (rooflight, (1, 10, 100, 2_600, 1_000_000)),
    "bent.json": (bent, (1, 3, 10, 100, 2_600, 1_000_000)),
    "named.json": (named, (300, 5_000, 50_000, 1_000_000)),
    "openings.json": (openings, (20, 100, 400, 3_000)),
    "nested.json": (nested, (500, 100_000)),
}


def bombs(count: int, seed: int = SEED) -> Iterator[Bomb]:
    """So many of them: each kind in each size, then again with other sizes between."""
    dice = random.Random(seed)
    plain = [(name, made, size) for name, (made, sizes) in KINDS.items() for size in sizes]
    between = (
        (name, made, round(dice.uniform(min(sizes) ** 0.5, max(sizes) ** 0.5) ** 2))
        for name, (made, sizes) in itertools.cycle(KINDS.items())
    )
    for name, made, size in itertools.islice(itertools.chain(plain, between), count):
        kind, _, suffix = name.partition(".")
        yield Bomb(f"{kind}-{size}.{suffix}", made(size, dice))


class Ran(NamedTuple):
    """How one ended: the exit code (negative: a signal), seconds of the processor, bytes, the last word."""

    code: int
    seconds: float
    most_bytes: int
    said: str

    @property
    def fault(self) -> str:
        """What is wrong with it; "" when nothing is."""
        if self.code not in (0, 1, 2):
            return f"ended with {self.code}"
        if any(word in self.said for word in WORDS_OF_PYTHON):
            return "Python's words"
        if self.seconds > SECONDS:
            return f"{self.seconds:.0f} s"
        return f"{self.most_bytes / 1e9:.1f} GB" if self.most_bytes > BYTES else ""


def limited() -> None:
    """In the new process, before the command: the system ends it beyond these."""
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS + 5, SECONDS + 6))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    os.nice(19)


def ran(file: Path, out: Path) -> Ran:
    """The command on this file, within limits. Its helpers count too."""
    begun = resource.getrusage(resource.RUSAGE_CHILDREN)
    with (out.parent / "said").open("w+b") as said:
        with subprocess.Popen(
            [sys.executable, __file__, "--one", str(file), str(out)],
            stdout=subprocess.PIPE,
            stderr=said,
            preexec_fn=limited,
        ) as program:
            printed, _ = program.communicate()
        said.seek(0)
        last = said.read().decode("utf-8", "replace").strip().splitlines()
    ended = resource.getrusage(resource.RUSAGE_CHILDREN)
    seconds = ended.ru_utime + ended.ru_stime - begun.ru_utime - begun.ru_stime
    words = printed.split()
    return Ran(
        program.returncode, seconds, int(words[-1]) if words and words[-1].isdigit() else 0, last[-1] if last else ""
    )


def one(file: str, out: str) -> int:
    """In the process with limits: the command, then the most memory that it or a helper held."""
    from takeoff.cli.main import run

    printed = os.dup(1)
    os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
    code = run(["measure", file, "-o", out, "--anew"])
    most = max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    os.write(printed, f"{most * 1024}\n".encode())
    return code


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--folder", type=Path)
    asked.add_argument("--count", type=int, default=200)
    asked.add_argument("--only", default="", help="those whose name begins so")
    asked.add_argument("--one", nargs=2, help=argparse.SUPPRESS)
    given = asked.parse_args()
    if given.one:
        return one(*given.one)
    given.folder.mkdir(parents=True, exist_ok=True)
    faults = 0
    for bomb in bombs(given.count):
        if not bomb.name.startswith(given.only):
            continue
        file = given.folder / bomb.name
        file.write_bytes(bomb.data)
        begun = time.monotonic()
        how = ran(file, given.folder / "out")
        faults += bool(how.fault)
        mark = f"FAULT {how.fault}" if how.fault else "ok"
        print(
            f"{bomb.name:22} {len(bomb.data) / 1e6:6.2f} MB {how.code:3} {how.seconds:5.1f} s "
            f"{how.most_bytes / 1e9:5.2f} GB ({time.monotonic() - begun:.0f} s) {mark}: {how.said[:150]}",
            flush=True,
        )
        file.unlink()
    print(f"{faults} faults")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
