"""A drawing whose unit its rooms have to tell: what was proposed on the way is what the user gets, not sought again."""

from __future__ import annotations

import importlib
from pathlib import Path

import ezdxf
import pytest

from takeoff.recognise.units import decide
from takeoff.services.opened.opening import open_file

proposing = importlib.import_module("takeoff.recognise.propose")


def two_rooms(path: Path) -> Path:
    """Two rooms of 4 × 3 m in mm with a way of 900 mm between them; the file gives no unit and no word."""
    doc = ezdxf.new(units=0)
    msp = doc.modelspace()
    doc.layers.add("A-WALL")
    for x0, y0, x1, y1 in ((-300, -300, 8400, 3300), (0, 0, 4000, 3000), (4100, 0, 8100, 3000)):
        msp.add_lwpolyline([(x0, y0), (x1, y0), (x1, y1), (x0, y1)], close=True, dxfattribs={"layer": "A-WALL"})
    doc.saveas(path)
    return path


def test_rooms_are_sought_once_where_they_tell_the_unit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    calls = []
    look = proposing.look
    monkeypatch.setattr(proposing, "look", lambda *given: calls.append(given) or look(*given))
    opened = open_file(two_rooms(tmp_path / "plan.dxf"))
    rooms = [room for storey in opened.job.storeys for room in storey.rooms]
    assert len(rooms) == 2
    units_tried = {given[0].unit for given in calls}
    assert len(calls) == len(units_tried)


def test_what_was_found_on_the_way_is_what_a_proposal_from_the_drawing_gives(tmp_path: Path) -> None:
    opened = open_file(two_rooms(tmp_path / "plan.dxf"))
    assert opened.raw is not None
    again, _ = proposing.propose(decide(opened.raw)[0])
    assert [s.rooms for s in opened.job.storeys] == [s.rooms for s in again.storeys]
    assert [s.openings for s in opened.job.storeys] == [s.openings for s in again.storeys]
