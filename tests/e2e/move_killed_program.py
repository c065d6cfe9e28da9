"""The command ``measure -o``, killed again and again while it moves its files into their places.

``move_killed_program.py FOLDER KILLS``: each kill strikes before another of the changes to the disk, from the
first that has to do with the move; prints how many kills there were and after how many the new files counted.
"""

from __future__ import annotations

import contextlib
import io
import os
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "files"))

from killed_moves import killed_at_each

from takeoff.cli.main import run
from takeoff.files.together import PREFIX, finish
from takeoff.plan.model import Job, Room, Side, Storey
from takeoff.storage import jobs

CORNERS = ((0.0, 0.0), (3000.0, 0.0), (3000.0, 2000.0), (0.0, 2000.0))
ROOM = Room(id="r", name="Store", outline=tuple(Side(id=f"s{k}", x_mm=x, y_mm=y) for k, (x, y) in enumerate(CORNERS)))
KEPT = f"{os.sep}old"
"""Where the move puts by what was there: its first change to the disk."""
MOMENTS = 200
"""More than a move has."""
LIKE_A_RUN = 20
"""After so many kills a run to the end shows that a killed one is in nobody's way."""


def measured(job: Path, folder: Path, day: int) -> None:
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        code = run(["measure", str(job), "-o", str(folder), "--date", f"2031-05-{day:02}"])
    assert code == 0, code


def tree(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in sorted(folder.rglob("*")) if p.is_file()}


def killed(home: Path, kills: int) -> tuple[int, int]:
    """(kills, after how many of them the new files counted). Raises AssertionError for a folder that is not whole."""
    job, folder = home / "job.json", home / "out"
    job.write_bytes(jobs.dump(Job(name="Mill house", storeys=(Storey(id="s0", rooms=(ROOM,)),))))
    whole = {}
    for day in (2, 1):
        measured(job, folder, day)
        whole[day] = tree(folder)
    assert whole[1].keys() == whole[2].keys()
    assert whole[1]["scope.pdf"] != whole[2]["scope.pdf"]
    done, new, lies = 0, 0, 1

    def measured_anew() -> None:
        measured(job, folder, 3 - lies)

    stride = max(1, MOMENTS // (2 * kills))
    while done < kills:
        moments = range(done % stride, MOMENTS, stride)
        for _ in killed_at_each(measured_anew, moments, KEPT):
            there = tree(folder)
            assert whole[lies].keys() <= there.keys(), f"kill {done}: {whole[lies].keys() - there.keys()} missing"
            finish(folder)
            now = tree(folder)
            assert now in whole.values(), f"kill {done}: old and new stand together"
            assert not [path for path in folder.iterdir() if path.name.startswith(PREFIX)]
            new, done = new + (now != whole[lies]), done + 1
            lies = 1 if now == whole[1] else 2
            if done % LIKE_A_RUN == 0:
                measured(job, folder, 3 - lies)
                lies = 3 - lies
                assert tree(folder) == whole[lies]
            if done == kills:
                return done, new
        now = tree(folder)  # the last came to their end
        assert now in whole.values()
        lies = 1 if now == whole[1] else 2
    return done, new


if __name__ == "__main__":
    print(*killed(Path(sys.argv[1]), int(sys.argv[2])))
