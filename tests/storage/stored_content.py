"""A job with everything that a job file can hold, all of it invented."""

from __future__ import annotations

import numpy as np
from msgspec.structs import replace

from takeoff.drawing.model import Claim, Dimension, Drawing, Label, Layer, LineSource, Linework, Loop, Picture, Symbol
from takeoff.errors import Finding, Where
from takeoff.plan.job_drawings import FIRST, with_origin
from takeoff.plan.model import (
    CeilingTreatment,
    DrawingRef,
    Job,
    Opening,
    OpeningId,
    Room,
    RoomId,
    Side,
    SideId,
    Storey,
    StoreyId,
    WallTreatment,
)
from takeoff.storage.content import Content, SourceFile, attachment, heavy_parts

PICTURE_BYTES = bytes(range(256)) * 4


def kitchen_job(window_width_mm: float = 1200.0) -> Job:
    corners = [(0.0, 0.0), (5000.0, 0.0), (5000.0, 4000.0), (0.0, 4000.0)]
    sides = tuple(Side(id=SideId(f"s{i}"), x_mm=x, y_mm=y) for i, (x, y) in enumerate(corners))
    # files of that time wrote what walls and ceilings were taken for as if it had been said
    walls, ceiling = WallTreatment(substrate="plaster"), CeilingTreatment(substrate="plasterboard")
    room = Room(id=RoomId("r1"), name="Küche", outline=sides, walls=walls, ceiling_treatment=ceiling)
    window = Opening(
        id=OpeningId("o1"),
        kind="window",
        room=RoomId("r1"),
        side=SideId("s0"),
        offset_mm=1000.0,
        width_mm=window_width_mm,
        sill_mm=900.0,
        head_mm=2100.0,
    )
    storey = Storey(id=StoreyId("g"), name="Ground", rooms=(room,), openings=(window,))
    return with_origin(Job(name="Demo kitchen", storeys=(storey,)), DrawingRef(id=FIRST, name="kitchen.dxf"))


def kitchen_drawing() -> Drawing:
    segments = np.array([[0.0, 0, 5000, 0], [5000, 0, 5000, 4000], [5000, 4000, 0, 4000]])
    lines = Linework(
        segments,
        np.array([0, 1, 0], np.int32),
        np.array([0, 0, 1], np.int32),
        np.array([[0.0, 0, 900, 900, 0.41]]),
        np.array([1], np.int32),
        np.array([1], np.int32),
    )
    return Drawing(
        name="kitchen.dxf",
        layers=(Layer("WALLS"), Layer("DOORS", "off", 3)),
        lines=lines,
        loops=(Loop(((0.0, 0.0, 0.0), (1.0, 0.0, 0.5), (1.0, 1.0, 0.0)), 0),),
        labels=(Label("Küche 20,0 m²", 2500.0, 2000.0, 200.0, 0),),
        symbols=(Symbol("DOOR", 1.0, 2.0, 1.0, -1.0, 90.0, 1, (0.0, 0.0, 1.0, 1.0), (("W", "900"),)),),
        dimensions=(Dimension(0.0, 0.0, 5000.0, 0.0, 5000.0, "<>", None, 0),),
        claims=(Claim("space", "#1", ((0.0, 0.0, 0.0),), (("height", 2400.0),), (("name", "Küche"),)),),
        sources=(LineSource("LINE", "1F"), LineSource("ARC", "20", "DOOR")),
        declared_unit="mm",
        unit="mm",
        unit_mm=1.0,
        picture=Picture("0" * 64, 10, 20),
    )


def full_content() -> Content:
    return Content(
        job=kitchen_job(),
        drawings={FIRST: kitchen_drawing()},
        findings=(Finding("unit-declared", "note", "The drawing says mm.", Where(layer="WALLS")),),
        pictures=(attachment(PICTURE_BYTES, ".JPG"), attachment(b"second", ".png")),
        source=SourceFile("kitchen.dxf", b"0\nSECTION\n0\nENDSEC\n0\nEOF\n"),
        view={"zoom": 0.25, "storey": "g", "layers": ["WALLS"]},
    )


def assert_same(one: Content, other: Content) -> None:
    """Equal in everything; of drawings every array and word, byte by byte."""
    assert replace(one, drawings={}) == replace(other, drawings={})
    assert heavy_parts(one) == heavy_parts(other)
    assert one.drawings.keys() == other.drawings.keys()
