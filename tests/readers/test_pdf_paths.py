"""What is drawn on a page comes out in mm on paper, y up, as lines, arcs, loops and layers."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from pdf_making import raw_pdf, stream

from takeoff.drawing.model import Drawing
from takeoff.readers import pdf

INCH = 25.4
LINE = b"1 w 72 72 m 216 72 l S\n"


def page_of(path: Path, content: bytes, **more: object) -> Drawing:
    return pdf.read(raw_pdf(path / "plan.pdf", content, **more))[0]  # type: ignore[arg-type]


def ends(drawing: Drawing) -> list[list[float]]:
    return np.round(drawing.lines.segments, 3).tolist()


def test_a_line_is_where_it_is_on_the_paper(tmp_path: Path) -> None:
    drawing = page_of(tmp_path, LINE)
    assert ends(drawing) == [[25.4, 25.4, 76.2, 25.4]]
    assert drawing.unit_mm == 1.0
    assert dict(drawing.claims[0].values)["width_mm"] == pytest.approx(254.0)


@pytest.mark.parametrize(
    ("turn", "line", "size"),
    [
        (0, [1, 1, 3, 1], (10, 5)),
        (90, [1, 9, 1, 7], (5, 10)),
        (180, [9, 4, 7, 4], (10, 5)),
        (270, [4, 1, 4, 3], (5, 10)),
    ],
)
def test_a_turned_page_is_read_as_it_is_looked_at(
    tmp_path: Path, turn: int, line: list[float], size: tuple[float, float]
) -> None:
    drawing = page_of(tmp_path, LINE, page=f"/MediaBox [0 0 720 360] /Rotate {turn}")
    assert ends(drawing) == [[round(v * INCH, 3) for v in line]]
    sheet = dict(drawing.claims[0].values)
    assert (sheet["width_mm"], sheet["height_mm"]) == pytest.approx([v * INCH for v in size])


def test_the_crop_box_is_the_paper_and_what_lies_beyond_it_is_cut(tmp_path: Path) -> None:
    path = raw_pdf(tmp_path / "plan.pdf", LINE, page="/MediaBox [0 0 720 360] /CropBox [108 36 720 360]")
    drawing, found = pdf.read(path)
    assert np.allclose(drawing.lines.segments, [[-0.05, 0.5 * INCH, 1.5 * INCH, 0.5 * INCH]], atol=1e-3)
    assert any(f.code == "paths-cut" for f in found)


def test_a_rectangle_and_a_closed_path_are_loops(tmp_path: Path) -> None:
    drawing = page_of(tmp_path, b"72 72 144 72 re S 360 72 m 432 72 l 432 144 l h S 0 0 m 10 10 l S")
    assert len(drawing.loops) == 2
    assert [len(loop.vertices) for loop in drawing.loops] == [4, 3]
    assert len(drawing.lines.segments) == 8
    assert all(loop.role == "line" for loop in drawing.loops)


def test_four_beziers_are_the_circle_they_stand_for(tmp_path: Path) -> None:
    k, r, c = 0.5522847498, 72.0, 180.0
    content = f"{c + r} {c} m ".encode()
    for i in range(4):
        a = np.array([math.cos(i * math.pi / 2), math.sin(i * math.pi / 2)])
        b = np.array([-a[1], a[0]])
        points = np.concatenate([c + r * (a + k * b), c + r * (b + k * a), c + r * b])
        content += (" ".join(f"{v:.4f}" for v in points) + " c ").encode()
    drawing = page_of(tmp_path, content + b"S")
    assert len(drawing.lines.arcs) == 4
    assert drawing.lines.arcs[:, 4] == pytest.approx(math.tan(math.pi / 8), abs=2e-4)
    assert len(drawing.loops) == 1


def test_a_bezier_that_is_no_circle_becomes_chords_near_it(tmp_path: Path) -> None:
    path = raw_pdf(tmp_path / "plan.pdf", b"72 72 m 216 72 72 216 216 216 c S")
    drawing, found = pdf.read(path)
    segments = drawing.lines.segments
    assert len(segments) > 8
    assert not len(drawing.lines.arcs)
    middle = np.array([2.0, 2.0]) * INCH
    assert np.hypot(*(segments[:, :2] - middle).T).min() < 0.5 * INCH
    assert any(f.code == "curve-by-chords" for f in found)


def test_a_straight_bezier_is_one_line(tmp_path: Path) -> None:
    drawing = page_of(tmp_path, b"72 72 m 100 72 180 72 216 72 c S")
    assert ends(drawing) == [[25.4, 25.4, 76.2, 25.4]]


def test_a_door_swing_in_facets_is_an_arc(tmp_path: Path) -> None:
    angles = np.radians(np.arange(0, 91, 5))
    points = [f"{72 + 72 * math.cos(a):.3f} {72 + 72 * math.sin(a):.3f}" for a in angles]
    content = f"{points[0]} m " + " ".join(f"{p} l" for p in points[1:]) + " S"
    path = raw_pdf(tmp_path / "plan.pdf", content.encode())
    drawing, found = pdf.read(path)
    assert len(drawing.lines.arcs) == 1
    assert drawing.lines.arcs[0, 4] == pytest.approx(math.tan(math.pi / 8), abs=1e-4)
    assert any(f.code == "facets-as-arc" for f in found)


def test_forms_bring_their_matrices(tmp_path: Path) -> None:
    form = stream(b"0 0 m 36 0 l S", "/Type /XObject /Subtype /Form /BBox [-100 -100 100 100] /Matrix [2 0 0 2 0 0]")
    content = b"q 0 1 -1 0 144 72 cm /F0 Do Q"
    drawing = page_of(tmp_path, content, resources="/XObject << /F0 5 0 R >>", extra=(form,))
    assert ends(drawing) == [[2 * INCH, INCH, 2 * INCH, 2 * INCH]]


def test_forms_in_forms_and_their_pens(tmp_path: Path) -> None:
    outer = stream(
        b"q 1 0 0 1 72 0 cm /F1 Do Q",
        "/Type /XObject /Subtype /Form /BBox [0 0 400 400] /Resources << /XObject << /F1 6 0 R >> >>",
        packed=True,
    )
    inner = stream(b"2 w 0 0 m 72 0 l S", "/Type /XObject /Subtype /Form /BBox [0 -10 400 400]")
    drawing = page_of(
        tmp_path, b"q 2 0 0 2 0 72 cm /F0 Do Q", resources="/XObject << /F0 5 0 R >>", extra=(outer, inner)
    )
    assert ends(drawing) == [[2 * INCH, INCH, 4 * INCH, INCH]]
    assert drawing.layers[drawing.lines.segment_layer[0]].name == "black 1.41 mm"


def test_lines_are_cut_at_their_viewport(tmp_path: Path) -> None:
    content = b"q 72 72 72 72 re W n 0 100 m 720 100 l S 0 300 m 720 300 l S Q"
    drawing = page_of(tmp_path, content)
    assert np.allclose(drawing.lines.segments[:, [0, 2]], [[INCH - 0.05, 2 * INCH + 0.05]], atol=1e-3)


def test_pens_are_layers_called_by_colour_and_width(tmp_path: Path) -> None:
    content = (
        b"0.992 w 0 0 m 9 9 l S 1 0 0 RG 0.51 w 0 0 m 9 0 l S 0.8 0 0 RG 0 0 m 0 9 l S "
        b"0 0 1 RG [3 2] 0 d 0 w 9 0 m 0 9 l S"
    )
    drawing = page_of(tmp_path, content)
    used = [drawing.layers[i].name for i in drawing.lines.segment_layer]
    assert used == ["black 0.35 mm", "red 0.18 mm #ff0000", "red 0.18 mm #cc0000", "blue hairline"]
    dashes = [drawing.sources[i].linetype for i in drawing.lines.segment_source]
    assert dashes == ["CONTINUOUS"] * 3 + ["DASHED"]


def test_layers_that_the_file_names_keep_their_names(tmp_path: Path) -> None:
    content = b"/OC /MC0 BDC 0 0 m 90 90 l S EMC 0 0 m 90 0 l S"
    path = raw_pdf(
        tmp_path / "plan.pdf",
        content,
        resources="/Properties << /MC0 5 0 R >>",
        extra=(b"<< /Type /OCG /Name (A-WALL) >>",),
        catalog="/OCProperties << /OCGs [5 0 R] /D << /Order [5 0 R] >> >>",
    )
    drawing, found = pdf.read(path)
    used = [drawing.layers[i].name for i in drawing.lines.segment_layer]
    assert used == ["A-WALL", "black 0.35 mm"]
    assert any(f.code == "pdf-layers" and "A-WALL" in f"{f.text} {f.evidence}" for f in found)


@pytest.mark.parametrize("said", [b"Ma\xdfe", b"\xfe\xff\x00M\x00a\x00\xdf\x00e", "Maße".encode()])
def test_names_of_layers_keep_letters_beyond_english(tmp_path: Path, said: bytes) -> None:
    path = raw_pdf(
        tmp_path / "plan.pdf",
        b"/OC /MC0 BDC 0 0 m 90 90 l S EMC",
        resources="/Properties << /MC0 5 0 R >>",
        extra=(b"<< /Type /OCG /Name (" + said + b") >>",),
        catalog="/OCProperties << /OCGs [5 0 R] /D << /Order [5 0 R] >> >>",
    )
    assert [layer.name for layer in pdf.read(path)[0].layers][:1] == ["Maße"]


def test_layers_that_are_switched_off_are_told(tmp_path: Path) -> None:
    content = (
        b"/OC /MC0 BDC 10 10 m 90 90 l 10 90 m 90 80 l 100 10 m 200 10 l S EMC "
        b"/OC /MC1 BDC 300 10 m 300 90 l 310 10 m 310 90 l 320 10 m 320 90 l S EMC"
    )
    path = raw_pdf(
        tmp_path / "plan.pdf",
        content,
        resources="/Properties << /MC0 5 0 R /MC1 6 0 R >>",
        extra=(b"<< /Type /OCG /Name (A-WALL) >>", b"<< /Type /OCG /Name (A-WALL-DEMO) >>"),
        catalog="/OCProperties << /OCGs [5 0 R 6 0 R] /D << /OFF [6 0 R] >> >>",
    )
    drawing, found = pdf.read(path)
    assert {layer.name: layer.state for layer in drawing.layers} == {"A-WALL": "on", "A-WALL-DEMO": "off"}
    assert "A-WALL-DEMO" in next(f"{f.text} {f.evidence}" for f in found if f.code == "layers-hidden")


def test_a_filled_body_is_solid_and_white_paint_is_left_out(tmp_path: Path) -> None:
    content = b"0.5 g 72 72 72 36 re f 1 g 200 200 90 90 re f 1 G 0 0 m 90 90 l S"
    path = raw_pdf(tmp_path / "plan.pdf", content)
    drawing, found = pdf.read(path)
    assert [loop.role for loop in drawing.loops] == ["solid"]
    assert len(drawing.lines.segments) == 4
    assert {drawing.sources[i].role for i in drawing.lines.segment_source} == {"solid"}
    assert drawing.layers[0].name == "solid grey"
    assert any(f.code == "paths-unseen" and "Shapes: 2" in f"{f.text} {f.evidence}" for f in found)


def test_a_thin_filled_strip_is_the_line_it_stands_for(tmp_path: Path) -> None:
    drawing = page_of(tmp_path, b"72 71.5 144 1 re f")
    assert ends(drawing) == [[25.4, 25.4, 76.2, 25.4]]
    assert not drawing.loops


def test_a_strip_is_a_line_of_a_pen_about_as_wide_and_what_is_filled_has_none(tmp_path: Path) -> None:
    """0.3 pt are 0.106 mm and 0.4 pt 0.141 mm, both told as half of 0.25 mm; 0.8 pt, 0.28 mm, are 0.25 mm."""
    strips = b"72 71 144 0.3 re f 72 90 144 0.4 re f 0.2 0.2 0.8 rg 72 110 144 0.8 re f 0 g 72 150 144 30 re f"
    drawing = page_of(tmp_path, strips)
    drawn = [drawing.sources[k] for k in drawing.lines.segment_source]
    assert [(s.pen, s.weight_mm, s.role) for s in drawn] == [
        ("black 0.12 mm", 0.12, "line"),
        ("black 0.12 mm", 0.12, "line"),
        ("blue 0.25 mm", 0.25, "line"),
        *[("solid black", 0.0, "solid")] * 4,
    ]


END = b"216.2 %.1f m 216.2 %.1f l 215.8 %.1f l 215.8 %.1f l h f "
"""The end of a wall between its faces, 0.4 pt wide and mitred, from below one height to above another."""


def test_a_short_mitred_strip_goes_on_from_the_line_that_it_meets(tmp_path: Path) -> None:
    """Faces of a wall 1.2 pt, or 0.42 mm, apart: 127 mm of a building at 1:300."""
    faces = b"72 71.8 m 216.2 71.8 l 215.8 72.2 l 72 72.2 l h f 72 73.4 m 216.2 73.4 l 215.8 73 l 72 73 l h f "
    drawing = page_of(tmp_path, faces + END % (71.8, 73.4, 73.0, 72.2))
    drawn = [drawing.sources[k] for k in drawing.lines.segment_source]
    assert [(s.pen, s.role) for s in drawn] == [("black 0.12 mm", "line")] * 3
    assert ends(drawing)[-1] == [76.2, 25.4, 76.2, 25.823]


def test_a_short_strip_by_itself_is_a_dot(tmp_path: Path) -> None:
    face = b"72 71.8 m 216.2 71.8 l 215.8 72.2 l 72 72.2 l h f "
    drawing = page_of(tmp_path, face + END % (73.8, 75.4, 75.0, 74.2))
    names = [drawing.layers[k].name for k in drawing.lines.segment_layer]
    assert names == ["solid black", *["text drawn as shapes"] * 4]


def test_small_filled_shapes_with_curves_are_letters(tmp_path: Path) -> None:
    letter = b"72 72 m 76 72 80 76 80 80 c 76 80 72 76 72 72 c f "
    drawing = page_of(tmp_path, letter + LINE)
    names = [drawing.layers[i].name for i in drawing.lines.segment_layer]
    assert names.count("black 0.35 mm") == 1
    assert {n for n in names if n != "black 0.35 mm"} == {"text drawn as shapes"}


@pytest.mark.parametrize(("heavy", "lines"), [(b"0.5 w", 10), (b"1.5 w", 0)])
def test_what_two_pens_draw_on_one_layer_is_no_word(tmp_path: Path, heavy: bytes, lines: int) -> None:
    """Two piers of 2.8 mm and a mark of two strokes between them: as unlike as letters, if one pen drew them."""
    piers = heavy + b" 72 72 8 8 re S 100 72 8 8 re S "
    path = raw_pdf(
        tmp_path / "plan.pdf",
        b"/OC /MC0 BDC " + piers + b"0.5 w 86 72 m 94 80 l 94 72 l S 0 20 m 300 20 l S EMC",
        resources="/Properties << /MC0 5 0 R >>",
        extra=(b"<< /Type /OCG /Name (Layer 1) >>",),
        catalog="/OCProperties << /OCGs [5 0 R] /D << /Order [5 0 R] >> >>",
    )
    drawing, _ = pdf.read(path)
    names = [drawing.layers[i].name for i in drawing.lines.segment_layer]
    assert names.count("text drawn as shapes") == lines


def test_a_path_that_only_clips_is_not_drawn(tmp_path: Path) -> None:
    drawing = page_of(tmp_path, b"0 0 700 300 re W n " + LINE)
    assert ends(drawing) == [[25.4, 25.4, 76.2, 25.4]]


def test_each_line_knows_the_pen_that_drew_it(tmp_path: Path) -> None:
    """0.5 pt are 0.18 mm, 1 pt is 0.35 mm; the layer's name says nothing of either."""
    path = raw_pdf(
        tmp_path / "plan.pdf",
        b"/OC /MC0 BDC 0.5 w 0 0 m 90 90 l S 1 w 0 9 m 90 9 l S 0.5 g 10 20 60 30 re f EMC",
        resources="/Properties << /MC0 5 0 R >>",
        extra=(b"<< /Type /OCG /Name (Layer 1) >>",),
        catalog="/OCProperties << /OCGs [5 0 R] /D << /Order [5 0 R] >> >>",
    )
    drawing, _ = pdf.read(path)
    drawn = {(s.pen, s.weight_mm) for s in (drawing.sources[k] for k in drawing.lines.segment_source)}
    assert drawn == {("black 0.18 mm", 0.18), ("black 0.35 mm", 0.35), ("solid grey", 0.0)}
    assert {drawing.layers[k].name for k in drawing.lines.segment_layer} == {"Layer 1"}
