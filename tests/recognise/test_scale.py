"""The scale of a sheet: from its title block, its figures, its doors; or given."""

from __future__ import annotations

import math

import numpy as np
import pytest

from takeoff.drawing.model import Claim, Dimension, Drawing, Label, Layer, Linework
from takeoff.errors import InputError
from takeoff.findings import options_for
from takeoff.geometry.perspective import scale_from_known_length
from takeoff.recognise.scale import decide_scale, parse_scale
from takeoff.recognise.scale.paper_figures import figures_on_paper
from takeoff.recognise.scale.scale_evidence import ratio_of_figures
from takeoff.recognise.scale.scale_words import do_not_scale, not_to_scale, scales_in

A3, A4 = (420.0, 297.0), (297.0, 210.0)
FIGURES = ((0.0, 3450.0), (3550.0, 6000.0), (0.0, 6000.0), (0.0, 1885.0), (2000.0, 6000.0))


def sheet(
    scale: float,
    words: tuple[str, ...] = (),
    figures: tuple[str, ...] = (),
    page: tuple[float, float] = A3,
    door_mm: float = 0.0,
    size_mm: float = 6013.7,
) -> Drawing:
    """A room outline at a scale (mm on paper) with words in its corner, dimension lines with slashes
    and figures below, and a quarter circle for a door."""
    w = size_mm / scale
    lines = [(0, 0, w, 0), (w, 0, w, w), (w, w, 0, w), (0, w, 0, 0)]
    labels = [Label(text, 300.0, 20.0 + 40.0 * i, 3.0, 0) for i, text in enumerate(words)]
    for row, (text, (a, b)) in enumerate(zip(figures, FIGURES, strict=False)):
        y, x0, x1 = -20.0 - 10.0 * row, a / scale, b / scale
        lines += [
            (x0, y, x1, y),
            (x0 - 1, y - 1, x0 + 1, y + 1),
            (x1 - 1, y - 1, x1 + 1, y + 1),
            (x0, y - 1, x0, y + 6),
            (x1, y - 1, x1, y + 6),
        ]
        labels.append(Label(text, (x0 + x1) / 2, y + 2.0, 2.0, 0))
    r = door_mm / scale
    arcs = np.array([(5.0 + r, 5.0, 5.0, 5.0 + r, math.tan(math.pi / 8))]) if r else None
    claim = Claim("sheet", "page 1", values=(("width_mm", page[0]), ("height_mm", page[1])))
    return Drawing(
        "sheet.pdf",
        (Layer("black 0.35 mm"),),
        Linework(np.array(lines, float), arcs=arcs),
        labels=tuple(labels),
        claims=(claim,),
    )


@pytest.mark.parametrize(
    ("text", "ratio"),
    [
        ("1:100", 100),
        ("1 : 50", 50),
        ("M 1:100", 100),
        ("M1:20", 20),
        ("Scale 1:50 @ A3", 50),
        ("Échelle 1/50", 50),
        ("МАСШТАБ 1:100", 100),
        ("Maßstab 1 : 75", 75),
        ('1/4" = 1\'-0"', 48),
        ('SCALE: 1/8"=1\'-0"', 96),
        ('1 1/2" = 1\'-0"', 8),
        ("3/16 in = 1 ft", 64),
        ("Scale 1:40", 40),
    ],
)
def test_scales_as_people_write_them(text: str, ratio: float) -> None:
    assert [s.ratio for s in scales_in(text)] == [ratio]


@pytest.mark.parametrize("text", ["ramp 1:20", "fall 1:50", "12:100:5", "1/2", "2010-11:100", "1:40", "Room 1"])
def test_what_is_no_scale(text: str) -> None:
    assert scales_in(text) == ()


def test_the_answer_may_be_a_ratio_or_feet_and_inches() -> None:
    said = ("1:100", "100", 50.0, '1/4" = 1\'-0"', "1:33.5")
    assert [parse_scale(v) for v in said] == [100, 100, 50, 48, 33.5]


@pytest.mark.parametrize("said", ["", "big", "1:0", "0", -5.0, math.nan, math.inf, "1:100 or 1:50", "1:" + "9" * 80])
def test_an_answer_that_is_no_scale_is_refused(said: str | float) -> None:
    with pytest.raises(InputError, match="is no scale"):
        parse_scale(said)


def test_the_title_block_decides_and_the_drawing_is_in_real_mm() -> None:
    drawing, (found,) = decide_scale(sheet(50, ("Scale 1:50 @ A3",)))
    assert drawing.unit_mm == 50.0
    assert (found.code, found.severity) == ("scale-decided", "note")
    assert "“1:50 @ A3”" in f"{found.text} {found.evidence}"
    assert drawing.lines.segments[0].tolist() == pytest.approx([0.0, 0.0, 6013.7, 0.0])


def test_a_sheet_made_for_a3_and_printed_on_a4_has_another_scale() -> None:
    drawing, found = decide_scale(sheet(50 * math.sqrt(2), ("Scale 1:50 @ A3",), page=A4))
    assert drawing.unit_mm == pytest.approx(50 * math.sqrt(2))
    assert [f.code for f in found] == ["scale-decided", "paper-differs"]
    assert "printed smaller, it is 1:70.71" in f"{found[1].text} {found[1].evidence}"


