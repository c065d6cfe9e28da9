"""The command as a user has it: in this process for what it says and writes, as one of its own where that is asked."""

from __future__ import annotations

import contextlib
import io
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from takeoff.cli.main import run
from takeoff.language import use_language, use_region

CHECKOUT = Path(__file__).parents[2]
Takeoff = Callable[..., subprocess.CompletedProcess[str]]


@pytest.fixture(scope="session")
def samples() -> Path:
    return CHECKOUT / "sample_plans"


@pytest.fixture
def takeoff() -> Takeoff:
    """Runs ``takeoff`` with the given arguments in this process, with a standard output that is no terminal.

    ``takeoff_process`` is the same as a process; that both say and write the same is a test of its own.
    """

    def here(*arguments: object, **environment: str) -> subprocess.CompletedProcess[str]:
        words = [str(argument) for argument in arguments]
        out, told = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True) for _ in range(2))
        kept = dict(os.environ)
        os.environ.update(environment)
        try:
            with contextlib.redirect_stdout(out), contextlib.redirect_stderr(told):
                code = run(words)
        finally:
            use_language("en")
            use_region("")
            os.environ.clear()
            os.environ.update(kept)
        texts = (stream.buffer.getvalue().decode("utf-8").replace(os.linesep, "\n") for stream in (out, told))
        return subprocess.CompletedProcess(words, code, *texts)

    return here


@pytest.fixture(scope="session")
def takeoff_process() -> Takeoff:
    """Runs ``takeoff`` with the given arguments as a process, nothing attached to a terminal."""

    def started(*arguments: object, **environment: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-W", "error", "-m", "takeoff.cli.main", *map(str, arguments)],
            capture_output=True,
            text=True,
            encoding="utf-8",
            timeout=300,
            check=False,
            stdin=subprocess.DEVNULL,
            env={**os.environ, "PYTHONIOENCODING": "utf-8", **environment},
        )

    return started
