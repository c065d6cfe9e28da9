"""Coating systems: what the files hold, and what is refused."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any

import pytest

from takeoff.errors import InputError
from takeoff.files.paths import resource
from takeoff.supply.systems import available, load, profile_for_angle, read


def data() -> dict[str, Any]:
    found: dict[str, Any] = json.loads(resource("systems/demo-lime-foam.json").read_bytes())
    return found


def refusal(changed: dict[str, Any]) -> str:
    with pytest.raises(InputError) as caught:
        read(json.dumps(changed).encode(), "mine.json")
    return str(caught.value)


@pytest.mark.parametrize("system_id", available())
def test_every_system_that_comes_with_the_program_is_invented_and_says_so(system_id: str) -> None:
    system = load(system_id)
    assert system.id == system_id
    assert system.demo
    assert "not a product" in system.name
    assert "invented" in system.note
    rules = [system.coat.rule, system.base.rule, *(use.rule for use in (*system.by_edge, *system.by_area))]
    assert all("no source" in rule for rule in rules)


def test_a_system_is_found_by_the_id_that_older_jobs_hold() -> None:
    assert load("demo-cork-skim") == load("demo-coat-b")


@pytest.mark.parametrize("system_id", available())
def test_porous_substrates_get_two_base_coats_and_others_one(system_id: str) -> None:
    assert all(one.base_coats == (2 if one.porous else 1) for one in load(system_id).substrates)


@pytest.mark.parametrize("system_id", available())
def test_usual_substrates_and_profiles_are_there(system_id: str) -> None:
    system = load(system_id)
    assert {"plaster", "plasterboard"} <= {one.id for one in system.substrates}
    assert {"square", "wide", "narrow", "flexible"} <= {one.id for one in system.beads}


def test_prices_are_exact_decimals() -> None:
    assert load("demo-lime-foam").coat.product.packs[0].price == Decimal("41.50")


def test_profile_follows_the_angle_of_the_void_and_curves_take_coil() -> None:
    system = load("demo-lime-foam")
    found = [profile_for_angle(system, angle) for angle in (270.0, 225.0, 320.0)]
    assert [one.id for one in found if one] == ["square", "wide", "narrow"]
    curved = profile_for_angle(system, 270.0, curved=True)
    assert curved is not None
    assert curved.id == "flexible"
    assert profile_for_angle(system, 90.0) is None


def test_unknown_system_is_refused_with_the_ones_there_are() -> None:
    with pytest.raises(InputError, match="demo-coat-b, demo-lime-foam"):
        load("other")


@pytest.mark.parametrize("outside", ["../sheets/texts", "/etc/passwd", ""])
def test_a_system_id_never_leads_out_of_the_folder(outside: str) -> None:
    with pytest.raises(InputError, match="There is no coating system"):
        load(outside)


def test_misspelt_field_is_refused_by_name() -> None:
    changed = data()
    changed["coat"]["thicknes_mm"] = changed["coat"].pop("thickness_mm")
    assert "mine.json" in refusal(changed)
    assert "thickness_mm" in refusal(changed) or "thicknes_mm" in refusal(changed)


def test_negative_rate_is_refused_with_its_path() -> None:
    changed = data()
    changed["base"]["per_m2"] = -0.1
    assert "$.base.per_m2" in refusal(changed)


def test_price_for_some_packs_only_is_refused() -> None:
    changed = data()
    del changed["coat"]["product"]["packs"][0]["price"]
    assert "price all of them or none" in refusal(changed)


@pytest.mark.parametrize("price", ["-1", "NaN", "Infinity"])
def test_price_that_is_no_amount_is_refused(price: str) -> None:
    changed = data()
    changed["coat"]["product"]["packs"][0]["price"] = price
    assert "not negative" in refusal(changed)


def test_substrate_given_twice_is_refused() -> None:
    changed = data()
    changed["substrates"].append(changed["substrates"][0])
    assert "“plasterboard” is given twice" in refusal(changed)


def test_missing_fallback_substrate_is_refused() -> None:
    changed = data()
    changed["fallback_substrate"] = "marble"
    assert "marble" in refusal(changed)


@pytest.mark.parametrize("junk", [b"", b"\xff\xfe", b"[1, 2]", b"[" * 100_000, b'{"coat": NaN}'])
def test_file_that_is_no_system_is_refused_in_words(junk: bytes) -> None:
    with pytest.raises(InputError, match=r"^mine.json is not a coating system"):
        read(junk, "mine.json")
