"""Scale bars: figures as far apart as they say."""

from __future__ import annotations

import msgspec
import numpy as np
import pytest
from test_scale import sheet

from takeoff.drawing.model import Drawing, Label, Linework
from takeoff.recognise.scale import decide_scale
from takeoff.recognise.scale.scale_bars import bars_on_paper


def with_bar(
    drawing: Drawing, mm_per_unit: float, values: tuple[float, ...] = (0, 1, 2, 5), last: str = "5 m", line: bool = True
) -> Drawing:
    """A bar from (200, 150) on, its figures over a line of its length."""
    labels = [Label(f"{v:g}" if v != values[-1] else last, 200.0 + v * mm_per_unit, 150.0, 2.0, 0) for v in values]
    lines = drawing.lines.segments
    if line:
        end = 200.0 + values[-1] * mm_per_unit
        lines = np.concatenate([lines, [(200.0, 146.0, end, 146.0)]])
    return msgspec.structs.replace(drawing, labels=(*drawing.labels, *labels), lines=Linework(lines))


def test_a_bar_of_five_metres_50_mm_long_says_one_to_100() -> None:
    (bar,) = bars_on_paper(with_bar(sheet(100.0), 10.0))
    assert (bar.ratio, bar.value, bar.unit) == (pytest.approx(100.0), 5.0, "m")


def test_a_bar_alone_decides_the_scale() -> None:
    drawing, found = decide_scale(with_bar(sheet(50.0), 20.0))
    assert drawing.unit_mm == 50.0
    assert "The scale bar of 5 m is then 5 m long" in f"{found[0].text} {found[0].evidence}"


def test_a_bar_that_shrank_with_its_print_speaks_against_the_title_block() -> None:
    """Drawn 1:50 for A1 and printed at half its size: the bar is half as long."""
    drawing, found = decide_scale(with_bar(sheet(100.0, ("Scale 1:50",)), 10.0))
    assert drawing.unit_mm in (50.0, 100.0)
    assert found[0].severity in ("check", "error")
    assert "scale bar" in f"{found[0].text} {found[0].evidence}"


@pytest.mark.parametrize(("values", "line"), [((0, 1, 2, 5), False), ((0, 5), True), ((1, 2, 3, 4), True)])
def test_figures_without_a_line_or_a_zero_are_no_bar(values: tuple[float, ...], line: bool) -> None:
    assert bars_on_paper(with_bar(sheet(100.0), 10.0, values, line=line)) == ()


def test_figures_that_are_not_in_proportion_are_no_bar() -> None:
    drawing = sheet(100.0)
    labels = [Label(t, x, 150.0, 2.0, 0) for t, x in (("0", 200), ("1", 230), ("2", 235), ("3 m", 300))]
    lines = np.concatenate([drawing.lines.segments, [(200.0, 146.0, 300.0, 146.0)]])
    found = msgspec.structs.replace(drawing, labels=tuple(labels), lines=Linework(lines))
    assert bars_on_paper(found) == ()


def test_feet_make_a_bar_too() -> None:
    (bar,) = bars_on_paper(with_bar(sheet(96.0), 3.175, (0, 4, 8, 16), "16 ft"))
    assert bar.ratio == pytest.approx(96.0)


def test_a_bar_is_as_long_as_its_marks_are_apart_wherever_its_figures_stand() -> None:
    """Figures with units stand aside of their marks: 8 ft are 50.8 mm at 1:48, the figure is 2 mm on."""
    drawing = with_bar(sheet(48.0), 6.35, (0, 2, 4, 8), "8'")
    labels = tuple(
        msgspec.structs.replace(v, x=v.x + 2.0) if v.y == 150.0 and v.text != "0" else v for v in drawing.labels
    )
    (bar,) = bars_on_paper(msgspec.structs.replace(drawing, labels=labels))
    assert bar.ratio == pytest.approx(48.0, rel=1e-6)
