"""Units decided from what a drawing shows, and figured lengths against drawn ones."""

from __future__ import annotations

import math
from pathlib import Path

import msgspec
import numpy as np
import pytest
from drawn import Sheet

from takeoff.drawing.model import Claim, Dimension, Drawing, Label, Layer, Linework, Loop, Symbol
from takeoff.errors import Finding, InputError, Where
from takeoff.recognise.units import decide, findings_in_mm, in_mm
from takeoff.recognise.units.unit_evidence import _flights, largest_part
from takeoff.recognise.units.written_dimensions import readings, writing_units

PLANS = Path(__file__).parents[3] / "shared" / "plans"


def ring(*points: tuple[float, float]) -> np.ndarray:
    p = np.array(points, dtype=float)
    return np.concatenate((p, np.roll(p, -1, axis=0)), axis=1)


def shell(per_m: float) -> np.ndarray:
    """Two faces of the walls of a 10 m × 8 m house, 300 mm apart, at ``per_m`` units per metre."""
    outer = ring((0, 0), (10, 0), (10, 8), (0, 8))
    inner = ring((0.3, 0.3), (9.7, 0.3), (9.7, 7.7), (0.3, 7.7))
    return np.concatenate((outer, inner)) * per_m


def plan(per_m: float = 1000, **parts) -> Drawing:
    parts.setdefault("lines", Linework(shell(per_m)))
    return Drawing(name="plan.dxf", layers=(Layer("0"),), **parts)


def dimension(length: float, text: str, x: float = 0.0) -> Dimension:
    return Dimension(x, 0, x + length, 0, length, text, None, 0, "1F")


def only(findings: tuple[Finding, ...], code: str) -> Finding:
    (found,) = [f for f in findings if f.code == code]
    return found


@pytest.mark.parametrize(
    ("unit", "per_m", "size"),
    [
        ("mm", 1000, 1.0),
        ("cm", 100, 10.0),
        ("m", 1, 1000.0),
        ("dm", 10, 100.0),
        ("in", 1 / 0.0254, 25.4),
        ("ft", 1 / 0.3048, 304.8),
    ],
)
def test_door_swings_tell_every_unit(unit: str, per_m: float, size: float) -> None:
    r = 0.838 * per_m
    arcs = np.array([[i * 2 * per_m + r, 0, i * 2 * per_m, r, math.tan(math.pi / 8)] for i in range(4)])
    d, found = decide(plan(per_m, lines=Linework(shell(per_m), arcs=arcs)))
    assert (d.unit, d.unit_mm) == (unit, size)
    assert d.lines.segments.max() == pytest.approx(10_000)
    assert d.lines.arcs[0, 0] == pytest.approx(838)
    assert d.lines.arcs[0, 4] == pytest.approx(math.tan(math.pi / 8))
    assert "4 of 4 quarter circles" in f"{only(found, 'unit-decided').text} {only(found, 'unit-decided').evidence}"


@pytest.mark.parametrize(
    ("drawn", "text", "unit"),
    [
        (3450, "3450", "mm"),
        (3.45, "3.45", "m"),
        (345, "345", "cm"),
        (345, "3.45", "cm"),
        (3450, "3.45", "mm"),
        (3.45, "3450", "m"),
        (3450, "3,450", "mm"),
        (126.5, "10'-6 1/2\"", "in"),
        (10.541667, "10'-6 1/2\"", "ft"),
        (3213.1, "10'-6 1/2\"", "mm"),
        (3.45, "3.45 m", "m"),
        (36.5, "36⁵", "cm"),
    ],
)
def test_dimensions_tell_the_unit_whatever_they_are_written_in(drawn: float, text: str, unit: str) -> None:
    per_m = {"mm": 1000, "m": 1, "cm": 100, "in": 1 / 0.0254, "ft": 1 / 0.3048}[unit]
    d, found = decide(plan(per_m, dimensions=tuple(dimension(drawn, text, x) for x in (0, 1, 2))))
    assert d.unit == unit
    assert text in f"{only(found, 'unit-decided').text} {only(found, 'unit-decided').evidence}"
    assert not [f for f in found if f.code == "dimension-differs"]


