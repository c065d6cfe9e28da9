"""What is doubtful comes out as to be checked or is asked: a room smaller than is written in it, a porch, a yard behind
a gate, a unit that nothing but the file's header speaks for."""

from __future__ import annotations

import math

import numpy as np
import pytest
from drawn import Sheet, two_rooms
from test_rooms_found import codes, rooms

from takeoff.drawing.model import Claim, Dimension, Drawing, Layer, Linework
from takeoff.plan.model import Room
from takeoff.plan.reasons import says
from takeoff.recognise import propose
from takeoff.recognise.names.plan_words import read
from takeoff.recognise.units import decide

QUARTER = math.tan(math.pi / 8)
INNER = [(4000, 0), (4000, 1000), (4100, 1000), (4100, 0), (7100, 0), (7100, 3000), (4100, 3000), (4100, 1900)]
INNER += [(4000, 1900), (4000, 3000), (0, 3000), (0, 0), (1000, 0)]


def proposed(sheet: Sheet) -> dict[str, Room]:
    return {r.name: r for r in rooms(propose(sheet.drawing())[0])}


@pytest.mark.parametrize(
    ("size", "confidence"),
    [("4.0 X 3.0 M", "sure"), ("4,10 x 3,10 m", "sure"), ("4.0 X 3.6 M", "check"), ("13'2\" x 11'6\"", "check")],
)
def test_a_room_smaller_than_is_written_in_it_is_to_be_checked(size: str, confidence: str) -> None:
    """The left room has 4 × 3 = 12.0 m²; written are 12.0, 12.71, 14.4 and 4.01 × 3.51 = 14.07 m²."""
    room = proposed(two_rooms().word(size, 1500, 1200))["Kitchen"]
    assert room.confidence == confidence
    assert any(says(reason, "less-than-written") for reason in room.evidence) == (confidence == "check")


def test_the_size_of_a_room_is_no_part_of_its_name() -> None:
    assert [w.kind for w in read("BEDROOM\n3.5 X 4.5 M")] == ["name", "room-size"]
    assert [w.kind for w in read("900x2100")] == ["size"]


def with_porch(layer: str) -> Sheet:
    """The plan of two rooms with a door of 900 in the outer wall of 300, and before it a porch of 3 × 1.5 m with a word
    in it, its parapet of 200."""
    sheet = two_rooms()
    sheet.segments = [s for s in sheet.segments if s[-1] != "A-WALL"]
    sheet.ring((1000, -300), (-300, -300), (-300, 3300), (7400, 3300), (7400, -300), (1900, -300), (1900, 0), *INNER)
    sheet.line(1000, 0, 1000, 900, "A-DOOR")
    sheet.arcs.append((1900, 0, 1000, 900, QUARTER, "A-DOOR"))
    sheet.line(0, -300, 0, -2000, layer).line(0, -2000, 3400, -2000, layer).line(3400, -2000, 3400, -300, layer)
    sheet.line(200, -300, 200, -1800, layer).line(200, -1800, 3200, -1800, layer).line(3200, -1800, 3200, -300, layer)
    return sheet.word("MD", 1500, -1000)


def test_what_lines_of_a_porch_close_is_to_be_checked() -> None:
    for layer in ("PORCH", "A-BALCONY", "TERRACE_EDGE"):
        room = proposed(with_porch(layer))["MD"]
        assert room.confidence == "check"
        assert any(says(reason, "lines-of-outdoors") for reason in room.evidence), layer
    assert proposed(with_porch("A-WALL"))["MD"].confidence == "sure"


def gated(thick: float) -> Sheet:
    """Spaces of 4 × 3 m and 3 × 3 m in walls of 300 that neither layer nor word tells, the gate between both in what is
    so thick."""
    sheet = Sheet().box(-300, -300, 7300 + thick, 3300, "0")
    far = 4000 + thick
    ring = [
        (0, 0),
        (4000, 0),
        (4000, 1000),
        (far, 1000),
        (far, 0),
        (7000 + thick, 0),
        (7000 + thick, 3000),
        (far, 3000),
    ]
    sheet.ring(*ring, (far, 1900), (4000, 1900), (4000, 3000), (0, 3000), layer="0")
    sheet.line(4000, 1000, 3100, 1000, "0")
    sheet.arcs.append((4000, 1900, 3100, 1000, QUARTER, "0"))
    return sheet


@pytest.mark.parametrize(("thick", "confidence"), [(100, "sure"), (60, "sure"), (30, "check")])
def test_a_space_with_nothing_but_a_gate_in_a_panel_is_to_be_checked(thick: float, confidence: str) -> None:
    found = rooms(propose(gated(thick).drawing())[0])
    assert [r.confidence for r in found] == [confidence] * 2
    assert all(any(says(reason, "only-through-panel") for reason in r.evidence) == (thick == 30) for r in found)


def hall(declared: str, swings: int) -> Drawing:
    """A hall of 25 × 20 units in walls of 0.4, of its quarter circles so many with a radius of 0.9; 2.50 is written
    where it is 2.5, and the header is one of feet."""
    ends = np.array([(0, 0), (25, 0), (25, 20), (0, 20)], float)
    inner = np.array([(0.4, 0.4), (24.6, 0.4), (24.6, 19.6), (0.4, 19.6)])
    lines = np.concatenate([np.concatenate((p, np.roll(p, -1, axis=0)), axis=1) for p in (ends, inner)])
    radii = [0.9] * swings + [0.2]
    arcs = np.array([[5 * k + 5 + r, 5, 5 * k + 5, 5 + r, QUARTER] for k, r in enumerate(radii)])
    zeros = np.zeros(len(lines), np.int32)
    none = np.zeros(len(arcs), np.int32)
    return Drawing(
        name="hall.dxf",
        layers=(Layer("0"),),
        declared_unit=declared,
        lines=Linework(lines, zeros, zeros, arcs, none, none),
        dimensions=(Dimension(0, 0, 2.5, 0, 2.5, "2.50", None, 0),),
        claims=(Claim(kind="header", source="header", values=(("$MEASUREMENT", 0.0),)),),
    )


def test_a_unit_is_asked_where_doors_speak_against_what_only_the_header_says() -> None:
    """2.50 may be feet or metres; a swing of 0.9 is 274 mm in feet, and a door's only in metres."""
    _, findings = decide(hall("ft", swings=1))
    assert "unit-undecided" in codes(findings)
    drawn, findings = decide(hall("m", swings=1))
    assert (drawn.unit, "unit-undecided" in codes(findings)) == ("m", False)
    drawn, findings = decide(hall("ft", swings=0))
    assert (drawn.unit, "unit-undecided" in codes(findings)) == ("ft", False)
