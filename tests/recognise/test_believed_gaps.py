"""Which gaps between the ends of walls are closed where nothing is drawn in them."""

from __future__ import annotations

import numpy as np
import pytest

from takeoff.recognise.walls.believed_gaps import judge
from takeoff.recognise.walls.gap_closures import Bridge
from takeoff.recognise.walls.opening_evidence import Evidence, Swings

NONE = np.zeros((0, 4))
NOTHING = Evidence(
    Swings(np.zeros((0, 2)), np.zeros((0, 2, 2)), np.zeros(0), np.zeros(0, np.int64)), NONE, NONE, NONE, (), (), NONE
)


@pytest.mark.parametrize(("thick_mm", "kinds"), [(28.0, []), (100.0, ["open"])])
def test_where_a_string_or_a_rail_ends_no_plain_gap_is_closed(thick_mm: float, kinds: list[str]) -> None:
    # 1000 from the end of what is 3000 long to the face of a wall.
    faces = np.array([(3000.0, 0.0, 4000.0, 0.0), (3000.0, thick_mm, 4000.0, thick_mm)])
    way = Bridge(faces, 1000.0, thick_mm, (0, -1), deep_mm=(3000.0, 3000.0))
    assert [gap.kind for gap in judge([way], NOTHING, NONE, single_lines=True)] == kinds
