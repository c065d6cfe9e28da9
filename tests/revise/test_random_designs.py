"""Random plans, changed at random in every way a designer changes one, laid over themselves: figures against solids,
settings carried over or told, accepted as measured anew, and once more without a change.

``TAKEOFF_REVISIONS=200`` runs as many, marked as a campaign; a few are in the suite.
"""

from __future__ import annotations

import copy
import math
import os
import random
from collections import Counter
from typing import Any

import msgspec
import pytest
from laid_by_chance import laid
from random_designs import CHANGES, Design, changed, random_design
from random_settings import Followed, Said, all_settings, few_settings, followed, job_of, spots, storey_of
from random_solids import counted_alike, differences, figures

from takeoff.measure import measure
from takeoff.measure.memory import numbers
from takeoff.plan.model import Room, Side, Storey
from takeoff.revise.comparison import Compared

RUNS = int(os.environ.get("TAKEOFF_REVISIONS", "0"))
FEW = len(CHANGES)
KEPT_SHARE = 0.99


def revised(seed: int) -> tuple[Design, Design, list[str], random.Random]:
    """A design, the same with a change of the kind that comes next, sometimes another one beside it."""
    rng = random.Random(seed)
    while True:
        old = random_design(rng)
        whats = [CHANGES[seed % len(CHANGES)]]
        if rng.random() < 0.4:
            whats.append(rng.choice([what for what in CHANGES if what != whats[0]]))
        new: Design | None = copy.deepcopy(old)
        for what in whats:
            new = changed(new, what) if new is not None else None
        if new is not None:
            return old, new, whats, rng


# Known again by place ------------------------------------------------------------------------------------


def at_place(storey: Storey, design: Design, key: str) -> tuple[Room, dict[str, int]] | None:
    """The room that stands where one of the design does, and its sides' walls by number."""
    starts = spots(design, key)
    for room in storey.rooms:
        if len(room.outline) != len(starts):
            continue
        names: dict[str, int] = {}
        for side in room.outline:
            for number, (x, y) in starts.items():
                if abs(side.x_mm - x) < 2.0 and abs(side.y_mm - y) < 2.0:
                    names[str(side.id)] = number
        if len(names) == len(starts):
            return room, names
    return None


def set_of(storey: Storey, design: Design) -> dict[tuple[object, ...], object]:
    """All that is set in a storey, by what it is set of: keys of rooms, numbers of walls and openings."""
    found: dict[tuple[object, ...], object] = {}
    homes = {}
    for _, cell in design.cells:
        home = at_place(storey, design, cell.key)
        assert home is not None, f"{cell.key} is not there"
        room, names = home
        homes[room.id] = cell.key
        found |= {(cell.key, *what): value for what, value in _of_room(room, names).items()}
        for side in room.outline:
            found |= {(cell.key, names[str(side.id)], what): v for what, v in _of_side(side).items()}
    lines = design.lines()
    for opening in storey.openings:
        key = homes[opening.room]
        room, names = at_place(storey, design, key)  # type: ignore[misc]
        side = names[str(opening.side)]
        middle = opening.offset_mm + opening.width_mm / 2.0
        (x0, y0), (x1, y1) = lines[side][1]
        length = math.hypot(x1 - x0, y1 - y0)
        place = x0 + (x1 - x0) * middle / length, y0 + (y1 - y0) * middle / length
        axis = 0 if abs(x1 - x0) > abs(y1 - y0) else 1
        hole = next(
            (h.key for h in design.holes if h.wall == side and abs(h.at + h.width / 2.0 - place[axis]) < 2.0), None
        )
        assert hole is not None, f"an opening that is not drawn in {key}"
        found["opening", hole, "width"] = round(opening.width_mm, 2)
        for part in ("sill", "head"):
            if getattr(opening, f"{part}_source") == "typed":
                found["opening", hole, part] = getattr(opening, f"{part}_mm")
        strip = opening.reveal.head
        found["opening", hole, "strips"] = (strip.depth_mm, strip.coat, strip.depth_source == "typed")
        if opening.mark:
            found["opening", hole, "mark"] = opening.mark
    return found


def _of_room(room: Room, names: dict[str, int]) -> dict[tuple[object, ...], object]:
    found: dict[tuple[object, ...], object] = {}
    if room.ceiling is not None:
        found["ceiling",] = (room.ceiling.planes[0].z_mm, room.ceiling.source)
    plain = Room(id=room.id, outline=room.outline)
    for name in ("walls", "floor_build_up_mm", "ceiling_build_up_mm", "above", "times"):
        if getattr(room, name) != getattr(plain, name):
            found[name,] = rounded(getattr(room, name))
    if not room.ceiling_treatment.coat:
        found["ceiling bare",] = True
    for border in room.ceiling_treatment.left_on:
        found["left on", border.width_mm] = sorted(names[str(side)] for side in border.sides)
    for pick in room.corners:
        sides = pick.corner.split("|")
        if all(side in names for side in sides):
            found["pick", tuple(sorted(names[side] for side in sides))] = pick.bead
    items = Counter((item.kind, names.get(item.side or "", item.side), item.count) for item in room.counted)
    found |= {("counted", *item): count for item, count in items.items()}
    return found


