"""The same job gives the same bytes: at any speed, in any country's settings, with or without a console.

``TAKEOFF_ENVIRONMENTS=20`` tries all environments, and both slower speeds (some two minutes).
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

SAMPLES = Path(__file__).parents[2] / "sample_plans"
COUNT = int(os.environ.get("TAKEOFF_ENVIRONMENTS", "1"))
TURN_S = 0.05
ENVIRONMENTS: tuple[dict[str, str], ...] = (
    {"LC_ALL": "C", "TZ": "Pacific/Kiritimati", "PYTHONHASHSEED": "1", "outlets": ">&- 2>&-", "HOME": "/proc/none"},
    {"LC_ALL": "tr_TR.UTF-8"},
    {"LC_ALL": "de_DE.UTF-8", "LANG": "de_DE.UTF-8"},
    {"LC_ALL": "C.UTF-8"},
    {"LC_ALL": "POSIX", "PYTHONUTF8": "0"},
    {"TZ": "Asia/Kolkata"},
    {"TZ": "America/St_Johns"},
    {"TZ": "nonsense"},
    {"PYTHONHASHSEED": "0"},
    {"PYTHONHASHSEED": "4294967295"},
    {"PYTHONUNBUFFERED": "1"},
    {"PYTHONOPTIMIZE": "1"},
    {"TERM": "dumb", "COLUMNS": "20"},
    {"COLUMNS": "500", "NO_COLOR": "1"},
    {"XDG_STATE_HOME": "/proc/none", "XDG_DATA_HOME": "/proc/none", "XDG_CACHE_HOME": "/proc/none"},
    {"HOME": "", "XDG_STATE_HOME": ""},
    {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"},
    {"OMP_NUM_THREADS": "8", "OPENBLAS_NUM_THREADS": "8"},
    {"outlets": ">/dev/null 2>&-"},
    {"SOURCE_DATE_EPOCH": "1"},
)


def written(folder: Path, environment: dict[str, str], times: int = 1) -> dict[str, bytes]:
    """Every file that the command writes of the sample job in this environment, at so small a part of the speed."""
    outlets = environment.get("outlets", ">/dev/null")
    command = [sys.executable, "-m", "takeoff.cli.main", "measure", str(SAMPLES / "terrace.job.json")]
    with subprocess.Popen(
        ["sh", "-c", f'exec "$@" {outlets}', "sh", *command, "-o", str(folder), "--date", "2031-05-20"],
        env={**os.environ, **{name: value for name, value in environment.items() if name != "outlets"}},
        stdin=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
    ) as done:
        if times > 1:
            slow_down(done, times)
        _, said = done.communicate(timeout=600)
    assert done.returncode in (0, 1), said
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def slow_down(program: subprocess.Popen[bytes], times: int) -> None:
    """Stops the program again and again until it ends, so that its clock goes so many times as fast as its work. It
    costs the computer nothing, and what else it does makes the program only slower."""
    while program.poll() is None:
        time.sleep(TURN_S)
        program.send_signal(signal.SIGSTOP)
        time.sleep(TURN_S * (times - 1))
        program.send_signal(signal.SIGCONT)


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    return written(tmp_path_factory.mktemp("plain") / "out", {})


@pytest.mark.skipif(sys.platform == "win32", reason="the outlets are closed by a shell")
@pytest.mark.parametrize("which", range(min(COUNT, len(ENVIRONMENTS))))
def test_the_same_job_gives_the_same_bytes_everywhere(plain: dict[str, bytes], tmp_path: Path, which: int) -> None:
    again = written(tmp_path / "out", ENVIRONMENTS[which])
    assert len(again) > 15
    assert [name for name in plain.keys() | again.keys() if plain.get(name) != again.get(name)] == []


@pytest.mark.skipif(COUNT == 1, reason="the long form: TAKEOFF_ENVIRONMENTS=20")
@pytest.mark.parametrize("times", [3, 6])
def test_the_same_job_gives_the_same_bytes_at_a_part_of_the_speed(
    plain: dict[str, bytes], tmp_path: Path, times: int
) -> None:
    assert written(tmp_path / "out", {}, times) == plain
