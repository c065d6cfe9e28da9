"""What the views say of the samples, in a language that nobody speaks: whatever stands outside brackets is a name of
the user's or was never put into the catalogue."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import msgspec
import pytest

from takeoff.language import catalogue as spoken
from takeoff.language import use_language
from takeoff.measure import Memory
from takeoff.plan import edits
from takeoff.plan.counted_items import CountedItem
from takeoff.plan.edits.lot_edits import lot_for_each_storey
from takeoff.plan.model import Job
from takeoff.plan.site_check import ConditionReading, Tick
from takeoff.services.offered.treatment_options import option_typed
from takeoff.services.opened.opening import open_file
from takeoff.supply.systems import CoatingSystem, of_job
from takeoff.views import (
    cards,
    chosen_coats,
    coat_questions,
    first_pass,
    job_steps,
    lots_seen,
    offering_seen,
    opening_types,
    options_seen,
    outside_walls,
    quick_parts,
    room_seen,
    settling,
    site_said,
    site_seen,
    storey_heights,
    system_rows,
    table_lines,
)
from takeoff.views.board import Considered, State, all_findings, consider, stand
from tests.language.test_pseudo_sheets import Longer, own_words

SAMPLES = Path(__file__).parents[2] / "sample_plans"
NAMES = ("terrace.job.json", "stairwell.dxf", "flat_feet.dxf", "loft.dxf")
NOON = datetime(2031, 5, 20, 12)
WORD = re.compile(r"[^\W\d_]{2,}")
UNITS = frozenset(
    {
        "mm",
        "m²",
        "cm",
        "kg",
        "ml",
        "ft",
        "EUR",
        "XTS",
        "May",
        "Jun",
        "June",
        "Mon",
        "Tue",
        "Wed",
        "Thu",
        "Fri",
        "Sat",
        "Sun",
    }
)
TYPED = frozenset({"As", "drawn", "Ann", "wetter", "gauge"})
KEYS = frozenset(
    {
        "id", "kind", "kinds", "key", "code", "state", "severity", "paper", "papers", "audience", "room", "storey",
        "opening", "side", "sides", "group", "path", "place", "where", "subject", "answers", "behind", "confidence",
        "storeys", "rooms", "chosen", "job", "alike", "ids", "walls", "corners", "acts", "item", "value", "face",
        "facts", "quantity", "planned", "above",
        "of", "accept", "shape", "depth_source", "coat", "solid", "walls_on", "ceiling_on", "form",
    }
)  # fmt: skip
"""Fields that nobody reads: ids, keys and values of the model, among them the dims that a line is of."""


@pytest.fixture(autouse=True)
def nobodys_language() -> Iterator[None]:
    spoken.use_catalogue("xv", Longer())  # a code of its own: what is cached by it is nobody else's
    yield
    use_language("en")


def said_in(value: object) -> Iterator[tuple[str, str]]:
    """(field, text) of every text of a view that the window shows."""
    if isinstance(value, str):
        yield "", value
    elif isinstance(value, Job):
        return
    elif isinstance(value, msgspec.Struct) or hasattr(value, "__dict__"):
        names = getattr(value, "__struct_fields__", None) or vars(value)
        for name in names:
            if name not in KEYS and not name.startswith("_"):
                yield from ((f"{name}.{at}".rstrip("."), text) for at, text in said_in(getattr(value, name)))
    elif isinstance(value, list | tuple):
        for part in value:
            yield from said_in(part)


def named_by(system: CoatingSystem) -> set[str]:
    """Words of the names in a coating system's file, which its page shows as they are typed there."""
    return set(WORD.findall(str(msgspec.to_builtins(system))))


def untold(text: str) -> set[str]:
    """The words of a text that stand in no brackets."""
    return set(WORD.findall(re.sub(r"⟦[^⟦⟧]*⟧", " ", text)))


