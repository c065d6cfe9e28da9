"""Jobs spoiled at random: each is refused with a sentence, or checked without a fault of ours."""

import copy
import json
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from takeoff.errors import InputError
from takeoff.plan.check import check
from takeoff.storage.jobs import dump, load

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"
MUTANTS = 150


def leaves(value: Any, place: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    if isinstance(value, dict | list):
        for step, item in value.items() if isinstance(value, dict) else enumerate(value):
            yield from leaves(item, (*place, step))
    else:
        yield place


def spoil(tree: Any, place: tuple[Any, ...], chance: random.Random) -> None:
    for step in place[:-1]:
        tree = tree[step]
    old = tree[place[-1]]
    if isinstance(old, int | float) and not isinstance(old, bool):
        tree[place[-1]] = chance.choice([0, -old, old * 2, old + 1, -1, old / 2, old * 1000, 1e9, 1e300])
    elif isinstance(old, str):
        tree[place[-1]] = chance.choice(["", "s0", old + "x"])
    else:
        tree[place[-1]] = chance.choice([None, 1, "x", []])


def test_the_sample_job_has_no_errors():
    found = check(load(SAMPLE.read_bytes(), SAMPLE.name))
    assert [f.text for f in found if f.severity == "error"] == []


def test_spoiled_jobs_are_refused_or_checked_but_never_break_the_check():
    chance = random.Random(20)
    sound = json.loads(SAMPLE.read_text("utf-8"))
    places = list(leaves(sound))
    refusals: list[str] = []
    reported = 0
    for _ in range(MUTANTS):
        tree = copy.deepcopy(sound)
        for place in chance.sample(places, chance.choice([1, 2, 6])):
            spoil(tree, place, chance)
        try:
            job = load(json.dumps(tree).encode(), "mutant.json")
        except InputError as error:
            refusals.append(str(error))
            continue
        assert load(dump(job), "mutant.json") == job
        found = check(job)
        reported += bool(found)
        assert all(f.text[-1] in ".?" for f in found)
    assert len(refusals) > MUTANTS / 10
    assert all(said.startswith("mutant.json") for said in refusals)
    assert reported > (MUTANTS - len(refusals)) / 10