def test_of_two_scales_for_two_papers_the_one_of_this_page_holds() -> None:
    drawing, _ = decide_scale(sheet(100, ("1:50 @ A1", "1:100 @ A3"), page=A3))
    assert drawing.unit_mm == 100.0


def test_paper_of_another_shape_is_told() -> None:
    _, found = decide_scale(sheet(50, ("Scale 1:50 @ A3",), page=(400.0, 400.0)))
    assert "the page is 400 × 400 mm" in next(f"{f.text} {f.evidence}" for f in found if f.code == "paper-differs")


def test_figures_beside_their_lines_are_found_with_their_lengths() -> None:
    found = [f.dimension for f in figures_on_paper(sheet(100, figures=("3450", "2450", "6000")))]
    assert [(d.text, round(d.length, 6)) for d in found] == [("3450", 34.5), ("2450", 24.5), ("6000", 60.0)]


def test_a_line_that_slants_a_little_is_no_dimension_line() -> None:
    lines = np.array([(0.0, 0.0, 50.0, 1.0)])
    figure = (Label("5000", 25.0, 2.5, 2.0, 0),)
    assert figures_on_paper(Drawing("sheet.pdf", (Layer("x"),), Linework(lines), labels=figure)) == ()


@pytest.mark.parametrize("mark", ["D1", "W2", "ST-01", "Flat 7"])
def test_a_mark_on_a_line_is_no_dimension(mark: str) -> None:
    assert figures_on_paper(sheet(100, figures=(mark,))) == ()


def test_several_scales_on_one_sheet_are_told_unless_figures_settle_them() -> None:
    _, found = decide_scale(sheet(100, ("Scale 1:100", "Scale 1:20", "Scale 1:10"), door_mm=826.0))
    assert found[0].severity in ("check", "error")
    figures = ("3450", "2450", "6000", "1885", "4000")
    drawing, found = decide_scale(sheet(100, ("Scale 1:100", "Scale 1:20"), figures))
    assert (drawing.unit_mm, found[0].severity) == (100.0, "note")


def test_a_dimension_goes_to_its_own_layer_but_not_the_wall_that_ends_it() -> None:
    """Written between two faces, square across, that go on to corners."""
    lines = [(0, 0, 40, 0), (40, 0, 40, 30), (40, 30, 0, 30), (0, 30, 0, 0), (0, 3, 40, 3)]
    labels = (Label("4000", 20.0, 5.0, 2.0, 0),)
    inside = Drawing("sheet.pdf", (Layer("x"),), Linework(np.array(lines, float)), labels=labels)
    drawing, _ = decide_scale(inside, "1:100")
    assert drawing.lines.segment_layer.tolist() == [0, 0, 0, 0, 1]
    assert drawing.labels[0].layer == 1
    assert drawing.layers[1].name == "dimension lines and figures"


@pytest.mark.parametrize(
    "figures",
    [
        ("3450", "2450", "6000", "1885", "4000"),
        ("3.45", "2.45", "6.00", "1.885", "4.00"),
        ("345", "245", "600", "188⁵", "400"),
        ("3.45 m", "2.45 m", "6.00 m", "1.89 m", "4.00 m"),
    ],
)
@pytest.mark.parametrize("scale", [50, 100, 200])
def test_figures_decide_without_a_title_block(figures: tuple[str, ...], scale: float) -> None:
    drawing, found = decide_scale(sheet(scale, figures=figures))
    assert drawing.unit_mm == scale
    assert [f.severity for f in found] == ["note"]
    assert f"of {len(figures)} written dimensions agree" in f"{found[0].text} {found[0].evidence}"


def test_feet_and_inches_decide_an_imperial_scale() -> None:
    figures = ("11'-3 13/16\"", "8'-0 7/16\"", "19'-8 1/4\"", "6'-2 3/16\"", "13'-1 1/2\"")
    drawing, (found,) = decide_scale(sheet(48, figures=figures, page=(431.8, 279.4)))
    assert drawing.unit_mm == 48.0
    assert '1/4" = 1\'-0"' in f"{found.text} {found.evidence}"


def test_a_print_fitted_to_its_page_is_read_by_its_figures_and_not_by_its_title_block() -> None:
    figures = ("3450", "2450", "6000", "1885", "4000")
    drawing, found = decide_scale(sheet(106.4, ("Scale 1:100",), figures))
    assert drawing.unit_mm == pytest.approx(106.4, rel=1e-3)
    assert found[0].severity == "check"
    assert "the sheet says “1:100”" in f"{found[0].text} {found[0].evidence}"


def test_figures_that_fit_nothing_make_a_title_block_a_question() -> None:
    drawing, found = decide_scale(sheet(100, ("Scale 1:100",), ("7777", "1234", "8888", "999", "3021")))
    assert drawing.unit_mm == 100.0
    assert [f.code for f in found] == ["scale-undecided", "figures-differ"]


