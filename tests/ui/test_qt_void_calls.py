"""Guards against a Qt binding that loses a reference to None on every call without a result."""

from __future__ import annotations

import subprocess
import sys

CALLS = """
from PySide6.QtGui import QPen
pen = QPen()
for k in range(20_000):
    pen.setCosmetic(bool(k % 2))
print("still here")
"""


def test_twenty_thousand_calls_without_a_result_leave_the_process_alive() -> None:
    # in a process of its own, since the fault aborts the interpreter
    command = [sys.executable, "-c", CALLS]
    done = subprocess.run(command, capture_output=True, text=True, timeout=300, check=False)
    assert (done.returncode, done.stdout.strip()) == (0, "still here"), done.stderr