def test_a_declared_unit_that_the_drawing_contradicts_is_overruled_and_asked_about() -> None:
    dims = tuple(dimension(length, str(length)) for length in (3450, 5444, 900))
    d, found = decide(plan(declared_unit="in", dimensions=dims))
    told = only(found, "unit-decided")
    assert d.unit == "mm"
    assert told.severity == "check"
    assert "The file says inches, but the drawing disagrees" in f"{told.text} {told.evidence}"


def test_a_declared_unit_that_fits_is_a_note() -> None:
    d, found = decide(plan(1, declared_unit="m"))
    assert (d.unit, only(found, "unit-decided").severity) == ("m", "note")


def test_survey_feet_are_kept_where_they_are_declared() -> None:
    d, _ = decide(plan(1 / 0.3048, declared_unit="us_ft"))
    assert d.unit_mm == pytest.approx(1_200_000 / 3937)


def test_without_evidence_the_best_guess_is_an_error_that_says_so() -> None:
    lines = Linework(np.array([[0.0, 0, 40, 0], [40, 0, 40, 31]]))
    _, found = decide(plan(lines=lines))
    told = only(found, "unit-undecided")
    assert told.severity == "error"
    assert "choose the unit" in f"{told.text} {told.evidence}"


def test_the_users_unit_wins_and_is_told_what_it_overrules() -> None:
    dims = tuple(dimension(length, str(length)) for length in (3450, 5444, 900))
    d, found = decide(plan(dimensions=dims), "cm")
    told = only(found, "unit-chosen")
    assert (d.unit, d.unit_mm, told.severity) == ("cm", 10.0, "check")
    assert "looks like mm" in f"{told.text} {told.evidence}"


def test_the_users_unit_that_agrees_is_a_note() -> None:
    dims = tuple(dimension(length, str(length)) for length in (3450, 5444, 900))
    _, found = decide(plan(dimensions=dims), "mm")
    assert only(found, "unit-chosen").severity == "note"


def test_an_unknown_unit_is_refused() -> None:
    with pytest.raises(InputError, match="furlong"):
        decide(plan(), "furlong")


def test_printed_areas_tell_the_unit_by_the_outline_around_them() -> None:
    v = ((0.0, 0.0, 0.0), (500.0, 0.0, 0.0), (500.0, 400.0, 0.0), (0.0, 400.0, 0.0))
    d, found = decide(plan(100, loops=(Loop(v, 0),), labels=(Label("20,0 m²", 250, 200, 20, 0),)))
    assert d.unit == "cm"
    assert "1 of 1 printed areas" in f"{only(found, 'unit-decided').text} {only(found, 'unit-decided').evidence}"


def test_square_feet_tell_the_unit_too() -> None:
    v = ((0.0, 0.0, 0.0), (120.0, 0.0, 0.0), (120.0, 144.0, 0.0), (0.0, 144.0, 0.0))
    labels = (Label("BEDROOM\n120 sq ft", 60, 70, 6, 0),)
    d, _ = decide(plan(1 / 0.0254, loops=(Loop(v, 0),), labels=labels))
    assert d.unit == "in"


@pytest.mark.parametrize("name", ["DOOR_36", "Tür links", "porte-simple", "Дверь", "Puerta1", "drzwi 80", "ドア"])
def test_blocks_named_as_doors_tell_the_unit(name: str) -> None:
    symbols = tuple(Symbol(name, i, 0, 1, 1, 0, 0, (i, 0.0, i + 0.9, 0.95)) for i in range(4))
    d, found = decide(plan(1, symbols=symbols))
    assert d.unit == "m"
    assert "blocks named as doors" in f"{only(found, 'unit-decided').text} {only(found, 'unit-decided').evidence}"


