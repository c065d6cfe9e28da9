"""What the command measures of the job as the window holds it: written, opened and measured anew."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

from takeoff.measure import Memory
from takeoff.services.measured.job_result import Measured, job_json, measure_job
from takeoff.services.opened.opening import open_file
from takeoff.ui.window.main_window import MainWindow
from takeoff.views.board import stand


def totals_by_command(window: MainWindow, folder: Path) -> dict[str, Decimal]:
    """The totals of the command's own takeoff, printed as the window prints them."""
    return _totals(_measured(window, folder))


def assert_as_command(window: MainWindow, folder: Path) -> None:
    """Every total on screen is the command's, and every unrounded figure of every room too."""
    measured = _measured(window, folder)
    assert window.document.state.takeoff.rooms == measured.takeoff.rooms
    shown = {name: total for name, total in window.document.state.totals.items() if total}
    assert shown == {name: total for name, total in _totals(measured).items() if total}


def _measured(window: MainWindow, folder: Path) -> Measured:
    path = folder / "as-it-stands.json"
    path.write_bytes(job_json(window.document.job))
    return measure_job(open_file(path))


def _totals(measured: Measured) -> dict[str, Decimal]:
    state = stand(measured.job, Memory())
    assert {room.room: room for room in state.takeoff.rooms} == {room.room: room for room in measured.takeoff.rooms}
    return dict(state.totals)
