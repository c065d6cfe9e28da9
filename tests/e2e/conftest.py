"""The command as a user has it: a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).parents[2]
Takeoff = Callable[..., subprocess.CompletedProcess[str]]


@pytest.fixture(scope="session")
def samples() -> Path:
    return CHECKOUT / "sample_plans"


@pytest.fixture(scope="session")
def takeoff() -> Takeoff:
    """Runs ``takeoff`` with the given arguments, nothing attached to a terminal."""

    def run(*arguments: object, **environment: str) -> subprocess.CompletedProcess[str]:
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

    return run