def test_everything_is_scaled_to_mm() -> None:
    drawing = plan(
        1,
        declared_unit="m",
        loops=(Loop(((0.0, 0.0, 0.5), (1.0, 0.0, 0.0), (1.0, 2.0, 0.0)), 0),),
        labels=(Label("A", 1, 2, 0.2, 0),),
        symbols=(Symbol("B", 1, 2, 3, 4, 5, 0, (0, 0, 1, 1)),),
        dimensions=(dimension(3.45, "3.45"),),
        claims=(Claim("space", "x", ((1, 2, 0.5),), (("area_m2", 3.0),)),),
    )
    d, _ = decide(drawing)
    assert d.loops[0].vertices == ((0, 0, 0.5), (1000, 0, 0), (1000, 2000, 0))
    assert (d.labels[0].x, d.labels[0].y, d.labels[0].height) == (1000, 2000, 200)
    symbol = d.symbols[0]
    assert (symbol.x, symbol.scale_x, symbol.box) == (1000, 3, (0, 0, 1000, 1000))
    assert (d.dimensions[0].x1, d.dimensions[0].length, d.dimensions[0].written) == (3450, 3450, 3450)
    assert d.claims[0].ring == ((1000, 2000, 0.5),)
    assert d.claims[0].values == (("area_m2", 3.0),)
    assert drawing.lines.segments.max() == 10  # the drawing given is left as it is


def test_a_wrong_figure_is_a_finding_at_its_place() -> None:
    dims = (dimension(3450, "3450"), dimension(5444, "5444"), dimension(2610, "2620", 1000))
    d, found = decide(plan(dimensions=dims))
    told = only(found, "dimension-differs")
    assert told.severity == "check"
    assert "'2620'" in f"{told.text} {told.evidence}"
    assert "2,610.00 mm" in f"{told.text} {told.evidence}"
    assert told.where == Where(x_mm=2305, y_mm=0, layer="0", handle="1F")
    assert d.dimensions[2].written == 2620


@pytest.mark.parametrize(
    ("drawn", "text"),
    [(3450.4, "3450"), (3454.9, "3.45"), (3210, "10'-6 1/2\""), (2610.004, "2610.00 REF"), (8337.499995, "8.338")],
)
def test_rounding_of_what_is_written_is_no_difference(drawn: float, text: str) -> None:
    _, found = decide(plan(dimensions=(dimension(drawn, text), dimension(5444, "5444"))), "mm")
    assert not [f for f in found if f.code == "dimension-differs"]


def test_a_style_that_rounds_to_5_explains_a_difference_of_2() -> None:
    rounded = Dimension(0, 0, 3452, 0, 3452, "3450", None, 0, step=5.0)
    _, found = decide(plan(dimensions=(rounded, dimension(5444, "5444"))), "mm")
    assert not [f for f in found if f.code == "dimension-differs"]


def test_short_ones_in_cm_and_long_ones_in_m_are_both_understood() -> None:
    dims = (dimension(0.885, "88⁵"), dimension(3.45, "3.45"), dimension(0.24, "24"), dimension(5.12, "5.12"))
    _, found = decide(plan(1, dimensions=dims))
    assert not [f for f in found if f.code == "dimension-differs"]
    assert set(writing_units(dims, 1000.0)) == {"m", "cm"}


def test_a_drawing_to_the_scale_of_its_sheet_is_told() -> None:
    dims = (dimension(72.2, "3610"), dimension(50.0, "2500"), dimension(108.88, "5444"))
    _, found = decide(plan(20, dimensions=dims), "mm")
    told = only(found, "dimensions-fit-no-unit")
    assert "50 times" in f"{told.text} {told.evidence}"
    assert told.severity == "error"


