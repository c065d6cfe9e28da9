"""Random houses: a net bill is what is coated, every coat edge has its end, narrow work is no wider than its limit."""

from __future__ import annotations

from random import Random

import pytest
from random_jobs import hard_room, house

from takeoff.errors import TakeoffError
from takeoff.measure import measure
from takeoff.measure.conventions import bill_room, load
from takeoff.measure.takeoff import FAMILIES, RoomTakeoff
from takeoff.plan.model import Job


def rooms_of(number: int) -> tuple[RoomTakeoff, ...]:
    rng = Random(7000 + number)
    try:
        job: Job = (hard_room if number % 3 == 0 else house)(rng, number)
    except TakeoffError:
        job = house(rng, number)
    return measure(job).rooms


@pytest.mark.parametrize("number", range(12))
def test_net_bill_of_a_random_house_is_what_is_coated(number: int) -> None:
    for room in rooms_of(number):
        bill = bill_room(load("net"), room)
        billed = (bill.wall_m2, bill.ceiling_m2, bill.drop_m2, bill.reveal_m2)
        assert billed == pytest.approx((room.wall_net_m2, room.ceiling_m2, room.drop_m2, room.reveal_m2), abs=1e-6)


@pytest.mark.parametrize("number", range(12))
def test_kinds_of_every_family_add_up_and_narrow_work_is_narrow(number: int) -> None:
    for room in rooms_of(number):
        for name, family in FAMILIES.items():
            kinds = getattr(room, name)
            assert tuple(kinds) == family.kinds
            if family.whole != name:
                assert sum(kinds.values()) == pytest.approx(getattr(room, family.whole), abs=1e-9)
        by_area, by_length = (bill_room(load(c), room) for c in ("net", "uk-nrm2"))
        assert all(0.0 < work.width_m <= 0.6 + 1e-9 for work in by_length.narrow)
        assert by_length.ceiling_m2 + sum(n.area_m2 for n in by_length.narrow if n.item == "ceilings") == pytest.approx(
            by_area.ceiling_m2, abs=1e-6
        )
