"""Blocks: nested, scaled, mirrored, turned, arrayed; checked against the library's own way."""

from __future__ import annotations

import math
import random
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from dxf_making import codes, made, read_made, total_length
from ezdxf import disassemble

from takeoff.readers.dxf import read


def door(doc) -> None:
    block = doc.blocks.new("DOOR", base_point=(0, 0))
    block.add_line((0, 0), (900, 0))
    block.add_arc((0, 0), 900, 0, 90, dxfattribs={"layer": "SWING"})


def test_entities_on_layer_0_of_a_block_take_the_layer_of_the_insert(tmp_path: Path) -> None:
    def draw(doc, m):
        door(doc)
        m.add_blockref("DOOR", (1000, 2000), dxfattribs={"layer": "A-DOOR"})

    d, _ = read_made(tmp_path, draw)
    assert d.layers[d.lines.segment_layer[0]].name == "A-DOOR"
    assert d.layers[d.lines.arc_layer[0]].name == "SWING"
    assert d.lines.segments[0].tolist() == [1000, 2000, 1900, 2000]
    (symbol,) = d.symbols
    assert (symbol.name, symbol.x, symbol.y) == ("DOOR", 1000, 2000)
    assert symbol.box == pytest.approx((1000, 2000, 1900, 2900))
    source = d.sources[d.lines.arc_source[0]]
    assert (source.entity, source.block, source.handle) == ("ARC", "DOOR", symbol.handle)


def test_a_frozen_insert_takes_all_of_its_block_along(tmp_path: Path) -> None:
    def draw(doc, m):
        door(doc)
        doc.layers.add("GONE").freeze()
        m.add_blockref("DOOR", (0, 0), dxfattribs={"layer": "GONE"})

    d, _ = read_made(tmp_path, draw)
    assert {d.layers[i].name for i in (*d.lines.segment_layer, *d.lines.arc_layer)} == {"GONE"}


def test_a_mirrored_door_keeps_its_swing_and_turns_it_round(tmp_path: Path) -> None:
    def draw(doc, m):
        door(doc)
        m.add_blockref("DOOR", (0, 0), dxfattribs={"xscale": -1})

    d, _ = read_made(tmp_path, draw)
    assert d.lines.arcs[0] == pytest.approx([-900, 0, 0, 900, -math.tan(math.pi / 8)])


def test_unequal_scale_makes_chords_and_says_nothing_false(tmp_path: Path) -> None:
    def draw(doc, m):
        door(doc)
        m.add_blockref("DOOR", (0, 0), dxfattribs={"xscale": 2, "yscale": 1})

    d, _ = read_made(tmp_path, draw)
    assert len(d.lines.arcs) == 0
    # A quarter of an ellipse with axes 1800 and 900: a quarter of 9.688448 · 0.9 m.
    assert total_length(d) == pytest.approx(1800 + 9688.448 * 0.9 / 4, rel=2e-4)


def test_an_array_is_spaced_along_its_turned_axes_without_scaling(tmp_path: Path) -> None:
    def draw(doc, m):
        door(doc)
        m.add_blockref(
            "DOOR",
            (100, 0),
            dxfattribs={
                "row_count": 2,
                "column_count": 3,
                "row_spacing": 5000,
                "column_spacing": 1000,
                "rotation": 90,
                "xscale": 2,
                "yscale": 2,
            },
        )

    d, _ = read_made(tmp_path, draw)
    assert len(d.symbols) == 6
    starts = {(round(x), round(y)) for x, y in d.lines.segments[:, :2]}
    assert starts == {(100 - r * 5000, c * 1000) for r in (0, 1) for c in (0, 1, 2)}


def test_attributes_belong_to_the_symbol_and_are_labels_where_they_show(tmp_path: Path) -> None:
    def draw(doc, m):
        door(doc)
        ref = m.add_blockref("DOOR", (0, 0))
        ref.add_attrib("MARK", "D01", (100, 100))
        ref.add_attrib("COST", "99", (100, 0)).is_invisible = True

    d, _ = read_made(tmp_path, draw)
    assert d.symbols[0].attributes == (("MARK", "D01"), ("COST", "99"))
    assert [(w.text, w.tag, w.block) for w in d.labels] == [("D01", "MARK", "DOOR")]


