"""What marks the ends of dimension lines on a page, and how many figures have the last word on its scale."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from drawn import Sheet

from takeoff.drawing.model import Claim, Drawing, Label, Layer, Linework
from takeoff.recognise import propose
from takeoff.recognise.scale import decide_scale
from takeoff.recognise.scale.paper_figures import LAYER, figures_on_paper
from takeoff.services.opened.papers import scale_by_areas

LONG_CM = (390, 320, 435, 730, 525, 680, 465, 345, 580, 1015, 255, 610)
CLAIM = Claim("sheet", "page 1", values=(("width_mm", 420.0), ("height_mm", 297.0)))


def page(lines: list[tuple[float, ...]], labels: list[Label]) -> Drawing:
    return Drawing(
        "sheet.pdf", (Layer("black 0.06 mm"),), Linework(np.array(lines, float)), labels=tuple(labels), claims=(CLAIM,)
    )


def ring(x: float, y: float, radius: float) -> list[tuple[float, ...]]:
    corners = [(x + radius * math.cos(k * math.pi / 4), y + radius * math.sin(k * math.pi / 4)) for k in range(9)]
    return [(*a, *b) for a, b in pairwise(corners)]


def dotted(scale: float, radius: float) -> Drawing:
    """Figures in centimetres over lines that end in the middle of rings."""
    lines: list[tuple[float, ...]] = []
    labels = []
    for row, cm in enumerate(LONG_CM):
        y, long = 20.0 + 15.0 * row, cm * 10.0 / scale
        lines += [(30.0, y, 30.0 + long, y), *ring(30.0, y, radius), *ring(30.0 + long, y, radius)]
        labels.append(Label(str(cm), 30.0 + long / 2.0, y + 1.0, 1.2, 0))
    return page(lines, labels)


def slashed(scale: float, *words: str) -> Drawing:
    """Figures in millimetres in gaps of 13 mm of lines that long slashes end, as an enlarged print has them, and words
    beside."""
    lines: list[tuple[float, ...]] = []
    labels = [Label(text, 380.0, 20.0 + 20.0 * k, 3.0, 0) for k, text in enumerate(words)]
    for row, cm in enumerate(LONG_CM):
        y, long = 20.0 + 15.0 * row, cm * 10.0 / scale
        lines += [(25.0, y, 30.0 + long / 2.0 - 6.6, y), (30.0 + long / 2.0 + 6.6, y, 35.0 + long, y)]
        for x in (30.0, 30.0 + long):
            lines += [(x - 2.3, y - 2.3, x + 2.3, y + 2.3), (x, y - 4.0, x, y + 8.0)]
        labels.append(Label(str(cm * 10), 30.0 + long / 2.0, y, 3.0, 0))
    return page(lines, labels)


def test_dots_at_the_ends_of_dimensions_are_measured_from_their_middle() -> None:
    """Each ring of 0.2 mm is crossed 0.2 mm before its middle: 390 cm at 1:230 are 16.96 mm and not 16.56."""
    found = figures_on_paper(dotted(230.0, 0.2))
    assert [f.dimension.text for f in found] == [str(cm) for cm in LONG_CM]
    assert [f.dimension.length for f in found] == pytest.approx([cm * 10 / 230.0 for cm in LONG_CM], abs=0.03)
    drawing, told = decide_scale(dotted(230.0, 0.2))
    assert drawing.unit_mm == pytest.approx(230.0, rel=1e-3)
    assert told[0].code == "scale-decided"


def test_figures_in_wide_gaps_between_long_slashes_are_found() -> None:
    found = figures_on_paper(slashed(39.37))
    assert [f.dimension.length for f in found] == pytest.approx([cm * 10 / 39.37 for cm in LONG_CM], abs=0.02)


def test_a_dozen_figures_that_agree_outweigh_a_title_block_and_what_names_its_unit_besides() -> None:
    drawing, told = decide_scale(slashed(39.37, "1:50"))
    assert drawing.unit_mm == pytest.approx(39.37, rel=1e-3)
    assert (told[0].code, told[0].severity) == ("scale-decided", "check")


def test_lines_of_dimensions_whose_figures_are_rounded_are_told_with_the_others() -> None:
    """Of a dozen figures two are rounded by one percent: 345 for 348.4, 580 for 585.8."""
    plain = dotted(230.0, 0.2)
    drawing, _ = decide_scale(plain)
    rounded = [(cm * 1.01 if cm in (345, 580) else cm) for cm in LONG_CM]
    lines = plain.lines.segments.copy()
    for row, cm in enumerate(rounded):
        shift = (cm - LONG_CM[row]) * 10.0 / 230.0
        lines[17 * row, 2] += shift
        lines[17 * row + 9 : 17 * row + 17, (0, 2)] += shift
    told, _ = decide_scale(page(lines.tolist(), list(plain.labels)))
    own = [layer.name for layer in told.layers].index(LAYER)
    assert (told.lines.segment_layer[::17] == own).all()
    assert (drawing.lines.segment_layer[::17] == own).all()


def test_two_of_four_printed_areas_prove_no_scale_and_three_do() -> None:
    """Rooms of 20, 20, 20 and 20 m² that say 16.0, 20.2, 19.8 and 26.0: the middle two are near the mean of all."""

    def proof(*said: float) -> object:
        sheet = Sheet()
        for k, area in enumerate(said):
            x = 6000.0 * k
            sheet.box(x, 0.0, x + 5000.0, 4000.0).word(f"Room {k}", x + 2500.0, 2500.0)
            sheet.word(f"{area:.1f} m²", x + 2500.0, 1500.0)
        return scale_by_areas(propose(sheet.drawing())[0], 100.0)

    assert proof(16.0, 20.2, 19.8, 26.0) is None
    assert proof(16.0, 20.2, 19.8, 20.0) is not None
