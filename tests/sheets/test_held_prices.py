"""What is billed and priced where walls are bare, ceilings drop and rooms stand several times."""

from __future__ import annotations

from decimal import Decimal

import msgspec
from test_bill_table import bill_of, job, sheets
from test_price_table import price_of, priced

from takeoff.plan.model import Field, Job, Plane, Region, WallTreatment

replace = msgspec.structs.replace


def with_room(of: Job, **given: object) -> Job:
    storey = of.storeys[0]
    return replace(of, storeys=(replace(storey, rooms=(replace(storey.rooms[0], **given),)),))


def boxed(of: Job) -> Job:
    """A boxing of 5.00 × 0.50 m along one wall, 0.30 m below the ceiling of 2.50 m."""
    ring = ((0, 0, 0), (5000, 0, 0), (5000, 500, 0), (0, 500, 0))
    region = Region(id="b", op="lower", outline=ring, planes=(Plane(z_mm=2200),))
    return with_room(of, ceiling=Field(planes=(Plane(z_mm=2500),), regions=(region,)))


def bare(of: Job) -> Job:
    """The wall of 4.00 m with window c, 1.60 × 1.60 m, is not coated."""
    outline = of.storeys[0].rooms[0].outline
    return with_room(of, outline=(outline[0], replace(outline[1], treatment=WallTreatment(coat=False)), *outline[2:]))


def test_drops_are_priced_with_the_bill() -> None:
    table = price_of(replace(priced(boxed(job()), price_coat_m2="10"), convention="uk-smm7"))
    # the boxing takes 0.30 m off the wall of 5.00 m and twice 0.50 × 0.30 m off its neighbours: 1.80 m²;
    # walls 34.07 − 1.80, ceiling 20.00, drop 5.00 × 0.30
    assert table.rows[0][1] == Decimal("34.07") - Decimal("1.80") + Decimal("20.00")
    # the drop is no wider than 300 mm, so it counts by length as the reveals of 4.55 m² do
    assert table.rows[1][:2] == ("Narrow widths, length × width", Decimal("1.50") + Decimal("4.55"))
    # a convention that counts nothing by length has it among the rest: walls 37.40 − 1.80, reveals 4.55
    table = price_of(replace(priced(boxed(job()), price_coat_m2="10"), convention="de-vob"))
    assert table.rows[0][1] == Decimal("37.40") - Decimal("1.80") + Decimal("20.00") + Decimal("1.50") + Decimal("4.55")
    assert [row[0] for row in table.rows] == ["Coat on walls, ceilings and reveals", "New corner bead"]


def test_a_bare_wall_is_not_billed() -> None:
    table = bill_of(sheets(replace(bare(job()), convention="uk-nrm2")))
    # 34.07 less the wall of 4.00 × 2.50 m, of which 1.60 × 1.60 m had been deducted as an opening
    assert table.total is not None
    assert table.total[1] == Decimal("34.07") - Decimal("10.00") + Decimal("2.56")


def test_the_net_price_counts_what_is_coated_alone() -> None:
    table = price_of(priced(bare(job()), price_coat_m2="10"))
    # walls 33.71 − (10.00 − 2.56) and reveals 4.55 less those of window c, 4 × 1.60 × 0.20
    assert table.rows[0][1] == Decimal("33.71") - Decimal("7.44") + Decimal("4.55") - Decimal("1.28") + Decimal("20")


def test_a_storey_that_stands_twice_doubles_the_price() -> None:
    of = priced(job(times=3), price_coat_m2="10")
    twice = replace(of, storeys=(replace(of.storeys[0], times=2),))
    assert price_of(twice).rows[0][1] == 6 * Decimal("58.26")


def test_alike_rooms_and_storeys_count_in_a_price_by_a_convention_too() -> None:
    of = replace(priced(job(times=3), price_coat_m2="10"), convention="uk-smm7")
    # walls as billed 34.07 and ceiling 20.00, thrice
    assert price_of(of).rows[0][1] == Decimal("162.21")
    twice = replace(of, storeys=(replace(of.storeys[0], times=2),))
    assert price_of(twice).rows[0][1] == Decimal("324.42")


def test_a_price_is_shown_with_all_the_decimals_it_was_given() -> None:
    table = price_of(priced(job(), price_coat_m2="10.125", price_bead_m="9.5"))
    assert [str(row[3]) for row in table.rows] == ["10.125", "9.50"]
    # 58.26 m² × 10.125 = 589.8825
    assert table.rows[0][4] == Decimal("589.88")


def test_the_bill_says_how_often_a_room_stands_in_the_whole_job() -> None:
    of = replace(job(times=3), convention="uk-nrm2")
    twice = replace(of, storeys=(replace(of.storeys[0], times=2),))
    row = bill_of(sheets(twice)).rows[0]
    assert row[:2] == ("Hall × 6", 6 * Decimal("34.07"))


def test_a_price_by_a_convention_says_that_it_follows_the_bill_and_a_net_one_need_not() -> None:
    of = priced(job(), price_coat_m2="10")
    assert price_of(of).note == ""
    assert "bill" in price_of(replace(of, convention="de-vob")).note