def test_blocks_that_contain_themselves_are_said_and_do_not_hang(tmp_path: Path) -> None:
    def draw(doc, m):
        for name, other in (("A", "B"), ("B", "A")):
            block = doc.blocks.new(name)
            block.add_line((0, 0), (1, 0))
            block.add_blockref(other, (0, 1))
        m.add_blockref("A", (0, 0))

    d, found = read_made(tmp_path, draw)
    assert len(d.lines) == 2
    assert "block-cycle" in codes(found)


def test_blocks_nested_too_deep_are_told_and_not_called_cycles(tmp_path: Path) -> None:
    def draw(doc, m):
        doc.blocks.new("B0").add_line((0, 0), (1, 1))
        for i in range(1, 200):
            doc.blocks.new(f"B{i}").add_blockref(f"B{i - 1}", (1, 1))
        m.add_blockref("B199", (0, 0))
        m.add_line((0, 0), (5, 0))

    _, found = read_made(tmp_path, draw)
    assert "block-depth" in codes(found)
    assert "block-cycle" not in codes(found)


def test_a_missing_block_and_an_external_reference_are_named(tmp_path: Path) -> None:
    def draw(doc, m):
        m.add_line((0, 0), (1, 0))
        m.add_blockref("NOT THERE", (0, 0))
        doc.add_xref_def("../survey/ground floor.dwg", "GF")
        m.add_blockref("GF", (5, 7))

    _, found = read_made(tmp_path, draw)
    by_code = {f.code: f for f in found}
    assert "1 NOT THERE" in f"{by_code['block-missing'].text} {by_code['block-missing'].evidence}"
    assert "ground floor.dwg" in f"{by_code['xref-not-read'].text} {by_code['xref-not-read'].evidence}"
    assert (by_code["xref-not-read"].where.x_mm, by_code["xref-not-read"].where.y_mm) == (5, 7)


def test_blocks_that_multiply_beyond_measure_are_left_out_quickly(tmp_path: Path) -> None:
    def draw(doc, m):
        m.add_line((0, 0), (1, 0))
        doc.blocks.new("L0").add_line((0, 0), (1, 0))
        for i in range(1, 12):
            block = doc.blocks.new(f"L{i}")
            for k in range(10):
                block.add_blockref(f"L{i - 1}", (k, i))
        m.add_blockref("L11", (0, 0))
        m.add_blockref(
            "L0",
            (0, 0),
            dxfattribs={"row_count": 30_000, "column_count": 30_000, "row_spacing": 1, "column_spacing": 1},
        )

    d, found = read_made(tmp_path, draw)
    assert "block-limit" in codes(found)
    assert len(d.lines) < 3_000_000


def test_a_dynamic_block_is_called_by_the_name_a_person_gave(tmp_path: Path) -> None:
    def draw(doc, m):
        door(doc)
        doc.appids.add("AcDbBlockRepBTag")
        copy = doc.blocks.new("*U7")
        copy.add_line((0, 0), (800, 0))
        handle = doc.blocks.get("DOOR").block_record_handle
        copy.block_record.set_xdata("AcDbBlockRepBTag", [(1070, 1), (1005, handle)])
        m.add_blockref("*U7", (0, 0))

    d, _ = read_made(tmp_path, draw)
    assert d.symbols[0].name == "DOOR"


def test_a_turned_block_within_an_unequally_scaled_one_is_sheared(tmp_path: Path) -> None:
    def draw(doc, m):
        doc.blocks.new("IN").add_line((0, 0), (1000, 0))
        doc.blocks.new("OUT").add_blockref("IN", (0, 0), dxfattribs={"rotation": 45})
        m.add_blockref("OUT", (0, 0), dxfattribs={"xscale": 3})

    d, _ = read_made(tmp_path, draw)
    half = 1000 / math.sqrt(2)
    assert d.lines.segments[0] == pytest.approx([0, 0, 3 * half, half])


