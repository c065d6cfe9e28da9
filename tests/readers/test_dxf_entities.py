"""Every kind of entity that carries linework, words or a figure."""

from __future__ import annotations

import itertools
import math
from pathlib import Path

import numpy as np
import pytest
from dxf_making import codes, read_made, total_length
from ezdxf.enums import TextEntityAlignment
from ezdxf.math import rational_bspline_from_arc

from takeoff.drawing.model import Layer


def test_lines_keep_their_layer_and_handle(tmp_path: Path) -> None:
    def draw(doc, m):
        doc.layers.add("WALL", color=3, linetype="CONTINUOUS")
        m.add_line((0, 0), (4000, 0), dxfattribs={"layer": "WALL"})
        m.add_line((0, 0), (0, 0), dxfattribs={"layer": "WALL"})

    d, _ = read_made(tmp_path, draw)
    assert d.lines.segments.tolist() == [[0, 0, 4000, 0]]
    assert d.layers[d.lines.segment_layer[0]] == Layer("WALL", "on", 3, "CONTINUOUS")
    source = d.sources[d.lines.segment_source[0]]
    assert (source.entity, source.block, source.role) == ("LINE", "", "line")
    assert source.handle


def test_closed_polyline_with_a_bow_is_a_loop_with_its_arc(tmp_path: Path) -> None:
    bulge = math.tan(math.radians(56.145) / 4)  # room D: 500 rise over a 4000 chord
    points = [(0, 0, bulge), (4000, 0, 0), (4000, 3000, 0), (0, 3000, 0)]
    d, _ = read_made(tmp_path, lambda doc, m: m.add_lwpolyline(points, format="xyb", close=True))
    assert len(d.lines.segments) == 3
    assert len(d.lines.arcs) == 1
    assert total_length(d) == pytest.approx(10_000 + 4164.6, abs=0.1)
    assert d.loops[0].vertices[0] == pytest.approx((0, 0, bulge))
    assert len(d.loops[0].vertices) == 4


def test_polyline_that_ends_where_it_starts_is_a_loop_without_the_flag(tmp_path: Path) -> None:
    ring = [(0, 0), (3000, 0), (3000, 2000), (0, 2000), (0, 0)]
    d, _ = read_made(tmp_path, lambda doc, m: m.add_lwpolyline(ring))
    assert [v[:2] for v in d.loops[0].vertices] == ring[:-1]


@pytest.mark.parametrize("version", ["R12", "R2010"])
def test_old_polylines_in_two_and_three_dimensions(tmp_path: Path, version: str) -> None:
    def draw(doc, m):
        m.add_polyline2d([(0, 0, 0, 0, 1), (1000, 0, 0, 0, 0)], format="xyseb", close=False)
        m.add_polyline3d([(0, 0, 5), (0, 2000, 700), (500, 2000, 9)])

    d, _ = read_made(tmp_path, draw, version)
    assert total_length(d) == pytest.approx(math.pi * 500 + 2500)


def test_a_circle_is_two_halves_and_a_loop(tmp_path: Path) -> None:
    d, _ = read_made(tmp_path, lambda doc, m: m.add_circle((100, 50), 25))
    assert d.lines.arcs.tolist() == [[75, 50, 125, 50, 1], [125, 50, 75, 50, 1]]
    assert d.loops[0].vertices == ((75, 50, 1), (125, 50, 1))


@pytest.mark.parametrize(("start", "end", "sweep"), [(0, 90, 90), (350, 20, 30), (10, 350, 340), (30, 30, 360)])
def test_an_arc_runs_anticlockwise_from_start_to_end(tmp_path: Path, start, end, sweep) -> None:
    d, _ = read_made(tmp_path, lambda doc, m: m.add_arc((0, 0), 800, start, end))
    assert total_length(d) == pytest.approx(800 * math.radians(sweep))
    assert d.lines.arcs[0, :2] == pytest.approx(
        [800 * math.cos(math.radians(start)), 800 * math.sin(math.radians(start))]
    )
    assert (np.abs(d.lines.arcs[:, 4]) <= 1).all()


def test_seen_from_below_an_arc_and_a_polyline_are_mirrored(tmp_path: Path) -> None:
    def draw(doc, m):
        m.add_arc((1000, 0), 100, 0, 90, dxfattribs={"extrusion": (0, 0, -1)})
        m.add_lwpolyline([(10, 0, 1), (20, 0, 0)], format="xyb", dxfattribs={"extrusion": (0, 0, -1)})

    d, _ = read_made(tmp_path, draw)
    first, last = d.lines.arcs[0], d.lines.arcs[-1]
    assert first[:2] == pytest.approx([-1100, 0])
    assert first[4] < 0
    assert last == pytest.approx([-10, 0, -20, 0, -1])


