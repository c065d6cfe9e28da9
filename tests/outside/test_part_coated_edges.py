"""Lengths along part-coated walls, with and without openings, against lines cut with shapely."""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

import pytest
from msgspec.structs import replace
from shapely.affinity import translate
from shapely.geometry import LineString, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union
from test_part_coated import (
    HEIGHT_MM,
    LONG_MM,
    WIDE_MM,
    close,
    measured,
    random_holes,
    random_treatment,
    room_with,
    shape_of,
)

from takeoff.plan.model import Opening, Reveal, Strip, WallTreatment

DEPTH_MM = 100.0


def rectangles(rng: Random, length_mm: float) -> WallTreatment:
    """Bands and rectangles only, on a 100 mm grid, for lengths that shapely gives exactly."""
    treatment = random_treatment(rng, circles=False)
    keep = tuple(e for e in treatment.exclusions if len(e.outline) == 4)
    limits = {"start_mm": treatment.start_mm, "end_mm": treatment.end_mm}
    if rng.random() < 0.5 or sum(v or 0 for v in limits.values()) >= length_mm:
        limits = {"start_mm": None, "end_mm": None}
    return WallTreatment(bands=treatment.bands, exclusions=keep, **limits)


def coated_shape(treatment: WallTreatment, length_mm: float, openings: tuple[Opening, ...] = ()) -> BaseGeometry:
    face = box(0, 0, length_mm, HEIGHT_MM)
    for o in openings:
        face = face.difference(box(o.offset_mm, o.sill_mm, o.offset_mm + o.width_mm, o.head_mm))
    taken = [shape_of(e.outline) for e in treatment.exclusions]
    for band in treatment.bands:
        low, high = band.from_mm, band.to_mm
        if band.edge == "top":
            low, high = HEIGHT_MM - band.to_mm, HEIGHT_MM - band.from_mm
        taken.append(box(-1, low, length_mm + 1, high))
    if treatment.start_mm is not None or treatment.end_mm is not None:
        taken.append(box(treatment.start_mm or 0.0, -1, length_mm - (treatment.end_mm or 0.0), 9000))
    return face.difference(unary_union(taken))


def upright(u_mm: float) -> LineString:
    return LineString([(u_mm, 0), (u_mm, HEIGHT_MM)])


def level(z_mm: float, length_mm: float) -> LineString:
    return LineString([(0, z_mm), (length_mm, z_mm)])


def along(shape: BaseGeometry, line: BaseGeometry) -> BaseGeometry:
    """The part of a line on the border of a shape."""
    return shape.boundary.intersection(line)


@dataclass
class Lengths:
    """Sums over the walls of a room, mm."""

    wall_wall: float = 0.0
    wall_ceiling: float = 0.0
    floor_edge: float = 0.0
    coat_edge: float = 0.0
    arris: float = 0.0
    frame_joint: float = 0.0


def lengths_of(coats: list[BaseGeometry], long_mm: list[float], openings: tuple[Opening, ...]) -> Lengths:
    """What the coats of four walls give under a coated ceiling; the openings are in the first wall.

    A vertical corner counts over the heights where both walls are coated; where one is, it is a
    coat edge; so is every border of coat inside a face, and the ceiling's edge over bare wall.
    """
    made = Lengths()
    for i, (coat, length) in enumerate(zip(coats, long_mm, strict=True)):
        here = along(coat, upright(length))
        there = translate(along(coats[(i + 1) % 4], upright(0.0)), xoff=length)
        made.wall_wall += here.intersection(there).length
        made.coat_edge += here.symmetric_difference(there).length
        top = along(coat, level(HEIGHT_MM, length)).length
        made.wall_ceiling += top
        made.coat_edge += length - top
        made.floor_edge += along(coat, level(0.0, length)).length
        outer = (upright(0.0), upright(length), level(0.0, length), level(HEIGHT_MM, length))
        made.coat_edge += coat.boundary.length - sum(along(coat, edge).length for edge in outer)
    for opening in openings:
        add_opening(made, coats[0], opening)
    return made


def beyond_returns(o: Opening, treatment: WallTreatment) -> bool:
    """True for an opening in the stretch that returns leave bare: its strips stay bare too."""
    if treatment.start_mm is None and treatment.end_mm is None:
        return False
    first, last = treatment.start_mm or 0.0, LONG_MM - (treatment.end_mm or 0.0)
    return first <= o.offset_mm and o.offset_mm + o.width_mm <= last


def add_opening(made: Lengths, coat: BaseGeometry, o: Opening) -> None:
    """Jambs and head are coated, the sill is not; the wall around may be coated or not."""
    u0, u1 = o.offset_mm, o.offset_mm + o.width_mm
    strips = (
        LineString([(u0, o.sill_mm), (u0, o.head_mm)]),
        LineString([(u1, o.sill_mm), (u1, o.head_mm)]),
        LineString([(u0, o.head_mm), (u1, o.head_mm)]),
    )
    for strip in strips:
        both = along(coat, strip).length
        made.arris += both
        made.coat_edge += (strip.length - both) - both
        made.frame_joint += strip.length
    if o.sill_mm == 0:
        made.floor_edge += 2 * DEPTH_MM
    else:
        made.coat_edge += 2 * DEPTH_MM


@pytest.mark.parametrize("with_openings", [False, True], ids=["plain", "openings"])
@pytest.mark.parametrize("number", range(40))
def test_corners_and_coat_edges_of_part_coated_walls_follow_the_coat(number: int, with_openings: bool) -> None:
    rng = Random(1000 + number)
    long_mm = [LONG_MM, WIDE_MM, LONG_MM, WIDE_MM]
    treatments = [rectangles(rng, length) for length in long_mm]
    strip = Strip(depth_mm=DEPTH_MM)
    reveal = Reveal(start=strip, end=strip, head=strip, sill=Strip(depth_mm=DEPTH_MM, coat=False))
    openings = tuple(replace(o, reveal=reveal) for o in random_holes(rng)) if with_openings else ()
    coats = [
        coated_shape(treatment, length, () if i else openings)
        for i, (treatment, length) in enumerate(zip(treatments, long_mm, strict=True))
    ]
    coated = tuple(o for o in openings if not beyond_returns(o, treatments[0]))
    expected = lengths_of(coats, long_mm, coated)
    room = measured(room_with(treatments), openings)
    assert room.internal_corner_m["wall_wall"] == close(expected.wall_wall / 1000)
    assert room.internal_corner_m["wall_ceiling"] == close(expected.wall_ceiling / 1000)
    assert room.internal_corner_m["reveal"] == close(2 * len(coated) * DEPTH_MM / 1000)
    assert room.floor_edge_m == close(expected.floor_edge / 1000)
    assert room.coat_edge_m == close(expected.coat_edge / 1000)
    assert room.frame_joint_m == close(expected.frame_joint / 1000)
    assert room.external_corner_m == close(expected.arris / 1000)
    assert room.wall_net_m2 == close(sum(coat.area for coat in coats) * 1e-6)