def test_an_array_within_a_scaled_block_is_scaled_with_its_spacing(tmp_path: Path) -> None:
    def draw(doc, m):
        doc.blocks.new("IN").add_line((0, 0), (10, 0))
        row = {"column_count": 3, "column_spacing": 100}
        doc.blocks.new("OUT").add_blockref("IN", (0, 0), dxfattribs=row)
        m.add_blockref("OUT", (0, 0), dxfattribs={"xscale": -2, "yscale": 2})

    d, _ = read_made(tmp_path, draw)
    assert d.lines.segments.tolist() == [[0, 0, -20, 0], [-200, 0, -220, 0], [-400, 0, -420, 0]]


def random_blocks(seed: int):
    """Blocks in blocks. Only the innermost is scaled unequally and only the outermost arrayed: the
    library neither shears a turned block nor scales the spacing of an array within a block."""
    rng = random.Random(seed)

    def attributes(leaf: bool, top: bool = False) -> dict:
        size = rng.choice([1, 0.5, 3])
        return {
            "rotation": rng.choice([0, 90, 33.3, 200]),
            "xscale": size * rng.choice([1, -1]),
            "yscale": size * rng.choice([1, -1, 1.7 if leaf else 1]),
            "extrusion": (0, 0, rng.choice([1, 1, -1])),
            "row_count": rng.choice([1, 2]) if top else 1,
            "column_count": rng.choice([1, 3]) if top else 1,
            "row_spacing": 700,
            "column_spacing": rng.choice([0, 1300]),
        }

    def place():
        return (rng.uniform(-5000, 5000), rng.uniform(-5000, 5000))

    def draw(doc, m):
        names = []
        for i in range(4):
            block = doc.blocks.new(f"B{i}", base_point=place())
            block.add_line(place(), place())
            block.add_arc(place(), 450, rng.uniform(0, 360), rng.uniform(0, 360))
            block.add_circle(place(), 120, dxfattribs={"extrusion": rng.choice([(0, 0, 1), (0, 0, -1)])})
            corners = [(*place(), rng.choice([0, 0.4, -1.5])) for _ in range(4)]
            block.add_lwpolyline(corners, format="xyb", close=True)
            for name in names[-2:]:
                block.add_blockref(name, place(), dxfattribs=attributes(name == "B0"))
            names.append(f"B{i}")
        for name in names[-2:]:
            m.add_blockref(name, place(), dxfattribs=attributes(leaf=False, top=True))

    return draw


def points_on(d) -> np.ndarray:
    """Ends of all segments and 65 points on each arc, by the inscribed-angle form of the bulge."""
    x0, y0, x1, y1, b = d.lines.arcs.T[:, :, None]
    t = np.linspace(-1, 1, 65)[None, :] * np.arctan(b) * 2
    half = 2 * np.arctan(b)
    along, across = np.sin(t) / np.sin(half), (np.cos(t) - np.cos(half)) / np.sin(half)
    mx, my, hx, hy = (x0 + x1) / 2, (y0 + y1) / 2, (x1 - x0) / 2, (y1 - y0) / 2
    on_arcs = np.stack((mx + along * hx + across * hy, my + along * hy - across * hx), axis=-1)
    return np.concatenate((d.lines.segments.reshape(-1, 2), on_arcs.reshape(-1, 2)))


@pytest.mark.parametrize("seed", range(6))
def test_random_nested_blocks_agree_with_the_library_taking_them_apart(tmp_path: Path, seed: int) -> None:
    path = made(tmp_path, random_blocks(seed))
    d, _ = read(path)
    paths = disassemble.to_primitives(disassemble.recursive_decompose(ezdxf.readfile(path).modelspace()))
    length, points = 0.0, []
    for primitive in paths:
        at = np.array([(v.x, v.y) for v in primitive.path.flattening(0.01)])
        length += float(np.hypot(*np.diff(at, axis=0).T).sum())
        points.append(at)
    assert total_length(d) == pytest.approx(length, rel=2e-4)
    ours, theirs = points_on(d), np.concatenate(points)
    sagitta = 1e-4 * float(np.ptp(theirs, axis=0).max())  # arcs scaled unequally are chords
    assert ours.min(axis=0) == pytest.approx(theirs.min(axis=0), abs=sagitta)
    assert ours.max(axis=0) == pytest.approx(theirs.max(axis=0), abs=sagitta)