def test_an_ellipse_is_chords_with_a_note_and_a_round_one_is_arcs(tmp_path: Path) -> None:
    def draw(doc, m):
        m.add_ellipse((0, 0), (2000, 0), 0.5)
        m.add_ellipse((9000, 0), (0, 500), 1.0, 0, math.pi)

    d, found = read_made(tmp_path, draw)
    assert "curve-by-chords" in codes(found)
    assert len(d.lines.arcs) == 2
    # Ellipse with axes 2 and 1: girth 9.688448 m (complete elliptic integral).
    assert total_length(d) == pytest.approx(9688.448 + math.pi * 500, rel=2e-4)
    assert len(d.loops) == 1


def test_a_spline_that_is_a_circle_comes_as_arcs(tmp_path: Path) -> None:
    def draw(doc, m):
        tool = rational_bspline_from_arc(center=(500, 500), radius=1500, start_angle=0, end_angle=270)
        m.add_spline().apply_construction_tool(tool)
        m.add_spline(fit_points=[(0, 0), (1000, 300), (2000, -200), (3000, 0)])

    d, found = read_made(tmp_path, draw)
    assert len(d.lines.arcs) == 2
    assert float(np.hypot(*(d.lines.arcs[:, :2] - 500).T)[0]) == pytest.approx(1500)
    assert "1 SPLINE" in next(f"{f.text} {f.evidence}" for f in found if f.code == "curve-by-chords")


def test_hatch_boundaries_are_loops_of_their_own_role(tmp_path: Path) -> None:
    def draw(doc, m):
        m.add_hatch().paths.add_polyline_path([(0, 0), (300, 0), (300, 100), (0, 100)], is_closed=True)
        edges = m.add_hatch().paths.add_edge_path()
        edges.add_line((1000, 0), (2000, 0))
        edges.add_arc((1500, 0), 500, 0, 180)

    d, _ = read_made(tmp_path, draw)
    assert [v.role for v in d.loops] == ["hatch", "hatch"]
    assert total_length(d) == pytest.approx(800 + 1000 + math.pi * 500)
    assert {s.role for s in d.sources} == {"hatch"}


@pytest.mark.parametrize("ccw", [True, False])
def test_hatch_with_an_elliptic_edge_closes(tmp_path: Path, ccw: bool) -> None:
    def draw(doc, m):
        edges = m.add_hatch().paths.add_edge_path()
        edges.add_line((-1000, 0), (1000, 0))
        edges.add_ellipse((0, 0), (1000, 0), 0.5, 0 if ccw else 180, 180 if ccw else 360, ccw=ccw)

    d, _ = read_made(tmp_path, draw)
    assert len(d.loops) == 1
    assert len(d.lines) > 50


def test_solid_corners_are_uncrossed_and_hidden_edges_of_faces_left_out(tmp_path: Path) -> None:
    def draw(doc, m):
        m.add_solid([(0, 0), (100, 0), (0, 50), (100, 50)])
        m.add_3dface([(500, 0), (600, 0), (600, 50), (500, 50)], dxfattribs={"invisible_edges": 1})

    d, _ = read_made(tmp_path, draw)
    assert total_length(d) == pytest.approx(300 + 200)
    assert d.loops[0].role == "solid"


def test_a_multiline_is_taken_apart(tmp_path: Path) -> None:
    d, _ = read_made(tmp_path, lambda doc, m: m.add_mline([(0, 0), (5000, 0)]))
    assert total_length(d) >= 10_000


def test_a_polygon_mesh_gives_the_sides_of_its_faces(tmp_path: Path) -> None:
    def draw(doc, m):
        cache = m.add_polymesh((2, 2)).get_mesh_vertex_cache()
        for row in (0, 1):
            for column in (0, 1):
                cache[row, column] = (row * 100, column * 100, 0)

    d, _ = read_made(tmp_path, draw)
    assert total_length(d) == pytest.approx(400)


def test_text_is_decoded_and_stands_at_the_middle_of_its_box(tmp_path: Path) -> None:
    def draw(doc, m):
        m.add_line((0, 0), (1, 0))
        t = m.add_text("%%c12 45%%d \\U+00B2", height=100)
        t.set_placement((1000, 500), align=TextEntityAlignment.MIDDLE_CENTER)
        m.add_mtext(
            "{\\fArial|b1;Küche}\\P12,3 m\\S2^ ;",
            dxfattribs={"insert": (0, 0), "char_height": 200, "attachment_point": 5},
        )
        m.add_text("   ", height=5)

    d, _ = read_made(tmp_path, draw)
    assert [w.text for w in d.labels] == ["Ø12 45° ²", "Küche\n12,3 m²"]
    assert (d.labels[0].x, d.labels[0].y) == (1000, 500)
    assert (d.labels[1].x, d.labels[1].y, d.labels[1].height) == (0, 0, 200)


def test_left_aligned_text_turned_upright_has_its_middle_above_its_anchor(tmp_path: Path) -> None:
    def draw(doc, m):
        m.add_line((0, 0), (1, 0))
        m.add_text("BED", height=100, rotation=90, dxfattribs={"insert": (1000, 0)})

    d, _ = read_made(tmp_path, draw)
    assert d.labels[0].x == pytest.approx(950)
    assert d.labels[0].y == pytest.approx(3 * 0.65 * 100 / 2)


