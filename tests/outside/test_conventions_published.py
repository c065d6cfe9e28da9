"""One room under every measuring convention.

The room is 5.00 × 4.00 × 2.50 with five openings. Thresholds are as the standards are restated
on published pages, those of NRM2 and the inner-face cases of IS 1200 from memory; the figures were
worked out apart from this program.
"""

import pytest

from takeoff.measure.conventions import Billed, BillOpening, BillRoom, RevealGirth, bill, load


def opening(width: float, height: float, sides: int, depth: float) -> BillOpening:
    """With a reveal on all four sides, or on the jambs and the head (three); none without sides."""
    girth = {4: 2 * (width + height), 3: width + 2 * height, 0: 0.0}[sides]
    reveals = (RevealGirth(depth, girth),) if girth else ()
    return BillOpening(f"{width} × {height}", width * height, reveals)


OPENINGS = (
    opening(0.6, 0.6, 4, 0.20),
    opening(1.2, 1.2, 4, 0.20),
    opening(1.6, 1.6, 4, 0.20),
    opening(0.9, 2.1, 3, 0.10),
    opening(2.4, 2.1, 3, 0.20),
)
GROSS = 2 * (5.00 + 4.00) * 2.50


def billed(convention: str, *more: BillOpening) -> Billed:
    return bill(load(convention), BillRoom(GROSS, (*OPENINGS, *more)))


def test_the_room_itself():
    assert pytest.approx(45.00) == GROSS
    net = billed("net")
    assert net.wall_m2 == pytest.approx(33.71)
    assert net.reveal_m2 == pytest.approx(4.55)
    assert net.wall_m2 + net.reveal_m2 == pytest.approx(38.26)
    arrises = sum(strip.length_m for o in OPENINGS for strip in o.reveals)
    assert arrises == pytest.approx(25.30)


@pytest.mark.parametrize(
    ("convention", "walls"),
    [
        ("uk-smm7", 34.07),  # not exceeding 0.50 m²; SMM7 M20 as restated
        ("uk-nrm2", 34.07),  # not exceeding 1.00 m²; NRM2 section 28, from memory
        ("de-vob", 37.40),  # not exceeding 2.50 m²; DIN 18350 as restated
        ("at-b2210", 41.76),  # reveals in it; ÖNORM B 2210 simplified, as restated
        ("in-is1200-two-faces", 38.335),  # half on each face; IS 1200 part 12 as restated
        ("in-is1200-inner-wide", 41.28),  # from memory
        ("in-is1200-inner-narrow", 35.39),  # from memory
        ("us-half-deduct", 39.355),  # older handbooks as restated
        ("us-seven-square-yards", 45.00),  # older handbooks as restated
    ],
)
def test_walls_under_each_convention(convention, walls):
    assert billed(convention).wall_m2 == pytest.approx(walls, abs=1e-9)


def test_germany_measures_reveals_apart_whatever_the_size():
    assert billed("de-vob").reveal_m2 == pytest.approx(4.55)


def test_older_german_editions_measure_reveals_only_of_large_openings():
    # 1.6 × 1.6: 6.4 × 0.2; 2.4 × 2.1: 6.6 × 0.2
    assert billed("de-vob-older").reveal_m2 == pytest.approx(1.28 + 1.32)
    assert billed("de-vob-older").wall_m2 == pytest.approx(37.40)


@pytest.mark.parametrize("convention", ["uk-smm7", "uk-nrm2"])
def test_narrow_reveals_by_length(convention):
    """Widths of 300 mm (SMM7) and 600 mm (NRM2), both from memory."""
    found = billed(convention)
    reveals = [narrow for narrow in found.narrow if narrow.item == "reveals"]
    assert [narrow.width_m for narrow in reveals] == [0.20, 0.10]
    assert [narrow.length_m for narrow in reveals] == pytest.approx([20.20, 5.10])
    assert found.reveal_m2 == 0


def test_a_further_opening_tells_the_two_british_conventions_apart():
    further = opening(0.9, 0.9, 0, 0.0)
    assert billed("uk-smm7", further).wall_m2 == pytest.approx(33.26)
    assert billed("uk-nrm2", further).wall_m2 == pytest.approx(34.07)


THRESHOLDS = [
    ("uk-smm7", [0.50, None]),  # SMM7 M20, restated
    ("uk-nrm2", [1.00, None]),  # from memory
    ("de-vob", [2.50, None]),  # DIN 18350, DIN 18363, restated
    ("at-b2210", [0.50, 4.00, None]),  # ÖNORM B 2210, restated
    ("in-is1200-two-faces", [0.5, 3.0, None]),  # IS 1200 part 12, restated
    ("us-seven-square-yards", [7 * 0.9144**2, None]),  # 7 sq yd = 5.85289152 m²
]


@pytest.mark.parametrize(("convention", "limits"), THRESHOLDS)
def test_thresholds_are_those_of_the_table(convention, limits):
    found = [rule.up_to_m2 for rule in load(convention).openings]
    assert found[-1] is limits[-1] is None
    assert found[:-1] == pytest.approx(limits[:-1], abs=1e-12)


def test_widths_that_count_by_length_are_those_of_the_table():
    assert load("uk-smm7").by_length_up_to_mm == 300  # from memory
    assert load("uk-nrm2").by_length_up_to_mm == 600  # from memory
    assert load("de-vob").through_up_to_mm == 100  # skirtings up to 10 cm, restated
    assert load("us-half-deduct").least_width_mm == pytest.approx(12 * 25.4)  # strips under 12 in
