"""Files that are no drawing, or a damaged one: one sentence, or a finding."""

from __future__ import annotations

import os
from pathlib import Path

import ezdxf
import pytest
from dxf_making import codes, made, read_made

from takeoff.errors import InputError
from takeoff.readers.dxf import dxf_log, read


def refused(path: Path) -> str:
    """The sentence with which a file is refused; it names the file and what to do."""
    with pytest.raises(InputError) as caught:
        read(path)
    text = str(caught.value)
    assert path.name in text
    assert ": " in text
    assert "\n" not in text
    return text


def written(folder: Path, data: bytes) -> Path:
    path = folder / "plan.dxf"
    path.write_bytes(data)
    return path


def house(doc, m) -> None:
    m.add_lwpolyline([(0, 0), (5000, 0), (5000, 4000), (0, 4000)], close=True)
    m.add_text("KITCHEN", height=200)


def test_missing_file(tmp_path: Path) -> None:
    assert "does not exist" in refused(tmp_path / "plan.dxf")


def test_directory(tmp_path: Path) -> None:
    assert "is a folder" in refused(tmp_path)


@pytest.mark.parametrize(
    ("data", "reason"),
    [
        (b"", "is empty"),
        (b" \r\n\x00", "is empty"),
        (b"AC1032\x00\x00\x00\x00" * 50, "is a DWG file"),
        (b"%PDF-1.7\n1 0 obj", "is a PDF"),
        (b"PK\x03\x04abc", "is a zip archive"),
        (bytes(range(256)) * 40, "no DXF drawing"),
        (b"hello\nworld\n", "no DXF drawing"),
        ("  0\nSECTION\n".encode("utf-16"), "UTF-16"),
        (b'{"a": 1}', "is a JSON file"),
        (b"  0\nSECTION\n  2\nENTITIES\n  0\nENDSEC\n  0\nEOF\n", "no lines to measure"),
        (b"AutoCAD Binary DXF\r\n\x1a\x00\x00SECTION", "is cut off"),
    ],
)
def test_what_is_no_drawing_is_refused_with_its_reason(tmp_path: Path, data: bytes, reason: str) -> None:
    assert reason in refused(written(tmp_path, data))


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.99])
def test_a_file_that_is_cut_off_is_refused(tmp_path: Path, share: float) -> None:
    data = made(tmp_path, house).read_bytes()
    text = refused(written(tmp_path, data[: int(len(data) * share)]))
    assert "cut off" in text or "no sections" in text


def test_a_file_that_lacks_only_its_end_mark_is_read(tmp_path: Path) -> None:
    data = made(tmp_path, house).read_bytes()
    end = data.rindex(b"ENDSEC") + len(b"ENDSEC\n")
    d, _ = read(written(tmp_path, data[:end]))
    assert len(d.lines) == 4


