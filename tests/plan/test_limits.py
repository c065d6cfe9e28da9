"""What a job may hold: said with file and field where it is read."""

import copy
import json
from pathlib import Path
from typing import Any

import msgspec
import pytest
from plan_samples import box, job, room, window

from takeoff.errors import InputError
from takeoff.plan.check import check
from takeoff.plan.limits import MOST_VERTICES, refuse_unsound
from takeoff.plan.model import Field, Plane, Side, SideId
from takeoff.storage.jobs import load

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"
TREE = json.loads(SAMPLE.read_text("utf-8"))
PLANE = {"z_mm": 2400.0}


def spoiled(path: str, value: Any) -> bytes:
    tree: Any = copy.deepcopy(TREE)
    steps = [int(step) if step.isdecimal() else step for step in path.replace("[", ".").replace("]", "").split(".")]
    place = tree
    for step in steps[:-1]:
        place = place[step]
    place[steps[-1]] = value
    return json.dumps(tree).encode()


def refusal(data: bytes) -> str:
    with pytest.raises(InputError) as caught:
        load(data, "house.json")
    return str(caught.value)


@pytest.mark.parametrize(
    ("path", "value", "said"),
    [
        ("storeys[0].openings[0].head_mm", 1e308, "is 1e+308; it must be from -50000 to 50000"),
        ("storeys[0].openings[0].width_mm", -1e308, "is -1e+308; it must be more than 0, at most 50000"),
        ("storeys[0].times", 10**9, "is 1000000000; it must be from 1 to 10000"),
        ("storeys[0].rooms[2].times", 10**9, "is 1000000000; it must be from 1 to 10000"),
        ("storeys[0].rooms[2].outline[1].x_mm", 1e12, "is 1000000000000; it must be"),
    ],
)
def test_a_number_that_no_building_has_is_refused_with_file_and_field(path, value, said):
    assert refusal(spoiled(path, value)).startswith(f"house.json: {path} {said}")


def test_a_reveal_deeper_than_any_wall_is_refused_with_its_path():
    text = refusal(spoiled("storeys[0].openings[0].reveal", {"start": {"depth_mm": 1e20}}))
    assert text.startswith("house.json: storeys[0].openings[0].reveal.start.depth_mm is 1e+20; it must be from 0")


def test_a_slope_that_no_roof_has_is_refused_with_its_path():
    text = refusal(spoiled("storeys[0].rooms[2].ceiling", {"planes": [PLANE | {"slope_x": 1e20}]}))
    assert text.startswith("house.json: storeys[0].rooms[2].ceiling.planes[0].slope_x is 1e+20; it must be from -100")


@pytest.mark.parametrize(
    ("path", "value", "said"),
    [
        ("storeys[0].rooms[2].ceiling", {"planes": []}, "ceiling.planes holds no planes: give its height."),
        ("storeys[0].rooms[2].outline", [], "outline holds no corners: draw it again."),
        ("storeys[0].rooms[2].inner", [[]], "inner[0] holds no corners: draw it again."),
    ],
)
def test_what_holds_nothing_is_refused_with_its_path(path, value, said):
    assert refusal(spoiled(path, value)) == f"house.json: storeys[0].rooms[2].{said}"


def test_two_rooms_of_one_id_are_refused():
    first = TREE["storeys"][0]["rooms"][0]["id"]
    text = refusal(spoiled("storeys[0].rooms[2].id", first))
    assert text == (
        f"house.json: storeys[0].rooms[2].id is “{first}”, as storeys[0].rooms[0].id is: give each an id of its own."
    )


def test_lists_without_end_are_refused_before_they_are_measured():
    text = refusal(spoiled("storeys[0].rooms[2].ceiling", {"planes": [PLANE] * 2000}))
    assert "storeys[0].rooms[2].ceiling.planes has 2,000 entries, more than the 200" in text
    corner = {"x_mm": 0.0, "y_mm": 0.0}
    many = [corner | {"id": f"s{k}"} for k in range(MOST_VERTICES + 1)]
    assert "rooms[2].outline has 5,001 entries" in refusal(spoiled("storeys[0].rooms[2].outline", many))
    assert "rooms[2].inner[0] has 5,001 entries" in refusal(spoiled("storeys[0].rooms[2].inner", [many]))


def test_a_building_in_the_national_grid_is_sound():
    there = job(room(box(4000, 3000, 530_000_000, 180_000_000)), openings=(window(),))
    refuse_unsound(there, "grid.json")
    assert check(there) == ()


def test_what_two_jobs_share_is_looked_at_once():
    sides = tuple(Side(id=SideId(f"s{k}"), x_mm=1e20, y_mm=0.0) for k in range(3))
    known = job(room())
    bad = msgspec.structs.replace(known.storeys[0].rooms[0], outline=sides)
    spoilt = job(bad)
    with pytest.raises(InputError, match=r"This cannot be: storeys\[0\].rooms\[0\].outline\[0\].x_mm is 1e\+20"):
        refuse_unsound(spoilt, "This cannot be", known)
    refuse_unsound(spoilt, "This cannot be", spoilt)


def test_openings_in_one_place_are_told_up_to_a_number_and_then_refused():
    def piled(count):
        return job(room(), openings=tuple(window(id=f"w{k}") for k in range(count)))

    told = [f for f in check(piled(60)) if f.code == "openings-overlap"]
    assert len(told) == 50
    refuse_unsound(piled(500), "piled.json")
    with pytest.raises(
        InputError, match=r"piled.json: storeys\[0\].openings holds 501 for side s0 of room r1, and one"
    ):
        refuse_unsound(piled(501), "piled.json")


def test_a_room_that_stands_in_the_building_too_often_is_refused():
    tree = copy.deepcopy(TREE)
    tree["storeys"][0]["times"] = 5000
    tree["storeys"][0]["rooms"][1]["times"] = 3
    assert refusal(json.dumps(tree).encode()).startswith(
        "house.json: storeys[0].rooms[1].times is 3, and its storey repeats × 5000: 15,000 such rooms are more"
    )


def test_a_slope_that_is_carried_on_too_far_is_an_error():
    steep = Field(planes=(Plane(z_mm=2400.0, slope_x=90.0),))
    (found,) = check(job(room(box(4000, 3000), ceiling=steep)))
    assert (found.code, found.severity) == ("room-too-high", "error")
    assert "more than any room is" in found.text


def test_name_of_a_million_letters_is_refused_with_its_place() -> None:
    said = refusal(spoiled("storeys[0].rooms[0].name", "W" * 1_000_000))
    assert "storeys[0].rooms[0].name has 1,000,000 letters" in said
