"""What is needed for a room that stands several times, and of bead that is there already."""

from __future__ import annotations

from decimal import Decimal

import msgspec
import pytest

from takeoff.measure import measure
from takeoff.measure.dims import profile_of
from takeoff.measure.takeoff import BeadPiece, Edge, Takeoff
from takeoff.plan.model import Job, Opening, Reveal, Room, Side, Storey, Strip, WallTreatment
from takeoff.supply.cutting import cut
from takeoff.supply.materials import materials
from takeoff.supply.needs import quantities
from takeoff.supply.systems import BeadProfile, Stock, available, load, profile_for_angle

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


def profile(*prices: Decimal | None) -> BeadProfile:
    lengths = (2400.0, 3000.0)
    stock = tuple(Stock(f"{mm:.0f} mm bar", mm, price) for mm, price in zip(lengths, prices, strict=True))
    return BeadProfile(id="square", name="Bead", stock=stock)


def test_pieces_are_cut_to_the_nearest_millimetre() -> None:
    pieces = [BeadPiece(length_mm=mm, profile="square", where="there") for mm in (1234.6, 1000.4)]
    found = cut(profile(None, None), pieces)
    assert sorted(one.length_mm for bar in found.bars for one in bar.cuts) == [1000, 1235]


def test_with_one_price_missing_the_length_is_made_least() -> None:
    pieces = [BeadPiece(length_mm=2300.0, profile="square", where="there")]
    assert cut(profile(Decimal("3.00"), None), pieces).aim == "length"
    priced = cut(profile(Decimal("3.00"), Decimal("2.00")), pieces)
    assert (priced.aim, priced.cost, priced.bought) == ("cost", Decimal("2.00"), (("3000 mm bar", 1),))
    assert msgspec.structs.asdict(priced)["proved"]


def test_a_corner_at_the_edge_of_a_profiles_range_takes_that_profile() -> None:
    system = load("demo-lime-foam")
    first = system.beads[0]
    assert profile_for_angle(system, first.angle_from_deg) is first
    assert profile_for_angle(system, first.angle_to_deg) is first


@pytest.mark.parametrize("name", available())
def test_every_corner_from_185_to_360_degrees_is_ordered_in_a_profile_made_for_it(name: str) -> None:
    """Measuring names profiles by the angle alone; a system whose profiles part elsewhere orders its own."""
    system = load(name)
    made = {one.id: one for one in system.beads}
    stands = measure(house()).rooms[0]
    for angle in (185.0 + k for k in range(176)):
        for curved in (False, True):
            profile = profile_of(angle, curved)
            edge = Edge("e", "external", "opening", 0.226, angle, ("w", "r"), curved=curved, bead="new")
            room = msgspec.structs.replace(stands, edges=(edge,), bead_pieces=(BeadPiece(226.0, profile, "e"),))
            (taken,) = [one for one in materials(Takeoff((room,), {}, (), ()), system).beads if one.need_mm]
            ordered = made[taken.profile]
            assert ordered.coil == curved
            assert ordered.angle_from_deg <= angle <= ordered.angle_to_deg
