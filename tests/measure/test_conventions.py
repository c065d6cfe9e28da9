import json

import pytest

from takeoff.errors import InputError
from takeoff.files.paths import resource
from takeoff.measure.conventions import BandLeft, BillOpening, BillRoom, RevealGirth, bill, convention_ids, decode, load


def walls(convention: str, *openings: BillOpening, gross: float = 45.0) -> float:
    return bill(load(convention), BillRoom(wall_gross_m2=gross, openings=openings)).wall_m2


def hole(area: float, *reveals: RevealGirth) -> BillOpening:
    return BillOpening("opening", area, reveals)


def test_every_convention_loads_and_says_where_it_comes_from():
    assert "net" in convention_ids()
    for name in convention_ids():
        convention = load(name)
        assert convention.source
        # handbooks of no one year say which they are in their name
        assert convention.year or name == "net" or "older handbooks" in convention.name
        assert convention.known in ("published", "restated", "memory", "practice")


def test_an_unknown_convention_is_refused_with_those_that_exist():
    with pytest.raises(InputError, match=r"choose one of .*net"):
        load("nobody's")
    with pytest.raises(InputError):
        load("../systems/x")


def test_not_exceeding_includes_the_limit():
    assert walls("de-vob", hole(2.5)) == 45.0
    assert walls("de-vob", hole(2.501)) == pytest.approx(42.499)
    # 0.1 × 25 summed in floats is a little more than 2.5 and still 2.5
    assert walls("de-vob", hole(sum([0.1] * 25))) == 45.0
    assert walls("uk-smm7", hole(0.5)) == 45.0
    assert walls("uk-nrm2", hole(1.0)) == 45.0


def test_under_seven_square_yards_leaves_the_limit_out():
    assert walls("us-seven-square-yards", hole(5.85)) == 45.0
    assert walls("us-seven-square-yards", hole(5.85289152)) == pytest.approx(45 - 5.85289152)


def test_an_opening_without_a_reveal_is_told_from_one_with():
    assert walls("at-b2210", hole(2.0)) == 43.0
    assert walls("at-b2210", hole(2.0, RevealGirth(0.2, 6.0))) == 45.0


def test_a_reveal_at_the_limit_counts_by_length_and_a_wider_one_by_area():
    room = BillRoom(45.0, (hole(2.0, RevealGirth(0.3, 6.0), RevealGirth(0.35, 2.0)),))
    billed = bill(load("uk-smm7"), room)
    assert [(n.item, n.width_m, n.length_m) for n in billed.narrow] == [("reveals", 0.3, 6.0)]
    assert billed.reveal_m2 == pytest.approx(0.7)


def test_narrow_strips_count_as_twelve_inches_where_the_rule_says_so():
    billed = bill(load("us-half-deduct"), BillRoom(45.0, (hole(2.0, RevealGirth(0.1, 5.0)),)))
    assert billed.reveal_m2 == pytest.approx(5 * 0.3048)


def test_skirtings_up_to_a_width_are_measured_through():
    room = BillRoom(45.0, bands=(BandLeft("skirting", 0.1, 1.8), BandLeft("dado", 0.2, 3.6)), excluded_m2=2.0)
    assert bill(load("de-vob"), room).wall_m2 == pytest.approx(45 - 3.6 - 2)
    assert bill(load("net"), room).wall_m2 == pytest.approx(45 - 1.8 - 3.6 - 2)


def test_the_working_adds_up_to_what_is_billed():
    openings = (hole(0.36, RevealGirth(0.2, 2.4)), hole(5.04, RevealGirth(0.2, 6.6)), hole(2.0))
    for name in convention_ids():
        billed = bill(load(name), BillRoom(45.0, openings))
        assert billed.wall_m2 == pytest.approx(sum(d.product for d in billed.dims if d.quantity == "wall_m2"))
        assert billed.wall_m2 == pytest.approx(45.0 - billed.deducted_m2 + billed.added_reveal_m2)
        for dim in billed.dims:
            product = dim.times
            for factor in dim.dims:
                product *= factor
            assert dim.product == pytest.approx(product)


def test_a_room_without_openings_is_billed_gross():
    assert all(walls(name) == 45.0 for name in convention_ids())


STEP = {"deduct_with_reveal": 1, "deduct_without_reveal": 1, "reveals": "none"}


@pytest.mark.parametrize(
    "change",
    [
        {"id": "other"},
        {"openings": []},
        {"openings": [STEP | {"up_to_m2": 1}]},
        {"openings": [STEP, STEP]},
        {"openings": [STEP | {"up_to_m2": 2}, STEP | {"up_to_m2": 1}, STEP]},
        {"openings": [STEP | {"deduct_with_reveal": 2}]},
        {"openings": [STEP | {"reveals": "sometimes"}]},
        {"name": 5},
        {"huh": 1},
    ],
)  # fmt: skip
def test_a_file_that_contradicts_itself_is_refused(change):
    tree = json.loads(resource("conventions/net.json").read_text("utf-8")) | change
    with pytest.raises(InputError, match="net"):
        decode(json.dumps(tree).encode(), "net")