def test_figures_of_damaged_dimensions_are_no_ratio() -> None:
    """Lengths of next to nothing and numbers of 400 digits, as damaged files have them: there is no ratio to tell."""
    dims = tuple(dimension(5e-324, "3610", x) for x in (0.0, 10.0, 20.0))
    huge = tuple(dimension(72.2, "9" * 400, x) for x in (0.0, 10.0, 20.0))
    for damaged in (dims, huge):
        _, found = decide(plan(1000, dimensions=damaged), "mm")
        assert not [f for f in found if f.code == "dimensions-fit-no-unit"]
    assert readings("9" * 400) == ()


def test_many_wrong_figures_are_summed_up() -> None:
    right = [dimension(3000, "3000") for _ in range(30)]
    wrong = [dimension(3000, "3100") for _ in range(25)]
    _, found = decide(plan(dimensions=(*right, *wrong)))
    told = [f for f in found if f.code == "dimension-differs"]
    assert len(told) == 21
    assert told[-1].text.startswith("5 more")


@pytest.mark.parametrize("words", ["", "<>", "90/210", "see detail", "A-A", "0'-14\"", "45°x2 of 3"])
def test_words_that_say_no_one_length_are_no_reading(words: str) -> None:
    assert readings(words) == ()


def test_a_readers_places_are_put_into_mm() -> None:
    (found,) = findings_in_mm((Finding("a", "note", "b", Where(x_mm=1.5, y_mm=2, handle="7")),), 1000.0)
    assert found.where == Where(x_mm=1500, y_mm=2000, handle="7")


def test_an_empty_drawing_does_not_trip() -> None:
    d, found = decide(plan(lines=Linework(np.zeros((0, 4)))))
    assert len(d.lines) == 0
    assert found[0].severity == "error"


real = pytest.mark.skipif(not PLANS.is_dir(), reason="../shared/plans is not beside this checkout")


@real
@pytest.mark.parametrize(
    ("file", "unit", "evidence"),
    [
        ("house/ground.dxf", "mm", ["12 of 12 written dimensions", "5444.00", "4037.00", "The file gives no unit"]),
        ("house/upper.dxf", "mm", ["3250.00"]),
        ("duplex/duplex_L1.dxf", "mm", ["the file says mm"]),
        ("duplex/duplex_L2.dxf", "mm", ["the file says mm"]),
        ("pavilion/plan.dxf", "m", ["the file says metres"]),
    ],
)
def test_real_drawings_are_decided_with_their_evidence(file: str, unit: str, evidence: list[str]) -> None:
    from takeoff.readers.dxf import read

    drawing, _ = read(PLANS / file)
    d, found = decide(drawing)
    assert d.unit == unit
    assert [f.code for f in found] == ["unit-decided"]
    assert found[0].severity == "note"
    for words in evidence:
        assert words in f"{found[0].text} {found[0].evidence}"


@pytest.mark.parametrize(
    ("words", "numbers"),
    [
        ("3.450", [3.45, 3450.0]),  # three places, or thousands
        ("3,450", [3.45, 3450.0]),
        ("3 450", [3450.0]),
        ("1.234.567", [1234567.0]),
        ("3.45", [3.45]),
    ],
)
def test_figures_in_groups_of_three_are_thousands_or_places(words: str, numbers: list[float]) -> None:
    assert [r.number for r in readings(words)] == numbers


def test_grouped_thousands_of_centimetres_are_read_as_such() -> None:
    # 34.50 m drawn in cm beside a figure in cm: as 3.450 it would fit no unit
    d, found = decide(plan(100, dimensions=tuple(dimension(3450, "3.450", x) for x in (0, 1, 2))), "cm")
    assert not [f for f in found if f.code in ("dimension-differs", "dimensions-fit-no-unit")]
    assert d.dimensions[0].length == pytest.approx(34500)


