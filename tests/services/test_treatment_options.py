"""Options side by side: each says what measuring the job gives once it is taken; what is not the coat stays."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import msgspec
import pytest

from takeoff.errors import InputError
from takeoff.plan import edits
from takeoff.plan.edits.option_edits import coat_of
from takeoff.plan.model import Exclusion, Job
from takeoff.plan.option_records import CoatOption
from takeoff.plan.price_terms import PriceTerms, RateOf
from takeoff.services.measured.job_result import Measured, measure_job
from takeoff.services.offered.offering import days_taken, offer_of, programme_of
from takeoff.services.offered.treatment_options import USUAL_OPTIONS, coated_by_option, compared, option_typed, taken
from takeoff.services.opened.opening import Opened, open_file
from takeoff.services.written.writing import document
from takeoff.storage import jobs

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"
RATES = tuple(RateOf(item=i, price="12.35") for i in ("walls", "ceilings", "drops", "reveals", "bead"))
BUILT = PriceTerms(way="built-up", hour="42", visit="25", markup="18", tax="19")
TYPED = ("outside 600", "outside 600 300", "walls", "Everything=walls and ceilings")


def measured_of(job: Job) -> Measured:
    return measure_job(Opened(SAMPLE, "job", job, ()))


def optioned(**fields: object) -> Job:
    job = msgspec.structs.replace(open_file(SAMPLE).job, **fields)
    for text in TYPED:
        job = edits.add_option(job, option_typed(text))
    return job


@pytest.mark.parametrize("terms", [PriceTerms(rates=RATES, tax="20"), BUILT], ids=["rates", "built up"])
def test_figures_of_an_option_are_those_of_the_job_once_it_is_taken(terms: PriceTerms) -> None:
    """Each is taken in turn, measured anew, and its schedule, days and price compared with the table."""
    before = compared(measured_of(optioned(price=terms)))
    assert len({one.shown.figures["coated_m2"] for one in before}) == 4
    for number, one in enumerate(before, 1):
        job = taken(optioned(price=terms), str(number))
        own = measured_of(job)
        sheets = document(own, "2031-05-20")
        assert sheets.summary is not None
        assert sheets.summary.total is not None
        assert sheets.summary.total[-1] == one.shown.figures["coated_m2"]
        assert offer_of(own) == one.shown.offer
        planned = programme_of(own)
        assert (days_taken(planned), planned.programme.visits) == (one.shown.days, one.shown.visits)
        again = compared(own)
        assert [other.shown.chosen for other in again] == [k == number for k in range(1, 5)]
        assert [other.shown.figures for other in again] == [other.shown.figures for other in before]
        assert taken(job, str(number)) is job


def test_table_in_the_scope_shows_them_to_the_client_with_days_and_price() -> None:
    job = optioned(price=PriceTerms(rates=RATES, tax="20"))
    (table,) = [t for t in document(measured_of(job), "2031-05-20").seen_by("client").totals if t.id == "options"]
    found = compared(measured_of(job))
    rows = {row[0]: row[1:] for row in table.rows}
    assert rows["To coat m²"] == tuple(one.shown.figures["coated_m2"] for one in found)
    assert rows["Days on site"] == tuple(one.shown.visits for one in found)
    for net, tax, gross in zip(rows["Net XTS"], rows["Tax XTS"], rows["Price XTS"], strict=True):
        assert isinstance(net, Decimal)
        assert isinstance(tax, Decimal)
        assert net + tax == gross
    for k in range(4):
        parts = [rows[name][k] for name in ("Walls m²", "Ceilings m²", "Bulkheads and boxing m²", "Reveals m²")]
        assert sum(part for part in parts if isinstance(part, Decimal)) == rows["To coat m²"][k]


def test_a_price_in_part_stands_open_in_every_option() -> None:
    job = optioned(price=PriceTerms(rates=RATES[:1]))
    (table,) = [t for t in document(measured_of(job)).totals if t.id == "options"]
    rows = {row[0]: row[1:] for row in table.rows}
    assert set(rows["Price XTS"]) == {"?"}


def test_what_is_not_the_coat_stays_and_what_was_coated_can_be_taken_again() -> None:
    job = open_file(SAMPLE).job
    room = job.storeys[0].rooms[1].id
    ring = ((200.0, 300.0, 0.0), (900.0, 300.0, 0.0), (900.0, 900.0, 0.0), (200.0, 900.0, 0.0))
    side = next(s.id for s in edits.room_of(job, room).sides if s.has_wall)
    job = edits.add_exclusion(job, room, side, Exclusion(id="tiles", outline=ring, what="tiles"))
    outside = coated_by_option(edits.keep_coat(job, "As drawn"), USUAL_OPTIONS[0])
    assert coat_of(outside) != coat_of(job)
    assert edits.wall_exclusions(edits.room_of(outside, room)) == edits.wall_exclusions(edits.room_of(job, room))
    back = taken(outside, "As drawn")
    assert coat_of(back) == coat_of(job)
    assert measured_of(back).takeoff.totals == pytest.approx(measured_of(job).takeoff.totals)
    assert edits.wall_exclusions(edits.room_of(back, room)) == edits.wall_exclusions(edits.room_of(job, room))


def test_a_coat_by_hand_is_not_lost_when_an_option_is_taken() -> None:
    job = open_file(SAMPLE).job
    job = edits.coat_ceilings(job, [job.storeys[0].rooms[1].id], False)
    job = edits.add_option(job, option_typed("walls"))
    after = taken(job, "1")
    assert [one.name for one in after.options] == ["All walls", "As it was before"]
    assert coat_of(taken(after, "As it was before")) == coat_of(job)


def test_options_are_saved_with_the_job() -> None:
    job = edits.keep_coat(open_file(SAMPLE).job, "As drawn")
    job = edits.add_option(job, option_typed("Plan A=outside 600 ceilings"))
    assert jobs.load(jobs.dump(job), "job.json").options == job.options


def test_a_fifth_option_and_one_of_the_same_name() -> None:
    job = optioned()
    with pytest.raises(InputError, match="4 options already"):
        edits.add_option(job, CoatOption(id="", name="one more"))
    again = edits.add_option(job, option_typed("all walls=outside 450"))
    assert [one.name for one in again.options][2] == "all walls"
    assert (again.options[2].return_mm, len(again.options)) == (450.0, 4)
    assert edits.add_option(again, again.options[2]) is again


@pytest.mark.parametrize("text", ["", "roof", "outside", "outside wide", "outside 600 300 1", "=walls", "outside -3"])
def test_what_is_no_option_is_said(text: str) -> None:
    if text == "outside":
        assert option_typed(text).return_mm == 600.0
        return
    with pytest.raises(InputError):
        option_typed(text)


def test_an_option_that_is_not_there_is_said() -> None:
    with pytest.raises(InputError, match="no options yet"):
        taken(open_file(SAMPLE).job, "1")
    with pytest.raises(InputError, match="no option “9”"):
        taken(optioned(), "9")