def _of_side(side: Side) -> dict[str, object]:
    found: dict[str, object] = {}
    if side.behind:
        found["behind"] = rounded(side.behind)
    if side.treatment is not None:
        found["treatment"] = rounded(side.treatment)
    return found


def rounded(value: object) -> object:
    """As plain values, lengths to 0.01 mm."""

    def plain(v: Any) -> Any:
        if isinstance(v, float):
            return round(v, 2) + 0.0
        if isinstance(v, dict):
            return {k: plain(x) for k, x in v.items()}
        return [plain(x) for x in v] if isinstance(v, list | tuple) else v

    return plain(msgspec.to_builtins(value))


# The checks ----------------------------------------------------------------------------------------------


def against_solids(old: Design, new: Design, said: Said, done: Compared, then: Followed, what: str) -> None:
    """Additions and omissions of each room are those of the solids."""
    olds = {cell.key: figures(old, row, cell, said) for row, cell in old.cells}
    news = {cell.key: figures(new, row, cell, then.said) for row, cell in new.cells}
    ids = {f"r{k}": cell.key for k, (_, cell) in enumerate(old.cells, 1)}
    for _, cell in new.cells:
        home = at_place(done.job.storeys[0], new, cell.key)
        assert home is not None, (what, cell.key)
        if cell.key in olds:
            assert ids[str(home[0].id)] == cell.key, (what, "taken for another room")
        ids[str(home[0].id)] = cell.key
    found = {ids[room.room]: room for room in done.difference.rooms}
    assert found.keys() == olds.keys() | news.keys(), what
    for key, room in found.items():
        alike = counted_alike(old, new, key)
        for figure, (added, omitted) in differences(olds.get(key), news.get(key), alike).items():
            q = room.quantities[figure]
            assert (float(q.added), float(q.omitted)) == pytest.approx((added, omitted), abs=2e-5), (what, key, figure)


def told_of(done: Compared, old: Design) -> Counter[str]:
    """How many lines say what was lost, by the key of the room."""
    ids = {f"r{k}": cell.key for k, (_, cell) in enumerate(old.cells, 1)}
    return Counter(ids.get(one.room, one.room) for one in done.lost)


def run(seed: int) -> tuple[int, int]:
    """One design changed and laid over itself; (settings that go on, those of them that are there)."""
    old, new, whats, rng = revised(seed)
    what = f"{seed}: {', '.join(whats)}"
    said = few_settings(old, rng)
    done = laid(job_of(old, said), storey_of(new, Said()), rng)
    against_solids(old, new, said, done, followed(said, old, new), what)
    assert all(q.old + q.added - q.omitted == q.new for q in done.difference.totals.values())
    return settings_kept(old, new, rng, what)


def settings_kept(old: Design, new: Design, rng: random.Random, what: str) -> tuple[int, int]:
    said = all_settings(old, rng)
    job, drawn = job_of(old, said), storey_of(new, Said())
    done = laid(job, drawn, rng)
    then = followed(said, old, new)
    expected = job_of(new, then.said)
    wanted, found = set_of(expected.storeys[0], new), set_of(done.job.storeys[0], new)
    missing = [key for key, value in wanted.items() if found.get(key) != value]
    told = told_of(done, old)
    if missing and os.environ.get("TAKEOFF_SHOW"):
        for key in missing:
            print(what, key, "wanted", wanted[key], "found", found.get(key))
        for key in found.keys() - wanted.keys():
            print(what, key, "is too many:", found[key])
        print([(x.what, x.where, x.was) for x in done.lost])
    gone = Counter(room for room, _ in then.gone)
    assert set(told) <= set(gone), (what, "told though it is there", done.lost)
    for room, count in gone.items():
        assert told[room] >= count, (what, room, then.gone, done.lost)
    if not missing and found.keys() == wanted.keys():
        fresh = {t.room: t for t in measure(expected).rooms}
        for _, cell in new.cells:
            mine, theirs = (at_place(j.storeys[0], new, cell.key) for j in (done.job, expected))
            assert mine is not None
            assert theirs is not None
            taken = next(t for t in done.taken[1].rooms if t.room == str(mine[0].id))
            assert numbers(taken) == pytest.approx(numbers(fresh[str(theirs[0].id)]), abs=1e-6), (what, cell.key)
    again = laid(done.job, drawn, rng)
    assert again.difference.changed == (), what
    assert again.job.storeys == done.job.storeys, what
    assert again.lost == (), what
    return len(wanted), len(wanted) - len(missing)


@pytest.mark.parametrize("seed", range(FEW))
def test_a_change_of_every_kind(seed: int) -> None:
    wanted, kept = run(seed)
    assert kept == wanted


@pytest.mark.campaign
@pytest.mark.skipif(RUNS == 0, reason="the long form is run by hand: TAKEOFF_REVISIONS=200")
def test_as_many_as_are_asked_for() -> None:
    counted = [run(seed) for seed in range(RUNS)]
    wanted, kept = (sum(values) for values in zip(*counted, strict=True))
    print(f"{kept} of {wanted} settings carried over, {RUNS} changes")
    assert kept >= KEPT_SHARE * wanted