def test_a_door_alone_is_a_hint_and_the_scale_is_asked_for() -> None:
    drawing, (found,) = decide_scale(sheet(100, door_mm=826.0))
    assert drawing.unit_mm == 100.0
    assert (found.code, found.severity) == ("scale-undecided", "error")
    assert "--scale 1:100" in options_for(found)
    assert "826 mm radius" in f"{found.text} {found.evidence}"


def test_printed_areas_in_their_outlines_decide() -> None:
    from takeoff.drawing.model import Loop

    w = 4000.0 / 50
    plain = sheet(50, size_mm=4000.0)
    loop = Loop(((0, 0, 0), (w, 0, 0), (w, w, 0), (0, w, 0)), 0)
    drawing = Drawing(
        plain.name,
        plain.layers,
        plain.lines,
        loops=(loop,),
        claims=plain.claims,
        labels=(Label("Bedroom 16.0 m²", w / 2, w / 2, 2.5, 0),),
    )
    scaled, (found,) = decide_scale(drawing)
    assert scaled.unit_mm == 50.0
    assert found.severity == "note"
    assert "1 of 1 printed areas" in f"{found.text} {found.evidence}"


def test_nothing_at_all_asks_for_the_scale() -> None:
    empty = Drawing("sheet.pdf", (Layer("x"),), Linework())
    _, (found,) = decide_scale(empty)
    assert (found.code, found.severity) == ("scale-undecided", "error")


def test_the_user_overrules_and_is_told_what() -> None:
    drawing, found = decide_scale(sheet(50, ("Scale 1:50",)), "1:100")
    assert drawing.unit_mm == 100.0
    assert (found[0].code, found[0].severity) == ("scale-chosen", "check")
    assert "looks like 1:50" in f"{found[0].text} {found[0].evidence}"
    _, (agreed,) = decide_scale(sheet(50, ("Scale 1:50",)), "1:50")
    assert agreed.severity == "note"


def test_one_known_length_gives_the_scale() -> None:
    ratio = scale_from_known_length((10.0, 10.0), (40.0, 50.0), 5000.0)
    drawing, _ = decide_scale(sheet(100), ratio)
    assert drawing.unit_mm == 100.0


def test_a_note_that_forbids_scaling_is_a_finding_where_it_stands() -> None:
    words = ("Scale 1:50", "Do not scale from this drawing")
    _, found = decide_scale(sheet(50, words))
    (note,) = [f for f in found if f.code == "do-not-scale"]
    assert (note.severity, note.where.x_mm, note.where.y_mm) == ("check", 15000.0, 3000.0)
    assert do_not_scale("DO NOT SCALE OFF DRAWINGS")
    assert not_to_scale("N.T.S.")
    assert not not_to_scale("do not scale")


FIVE = ("3450", "2450", "6000", "1885", "4000")


@pytest.mark.parametrize(("figures", "code"), [(3, "scale-undecided"), (4, "scale-decided")])
def test_four_figures_that_agree_overrule_a_title_block_and_three_only_raise_the_question(
    figures: int, code: str
) -> None:
    drawing, found = decide_scale(sheet(120, ("Scale 1:100",), FIVE[:figures]))
    assert drawing.unit_mm == 120.0
    assert found[0].code == code


def test_figures_tell_a_print_one_percent_too_small_from_its_title_block() -> None:
    drawing, found = decide_scale(sheet(101, ("Scale 1:100",), FIVE))
    assert drawing.unit_mm == pytest.approx(101.0, rel=1e-3)
    assert (found[0].code, found[0].severity) == ("scale-decided", "check")


def test_figures_of_thicknesses_that_are_measured_elsewhere_outvote_no_others() -> None:
    """Five figures in metres stand at lines drawn 1:50 (3,45 m is 69 mm on paper); six of walls, 0,15, stand nearest
    to lines of 60 mm, and say 1:2.5."""
    rooms = [Dimension(0, 0, v * 20.0, 0, v * 20.0, f"{v:.2f}", None, 0) for v in (3.45, 2.45, 6.0, 1.85, 4.0)]
    walls = [Dimension(0, 0, 60.0 + k, 0, 60.0 + k, "0,15", None, 0) for k in range(6)]
    assert ratio_of_figures((*rooms, *walls)) == pytest.approx(50.0)
    # as many that say lengths of rooms and agree on nothing do
    others = [Dimension(0, 0, 60.0 + 7.0 * k, 0, 60.0 + 7.0 * k, "2,15", None, 0) for k in range(6)]
    assert ratio_of_figures((*rooms, *others)) is None


def test_three_figures_that_agree_exactly_tell_a_print_that_was_fitted_to_its_page() -> None:
    """At 1:62.7, near 1:64: 3,45, 2,45 and 6,00 m say what is drawn; at 1:64 none does by 2 %."""
    drawing, found = decide_scale(sheet(62.7, figures=("3,45", "2,45", "6,00")))
    assert found[0].code == "scale-decided"
    assert drawing.unit_mm == pytest.approx(62.7, rel=1e-3)