def flat_in(size: float, declared: str, **claims: float) -> Drawing:
    """Four rooms with doors as bare gaps, no word and no figure, ``size`` units to the millimetre."""
    sheet = Sheet()
    for x in (0, 4000, 8000, 12000):
        sheet.box(x, 0, x + 3800, 3500)
    sheet.box(-200, -200, 16000, 3700)
    drawing = in_mm(sheet.drawing(), "mm", size)
    header = Claim("header", "DXF header", values=tuple(claims.items()))
    return msgspec.structs.replace(drawing, unit="", unit_mm=1.0, declared_unit=declared, claims=(header,), labels=())


@pytest.mark.parametrize(("unit", "mm"), [("cm", 10.0), ("mm", 1.0), ("m", 1000.0)])
@pytest.mark.parametrize("declared", ["mm", "cm", "m", "in", ""])
def test_rooms_keep_a_declared_unit_that_is_not_so_from_being_believed(unit: str, mm: float, declared: str) -> None:
    d, found = decide(flat_in(1.0 / mm, declared))
    (told,) = [f for f in found if f.code in ("unit-decided", "unit-undecided")]
    assert d.unit == unit or told.severity == "error"
    if told.severity == "error":
        assert f"in {unit} the drawing is 16.2 × 3.9 m" in f"{told.text} {told.evidence}" or d.unit == unit


def test_a_sheet_of_many_storeys_is_judged_by_the_size_of_one() -> None:
    one = shell(100)
    lines = np.concatenate([one + np.array([k * 1500.0, 0.0, k * 1500.0, 0.0]) for k in range(8)])
    assert largest_part(lines) == pytest.approx((1000, 800), rel=0.05)
    d, _ = decide(plan(lines=Linework(lines)))
    assert d.unit == "cm"


def test_an_area_in_mq_settles_the_unit() -> None:
    v = ((0.0, 0.0, 0.0), (500.0, 0.0, 0.0), (500.0, 400.0, 0.0), (0.0, 400.0, 0.0))
    labels = (Label("Camera mq 20,0", 250, 200, 20, 0),)
    d, found = decide(plan(100, loops=(Loop(v, 0),), labels=labels, declared_unit="mm"))
    assert d.unit == "cm"
    assert only(found, "unit-decided").severity == "check"


def test_bare_outlines_without_openings_and_without_a_unit_are_asked_about() -> None:
    """Rooms scanned one by one in cm: nothing but their outlines, which in inches would be halls."""
    boxes = [(x, y, x + 257, y + 247) for x in (0, 260, 520, 780) for y in (0, 250, 500)]
    segments = [
        side
        for x0, y0, x1, y1 in boxes
        for side in ((x0, y0, x1, y0), (x1, y0, x1, y1), (x1, y1, x0, y1), (x0, y1, x0, y0))
    ]
    drawing = Drawing("scan.dxf", (Layer("ROOMS"),), Linework(np.array(segments, float), None, None))
    _, found = decide(drawing)
    (told,) = [f for f in found if f.code in ("unit-decided", "unit-undecided")]
    assert told.code == "unit-undecided" or " cm" in f"{told.text} {told.evidence}"


def test_treads_are_found_among_rows_of_uneven_lines() -> None:
    """Six treads of 900, 280 apart, among rows of six lines of one length whose gaps are uneven: those are no stairs,
    in whatever order the lines come."""
    at = np.cumsum(np.array([0.0, 280, 280, 280, 280, 280]))
    stairs = np.stack([np.zeros(6), at, np.full(6, 900.0), at], axis=1)
    x = 5000.0 + 2000.0 * np.arange(50)[:, None] + np.zeros(6)
    y = np.array([0.0, 10, 70, 75, 190, 200]) + np.zeros((50, 1))
    others = np.stack([x, y, x + 500.0, y], axis=2).reshape(-1, 4)
    lines = np.concatenate([others, stairs])
    assert _flights(lines) == [280.0]
    assert _flights(lines[np.random.default_rng(1).permutation(len(lines))]) == [280.0]
