"""What is needed for a room that stands several times, and of bead that is there already."""

from __future__ import annotations

import msgspec
import pytest

from takeoff.measure import measure
from takeoff.plan.model import Job, Opening, Reveal, Room, Side, Storey, Strip, WallTreatment
from takeoff.supply.needs import quantities

L_SHAPE = ((0, 0), (5000, 0), (5000, 2000), (3000, 2000), (3000, 4000), (0, 4000))


def house(treatment: WallTreatment | None = None, **given: str) -> Job:
    """An L-shaped room that stands three times, with a window of 1.20 × 1.20 m whose sill is not coated."""
    strip = Strip(depth_mm=150)
    reveal = Reveal(start=strip, end=strip, head=strip, sill=Strip(depth_mm=150, coat=False))
    window = Opening(id="w", kind="window", room="R", side="s0", offset_mm=1000, width_mm=1200, sill_mm=900,
                     head_mm=2100, reveal=reveal)  # fmt: skip
    outline = tuple(Side(id=f"s{k}", x_mm=x, y_mm=y) for k, (x, y) in enumerate(L_SHAPE))
    outline = (msgspec.structs.replace(outline[0], treatment=treatment), *outline[1:])
    room = Room(id="R", outline=outline, times=3)
    return Job(storeys=(Storey(id="g", rooms=(room,), openings=(window,)),), **given)


def test_open_ends_are_feathered_in_every_one_of_three_rooms() -> None:
    # along the sill's board and at the feet of both jambs the coat does not end open
    assert quantities(measure(house())).feather_m == 0.0
    # the first wall of 5 m is coated over a return of 0.6 m, which ends open, 2.4 m high
    ending = house(treatment=WallTreatment(start_mm=600))
    assert quantities(measure(ending)).feather_m == pytest.approx(3 * 2.4)
    trimmed = msgspec.structs.replace(ending, coat_edge_default="trim")
    assert quantities(measure(trimmed)).feather_m == 0.0


def test_only_new_bead_is_bedded() -> None:
    found = quantities(measure(house()))
    assert found.length_m["new_bead"] == pytest.approx(3 * (2.4 + 3 * 1.2))
    there = quantities(measure(house(bead_default="existing")))
    assert there.length_m["new_bead"] == 0.0
    assert there.length_m["coat_edge"] == pytest.approx(3 * 1.5)


def test_area_is_that_of_three_rooms_by_what_is_coated() -> None:
    found = quantities(measure(house()))
    # walls 43.2 − 1.44 and the reveals 3.6 × 0.15 on plaster, ceilings of 16 m² on plasterboard
    assert found.area_m2 == pytest.approx({"plaster": 3 * (43.2 - 1.44 + 0.54), "plasterboard": 3 * 16.0})
