"""The guided first pass in a real window on a virtual screen at a fractional scale; the usual one is a newcomer's."""

from __future__ import annotations

from pathlib import Path

from virtual_screen import needs_a_screen, on_screen

CHECKOUT = Path(__file__).parents[2]


@needs_a_screen
def test_two_drawings_to_a_scope_on_a_real_screen() -> None:
    test = ("tests/ui/test_guided_pass.py", "-k", "terrace_of_two_drawings")
    plain = ("-q", "-p", "no:cacheprovider", "-p", "no:xdist")
    done = on_screen("-m", "pytest", *plain, *test, in_folder=CHECKOUT, QT_SCALE_FACTOR="1.5")
    assert done.returncode == 0, done.stdout[-3000:]
    assert "1 passed" in done.stdout
