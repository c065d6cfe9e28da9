"""The command works where there is no screen, and starts without what it does not need."""

from __future__ import annotations

import subprocess
import sys

HEAVY = ("ezdxf", "scipy", "reportlab", "xlsxwriter", "shapely", "numpy", "rich")


def loaded_after(statement: str) -> set[str]:
    program = f"import sys; {statement}; print(' '.join(sys.modules))"
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", program], capture_output=True, text=True, timeout=300, check=True
    )
    return set(done.stdout.split())


def test_command_starts_without_heavy_libraries() -> None:
    loaded = loaded_after("import takeoff.cli.main")
    assert "click" in loaded
    assert loaded.isdisjoint(HEAVY)


def test_nothing_below_the_window_loads_qt() -> None:
    loaded = loaded_after("import takeoff.cli.main, takeoff.services.opened.opening, takeoff.services.written.writing")
    assert not any("Qt" in name or name.startswith("PySide") for name in loaded)