def dressed(job: Job) -> Job:
    """The job with what the pages under Site and Price have to say."""
    job = edits.with_rates(job, ["walls=31.20", "ceilings=33", "reveals=48", "drops=33", "bead=6.75"])
    job = edits.with_programme(job, {"start": "2031-05-26", "people": "2"})
    room = str(job.storeys[0].rooms[0].id)
    seen = {"at": "2031-05-19T09:00", "person": "Ann"}
    for reading in (
        ConditionReading("moisture", 99.0, room=room, scale="wetter", **seen),
        ConditionReading("surface", 5.0, room=room, place="gauge", **seen),
        ConditionReading("air", 19.0, **seen),
    ):
        job = edits.add_reading(job, reading, NOON)
    for what in ("lining", "old-paint", "textured", "mould", "damp"):
        job = edits.answer_look(job, Tick(what, "yes", room=room, **seen), NOON)
    job = edits.count_items(job, room, CountedItem("radiators", 2, "off-and-on", "plumber"))
    return lot_for_each_storey(edits.add_option(job, option_typed("As drawn=walls and ceilings")))


_MADE: dict[str, tuple[State, Considered, tuple[object, ...]]] = {}


def made(name: str) -> tuple[State, Considered, tuple[object, ...]]:
    """State, order and findings of a sample, dressed; once for all tests."""
    if name not in _MADE:
        opened = open_file(SAMPLES / name)
        state = stand(dressed(opened.job), Memory())
        considered = consider(state)
        _MADE[name] = state, considered, all_findings(state, considered, opened.findings)
    return _MADE[name]


def everything(name: str) -> Iterator[tuple[str, object]]:
    """(view, what it returns) of whatever the window asks of a job."""
    state, considered, findings = made(name)
    job = state.job
    yield "totals", job_steps.running_totals(state, considered)
    yield "steps", job_steps.steps(state, considered, findings, "")
    yield "rooms", table_lines.room_lines(state)
    yield "openings", table_lines.opening_lines(state)
    yield "figures", table_lines.figure_lines(state)
    yield "order sentence", table_lines.order_sentence(considered)
    lots = lots_seen.lots_seen(state, considered)
    yield "lots", (lots.tables, lots.instead, tuple(words for _, words, _ in lots.items))
    yield "lot rooms", tuple(name for _, name, _ in lots_seen.room_keys(job))
    yield "options", options_seen.options_seen(state, considered)
    yield "price", offering_seen.price_shown(state, considered)
    yield "days", offering_seen.days_shown(state, considered, NOON)
    holds, table = offering_seen.holds_shown(job, NOON)
    yield "holds", table
    yield "foot of holds", site_seen.foot_words(holds)
    yield "causes", tuple(site_seen.cause_of(hold) for hold in holds)
    yield "to check", settling.rows(state, findings)
    yield "coat", outside_walls.coat_words(state)
    yield "claim", coat_questions.claim_words(state)
    yield "questions", (coat_questions.run_questions(state), coat_questions.above_questions(state))
    yield "unknown walls", outside_walls.unknown_walls(state)
    yield "first pass", first_pass.substrates_words(state)
    yield "still said", first_pass.still_said(state, findings)
    yield "heights", (storey_heights.storey_lines(job), tuple(storey_heights.storey_view(s) for s in job.storeys))
    yield "system", tuple(row.words for row in system_rows.system_rows(of_job(job)))
    yield "types", opening_types.opening_types(job)
    for storey in job.storeys:
        for room in storey.rooms:
            yield "card", cards.room_card(state, str(room.id), findings)
            yield "strip", room_seen.wall_strip(state, str(room.id))
            yield "look", room_seen.room_look(state, str(room.id))
            yield "room heights", storey_heights.room_view(state, str(room.id))
            yield "items", site_seen.items_of(job, str(room.id))
            yield "parts", quick_parts.parts_in(room)
            yield "coat of rooms", chosen_coats.rooms_view(state, [str(room.id)])
            for side in room.sides:
                yield "wall card", cards.side_card(state, str(room.id), str(side.id), findings)
        for opening in storey.openings:
            yield "opening card", cards.opening_card(state, str(opening.id), findings)
            yield "opening", opening_types.opening_view(state, str(opening.id))
            yield "opening words", cards.opening_words(opening)
    yield "rooms of the site", site_said.site_rooms(job)


@pytest.mark.parametrize("name", NAMES)
def test_every_word_of_the_views_is_in_the_catalogue(name: str) -> None:
    job = made(name)[0].job
    known = own_words(job) | UNITS | TYPED
    rows = known | named_by(of_job(job))
    seen = [(view, at, text) for view, value in everything(name) for at, text in said_in(value)]
    assert sum("⟦" in text for _, _, text in seen) > 100
    missed = {one for one in seen if untold(one[2]) - (rows if one[0] == "system" else known)}
    assert missed == set()