def test_permission_denied(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The super-user may read everything, so the system's refusal is played where he runs this."""
    path = made(tmp_path, house)
    path.chmod(0)
    if os.access(path, os.R_OK):

        def denied(_: Path) -> bytes:
            raise PermissionError(13, "Permission denied")

        monkeypatch.setattr(Path, "read_bytes", denied)
    assert "may not be read" in refused(path)


def test_no_linework_says_what_there_is_instead(tmp_path: Path) -> None:
    text = refused(made(tmp_path, lambda doc, m: m.add_text("only words")))
    assert "no lines to measure" in text
    assert "1 TEXT" in text


@pytest.mark.parametrize("bad", ["nan", "1e300", "inf", "-1.7976931348623157e308"])
def test_coordinates_that_are_no_places_are_left_out_and_told(tmp_path: Path, bad: str) -> None:
    def draw(doc, m):
        house(doc, m)
        m.add_line((7777, 0), (1, 0), dxfattribs={"layer": "ODD"})

    data = made(tmp_path, draw).read_bytes()
    assert b"7777.0" in data
    d, found = read(written(tmp_path, data.replace(b"7777.0", bad.encode())))
    assert len(d.lines) == 4
    (told,) = [f for f in found if f.code == "coordinates-dropped"]
    assert told.severity == "error"
    assert "1 LINE" in told.text
    assert "ODD" in f"{told.text} {told.evidence}"
    assert told.where.layer == "ODD"


def test_a_drawing_that_only_refers_to_another_file_names_that_file(tmp_path: Path) -> None:
    def draw(doc, m):
        doc.add_xref_def("ground.dwg", "GF")
        m.add_blockref("GF", (0, 0))

    assert "it only refers to ground.dwg" in refused(made(tmp_path, draw))


def test_a_drawing_of_nothing_but_bad_coordinates_is_refused(tmp_path: Path) -> None:
    data = made(tmp_path, lambda doc, m: m.add_line((7777, 0), (1, 0))).read_bytes()
    assert "no lines to measure" in refused(written(tmp_path, data.replace(b"7777.0", b"nan")))


def test_one_bad_corner_costs_its_two_sides_and_the_loop(tmp_path: Path) -> None:
    ring = [(0, 0), (7777, 0), (5000, 4000), (0, 4000)]
    data = made(tmp_path, lambda doc, m: m.add_lwpolyline(ring, close=True)).read_bytes()
    d, found = read(written(tmp_path, data.replace(b"7777.0", b"nan")))
    assert len(d.lines) == 2
    assert d.loops == ()
    assert "2 LWPOLYLINE" in next(f"{f.text} {f.evidence}" for f in found if f.code == "coordinates-dropped")


def test_a_damaged_number_is_recovered_and_told(tmp_path: Path) -> None:
    def draw(doc, m):
        house(doc, m)
        m.add_line((7777, 0), (1, 0))

    data = made(tmp_path, draw).read_bytes()
    d, found = read(written(tmp_path, data.replace(b"7777.0", b"77x7.0")))
    assert len(d.lines) >= 4
    assert "dxf-recovered" in codes(found)
    assert len(found) < 10


def test_a_binary_dxf_is_read(tmp_path: Path) -> None:
    doc = ezdxf.new("R2010")
    house(doc, doc.modelspace())
    path = tmp_path / "plan.dxf"
    doc.saveas(path, fmt="bin")
    d, _ = read(path)
    assert len(d.lines) == 4


def test_words_in_another_encoding_than_the_file_says_are_still_words(tmp_path: Path) -> None:
    def draw(doc, m):
        house(doc, m)
        m.add_text("KUCHE", dxfattribs={"layer": "WANDE"})

    data = made(tmp_path, draw).read_bytes()
    d, found = read(written(tmp_path, data.replace(b"KUCHE", b"K\xdcCHE").replace(b"WANDE", b"W\xc4NDE")))
    assert "KÜCHE" in [w.text for w in d.labels]
    assert "WÄNDE" in [layer.name for layer in d.layers]
    assert "text-encoding" in codes(found)


@pytest.mark.parametrize(
    ("old", "new"),
    [(b"\n 71\n3\n", b"\n 71\n2000000000\n"), (b"\n 71\n3\n", b"\n 71\n0\n"), (b"\n 40\n1.0\n", b"\n 40\nnan\n")],
)
def test_an_absurd_spline_is_named_and_the_rest_is_read(tmp_path: Path, old: bytes, new: bytes) -> None:
    def draw(doc, m):
        house(doc, m)
        m.add_open_spline([(0, 0), (10, 5), (20, -5), (30, 0), (40, 9)], degree=3)

    data = made(tmp_path, draw).read_bytes()
    at = data.rindex(b"SPLINE")
    assert old in data[at:]
    d, found = read(written(tmp_path, data[:at] + data[at:].replace(old, new)))
    assert len(d.lines) >= 4
    assert {"entity-not-read", "dxf-recovered", "dxf-repaired", "curve-by-chords"} & set(codes(found))


def test_an_insert_scaled_beyond_the_earth_is_left_out(tmp_path: Path) -> None:
    def draw(doc, m):
        house(doc, m)
        doc.blocks.new("B").add_line((0, 0), (1, 0))
        m.add_blockref("B", (0, 0), dxfattribs={"xscale": 1e200, "yscale": 1e200})

    d, found = read_made(tmp_path, draw)
    assert len(d.lines) == 4
    assert "coordinates-dropped" in codes(found)


def test_progress_runs_from_nothing_to_all(tmp_path: Path) -> None:
    said: list[tuple[float, str]] = []
    read(made(tmp_path, house), lambda share, what: said.append((share, what)))
    shares = [s for s, _ in said]
    assert shares[0] == 0
    assert shares[-1] == 1
    assert shares == sorted(shares)


def test_a_drawing_of_more_lines_than_can_be_measured_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(dxf_log, "MOST_DRAWN", 5)
    path = made(tmp_path, lambda doc, m: m.add_lwpolyline([(0, 0), (9, 0), (9, 9), (0, 9), (1, 1), (2, 2)]))
    with pytest.raises(InputError, match=r"plan\.dxf has more than 5 lines"):
        read(path)


def test_coordinates_that_are_hardly_more_than_nothing_are_nought(tmp_path: Path) -> None:
    def draw(doc: object, m: object) -> None:
        m.add_line((1e-320, 0), (5, 0))  # type: ignore[attr-defined]
        m.add_lwpolyline([(1e-200, -1e-310), (5, 1e-300), (5, 5)], close=True)  # type: ignore[attr-defined]

    drawing, _ = read_made(tmp_path, draw)
    values = {abs(v) for row in drawing.lines.segments.tolist() for v in row}
    values |= {abs(v) for loop in drawing.loops for vertex in loop.vertices for v in vertex}
    assert values == {0.0, 5.0}


def test_names_that_are_no_text_can_be_written(tmp_path: Path) -> None:
    path = made(tmp_path, lambda doc, m: m.add_line((0, 0), (5, 0), dxfattribs={"layer": "WALLX", "linetype": "DASHX"}))
    path.write_bytes(path.read_bytes().replace(b"WALLX", b"W\xc4NDE").replace(b"DASHX", b"\xfc\xe9\x07"))
    drawing, found = read(path)
    said = [*(layer.name for layer in drawing.layers), *(s.linetype for s in drawing.sources), *(f.text for f in found)]
    assert all(text.encode() and text.isprintable() for text in said)
    assert "WÄNDE" in said


def test_arcs_circles_and_ellipses_of_no_size_draw_nothing_and_are_only_noted(tmp_path: Path) -> None:
    def draw(doc, m):
        house(doc, m)
        m.add_arc((100, 100), 0, 0, 90, dxfattribs={"layer": "A-WALL"})
        m.add_circle((100, 100), 0)

    d, found = read_made(tmp_path, draw)
    assert len(d.lines) == 4
    (told,) = [f for f in found if f.code == "without-size"]
    assert told.severity == "note"
    assert "1 ARC, 1 CIRCLE" in f"{told.text} {told.evidence}"
    assert not {"coordinates-dropped", "entity-not-read"} & set(codes(found))


def test_what_is_missing_is_told_layer_by_layer_and_words_are_no_walls(tmp_path: Path) -> None:
    def draw(doc, m):
        house(doc, m)
        m.add_line((7777, 0), (1, 0), dxfattribs={"layer": "TREES"})
        m.add_line((7777, 0), (1, 0), dxfattribs={"layer": "WALLS"})
        m.add_text("note", dxfattribs={"layer": "WALLS", "insert": (7777, 0)})

    data = made(tmp_path, draw).read_bytes()
    _, found = read(written(tmp_path, data.replace(b"7777.0", b"nan")))
    told = {(f.where.layer, f.severity) for f in found if f.code == "coordinates-dropped"}
    assert told == {("TREES", "error"), ("WALLS", "error"), (None, "check")}


def test_one_insert_off_the_earth_does_not_take_the_others_of_its_block(tmp_path: Path) -> None:
    def draw(doc, m):
        house(doc, m)
        doc.blocks.new("B").add_line((0, 0), (1, 0))
        m.add_blockref("B", (0, 0))
        m.add_blockref("B", (0, 0), dxfattribs={"xscale": 1e200, "yscale": 1e200, "layer": "FAR"})

    d, found = read_made(tmp_path, draw)
    assert len(d.lines) == 5
    assert [f.where.layer for f in found if f.code == "coordinates-dropped"] == ["FAR"]


@pytest.mark.parametrize("written_as", ["12.5 m^2", "12.5 m%%178", "12.5 m\\U+00B2"])
def test_a_square_metre_is_read_however_it_is_coded(tmp_path: Path, written_as: str) -> None:
    def draw(doc, m):
        house(doc, m)
        m.add_text(written_as)
        m.add_mtext(written_as)

    d, _ = read_made(tmp_path, draw)
    assert [w.text for w in d.labels][1:] == ["12.5 m²"] * 2


def test_a_hatch_beyond_counting_is_left_out_and_the_rest_is_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def draw(doc, m):
        hatch = m.add_hatch(dxfattribs={"layer": "HATCH"})
        hatch.paths.add_polyline_path([(k, k % 2 * 10) for k in range(300)])
        house(doc, m)

    monkeypatch.setattr("takeoff.readers.dxf.dxf_log.MOST_DRAWN", 100)
    d, found = read_made(tmp_path, draw)
    assert len(d.lines) == 4
    (told,) = [f for f in found if f.code == "entity-not-read"]
    assert told.where.layer == "HATCH"
    assert "1 HATCH" in f"{told.text} {told.evidence}"