def test_dimension_has_its_points_its_length_and_its_words(tmp_path: Path) -> None:
    def draw(doc, m):
        m.add_line((0, 0), (3000, 0))
        m.add_linear_dim(base=(0, 500), p1=(0, 0), p2=(3000, 1000)).render()
        m.add_linear_dim(base=(0, 500), p1=(0, 0), p2=(3000, 0), text="3010", override={"dimrnd": 5}).render()
        m.add_aligned_dim(p1=(0, 0), p2=(300, 400), distance=50, text="10'-6 1/2\"").render()
        m.add_linear_dim(base=(0, 500), p1=(0, 0), p2=(450, 0), text=".45").render()

    d, _ = read_made(tmp_path, draw)
    assert len(d.lines) == 1  # a dimension's own lines are no walls
    auto, figured, feet, under_one = d.dimensions
    assert (auto.x0, auto.y0, auto.x1, auto.y1, auto.length) == (0, 0, 3000, 1000, pytest.approx(3000))
    assert auto.written == pytest.approx(3000)
    assert (figured.text, figured.written, figured.step) == ("3010", 3010, 5)
    assert (feet.length, feet.text, feet.written) == (pytest.approx(500), "10'-6 1/2\"", None)
    assert under_one.written == 0.45


def test_layers_off_and_frozen_are_read_with_their_state_and_a_note(tmp_path: Path) -> None:
    def draw(doc, m):
        doc.layers.add("OFF").off()
        doc.layers.add("FROZEN").freeze()
        for layer in ("OFF", "FROZEN", "UNDEFINED"):
            m.add_line((0, 0), (1000, 0), dxfattribs={"layer": layer})

    d, found = read_made(tmp_path, draw)
    states = {d.layers[i].name: d.layers[i].state for i in d.lines.segment_layer}
    assert states == {"OFF": "off", "FROZEN": "frozen", "UNDEFINED": "on"}
    assert "FROZEN, OFF" in next(f"{f.text} {f.evidence}" for f in found if f.code == "layers-hidden")


def test_paper_space_is_read_where_the_model_is_bare_and_said(tmp_path: Path) -> None:
    def draw(doc, m):
        m.add_text("nothing here")
        doc.layout("Layout1").add_lwpolyline([(0, 0), (10, 0), (10, 10)], close=True)
        doc.layouts.new("Details").add_line((0, 0), (1, 1))

    d, found = read_made(tmp_path, draw)
    assert len(d.lines) == 3
    text = next(f"{f.text} {f.evidence}" for f in found if f.code == "paper-space-read")
    assert "“Layout1”" in text
    assert "1 in “Details”" in text


def test_paper_space_beside_a_model_is_left_out_and_counted(tmp_path: Path) -> None:
    def draw(doc, m):
        m.add_line((0, 0), (1, 1))
        doc.layout("Layout1").add_line((0, 0), (1, 1))

    d, found = read_made(tmp_path, draw)
    assert len(d.lines) == 1
    assert "1 in “Layout1”" in next(f"{f.text} {f.evidence}" for f in found if f.code == "paper-space-left")


def test_what_carries_no_readable_linework_is_named(tmp_path: Path) -> None:
    def draw(doc, m):
        m.add_line((0, 0), (1, 1))
        with m.add_mesh().edit_data() as mesh:
            mesh.vertices = [(0, 0, 0), (1, 0, 0), (1, 1, 0)]
            mesh.faces = [(0, 1, 2)]

    _, found = read_made(tmp_path, draw)
    text = next(f"{f.text} {f.evidence}" for f in found if f.code == "content-not-read")
    assert "1 MESH" in text


def test_an_exploded_curve_in_facets_becomes_one_arc_in_lines_and_loops(tmp_path: Path) -> None:
    at = [(2000 * math.cos(math.radians(t)), 2000 * math.sin(math.radians(t))) for t in range(0, 181, 5)]

    def draw(doc, m):
        m.add_lwpolyline(at, close=True)
        for a, b in itertools.pairwise(at):
            m.add_line((a[0] + 9000, a[1]), (b[0] + 9000, b[1]))

    d, found = read_made(tmp_path, draw)
    assert len(d.lines.arcs) == 2
    assert total_length(d) == pytest.approx(2 * math.pi * 2000 + 4000)
    assert len(d.loops[0].vertices) == 2
    assert "facets-as-arc" in codes(found)


def test_header_extents_that_say_nothing_do_not_matter(tmp_path: Path) -> None:
    def draw(doc, m):
        doc.header["$EXTMIN"], doc.header["$EXTMAX"] = (1e20, 1e20, 1e20), (-1e20, -1e20, -1e20)
        doc.header["$INSUNITS"] = 1
        m.add_line((0, 0), (1, 1))

    d, _ = read_made(tmp_path, draw)
    assert d.declared_unit == "in"
    assert len(d.sha256) == 64
