"""What holds add to scope, price and hours, by areas that a person can check."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal

import msgspec
import pytest

from takeoff.errors import InputError
from takeoff.files.paths import resource
from takeoff.measure import measure
from takeoff.plan.counted_items import CountedItem
from takeoff.plan.edits import add_reading, answer_look, clear_hold, count_items
from takeoff.plan.model import Job, Room, RoomId, Side, SideId, Storey, StoreyId
from takeoff.plan.price_terms import PriceTerms, RateOf
from takeoff.plan.site_check import ConditionReading, Face, Looked, SiteCheck, Stage, Tick
from takeoff.programme.activities import room_work, usual_work
from takeoff.services.measured.job_result import Measured
from takeoff.services.offered.offering import offer_of
from takeoff.sitecheck.holds import holds
from takeoff.sitecheck.preparation import preparations
from takeoff.sitecheck.usual_limits import read_usual
from takeoff.supply.materials import materials
from takeoff.supply.systems import of_job

NOW = datetime(2031, 5, 20, 8, 0)
CORNERS = ((0.0, 0.0), (4000.0, 0.0), (4000.0, 3000.0), (0.0, 3000.0))
WALLS, CEILING = Decimal("35.00"), Decimal("12.00")
"""4 × 3 m, 2.5 m high, without openings: 14 m × 2.5 = 35 m² of wall, 4 × 3 = 12 m² of ceiling."""


def _job(times: int = 1) -> Job:
    sides = tuple(Side(id=SideId(f"s{i}"), x_mm=x, y_mm=y) for i, (x, y) in enumerate(CORNERS))
    room = Room(id=RoomId("r1"), outline=sides, name="Box room", times=times)
    return Job(storeys=(Storey(id=StoreyId("g"), rooms=(room,), height_mm=2500.0),))


def _seen(job: Job, what: Looked, answer: str = "yes", face: Face = "", stage: Stage = "quote") -> Job:
    tick = Tick(what=what, answer="yes" if answer == "yes" else "no", room="r1", face=face, stage=stage)
    return answer_look(job, tick, NOW)


def _by_kind(job: Job) -> dict[str, Decimal]:
    return {one.kind: one.quantity for one in preparations(job, measure(job))}


def _measured(job: Job) -> Measured:
    takeoff = measure(job)
    return Measured(job, takeoff, materials(takeoff, of_job(job)), (), "")


def test_area_is_that_of_the_faces() -> None:
    assert _by_kind(_seen(_job(), "lining")) == {"strip": WALLS + CEILING}
    assert _by_kind(_seen(_job(), "lining", face="ceiling")) == {"strip": CEILING}
    assert _by_kind(_seen(_job(), "porous", face="walls")) == {"second-base": WALLS}


def test_face_that_two_causes_ask_for_is_worked_on_once() -> None:
    job = _seen(_seen(_job(), "lining", face="walls"), "loose-paint")
    (one,) = preparations(job, measure(job))
    assert (one.quantity, one.causes) == (WALLS + CEILING, ("lining", "loose-paint"))


def test_a_survey_counts_for_each_cause() -> None:
    assert _by_kind(_seen(_seen(_job(), "textured", face="ceiling"), "damp")) == {"specialist": Decimal(2)}


def test_an_uneven_wall_is_skimmed_and_not_the_ceiling() -> None:
    reading = ConditionReading(quantity="gap", value=8.0, room="r1")
    assert _by_kind(add_reading(_job(), reading, NOW)) == {"skim": WALLS}
    level = ConditionReading(quantity="gap", value=5.0, room="r1")
    assert _by_kind(add_reading(_job(), level, NOW)) == {}


def test_clearing_a_hold_leaves_its_work_and_another_answer_takes_it_out() -> None:
    job = _seen(_job(), "lining")
    hold = next(one for one in holds(job, NOW) if one.code == "seen-lining")
    cleared = clear_hold(job, hold.id, "J. Sample", "2031-05-20")
    assert _by_kind(cleared) == {"strip": WALLS + CEILING}
    assert _by_kind(_seen(cleared, "lining", "no", stage="start")) == {"strip": WALLS + CEILING}
    assert _by_kind(_seen(cleared, "lining", "no")) == {}


def test_price_has_a_line_for_it_and_no_total_while_the_rate_is_not_known() -> None:
    """Stripping 47 m² at 2.50 is 117.50; two copies of the room ask for 94 m², 235.00."""
    items = ("walls", "ceilings", "drops", "reveals", "bead")
    rates = tuple(RateOf(item=item, price="10") for item in items)
    job = _seen(_job(times=2), "lining")
    open_offer = offer_of(_measured(msgspec.structs.replace(job, price=PriceTerms(rates=rates))))
    assert open_offer.net is None
    assert open_offer.unknown == ("Strip linings and loose paint",)
    priced = PriceTerms(rates=(*rates, RateOf(item="strip", price="2.50")))
    offer = offer_of(_measured(msgspec.structs.replace(job, price=priced)))
    line = next(one for one in offer.lines if one.what == "Strip linings and loose paint")
    assert (line.quantity, line.amount) == (Decimal("94.00"), Decimal("235.00"))
    assert offer.net == sum((one.amount or Decimal(0) for one in offer.lines), Decimal(0))


def test_items_of_ours_are_priced_each_and_those_of_others_are_not() -> None:
    job = count_items(_job(times=2), RoomId("r1"), CountedItem(kind="sockets", count=6, who="us"))
    job = count_items(job, RoomId("r1"), CountedItem(kind="radiators", count=1, who="plumber"))
    job = count_items(job, RoomId("r1"), CountedItem(kind="poles", count=1, who="us", done="stays"))
    items = ("walls", "ceilings", "drops", "reveals", "bead", "sockets")
    rates = tuple(RateOf(item=item, price="10") for item in items)
    offer = offer_of(_measured(msgspec.structs.replace(job, price=PriceTerms(rates=rates))))
    assert offer.unknown == ()
    line = next(one for one in offer.lines if one.what == "Sockets and switches off and on")
    assert (line.quantity, line.unit, line.amount) == (Decimal(12), "each", Decimal("120.00"))
    assert not any("Radiators" in one.what or "poles" in one.what for one in offer.lines)


def test_built_up_price_asks_a_rate_for_what_has_no_hours() -> None:
    job = _seen(_seen(_job(), "textured"), "lining")
    offer = offer_of(_measured(msgspec.structs.replace(job, price=PriceTerms(way="built-up", hour="40", visit="20"))))
    assert "Specialist survey, room by room" in offer.unknown
    assert "Strip linings and loose paint" in {part.what for part in offer.built}


def test_hours_are_area_times_those_of_the_labour_data() -> None:
    job = _seen(_job(), "lining")
    (work,) = room_work(job, measure(job), of_job(job))
    assert dict(work.hours)["strip"] == pytest.approx(47.0 * usual_work().hours["strip"].hours)
    (plain,) = room_work(_job(), measure(_job()), of_job(_job()))
    assert "strip" not in dict(plain.hours)


def test_a_face_that_nobody_answered_for_is_still_to_be_looked_at() -> None:
    def codes(job: Job) -> set[str]:
        return {hold.code for hold in holds(job, NOW)}

    assert "unseen-mould" in codes(_seen(_job(), "mould", "no", "walls"))
    both = _seen(_seen(_job(), "mould", "no", "walls"), "mould", "no", "ceiling")
    assert not {"unseen-mould", "seen-mould"} & codes(both)
    seen = {hold.code: hold for hold in holds(_seen(_job(), "mould", "yes", "ceiling"), NOW)}
    assert seen["seen-mould"].reason == "On the ceiling: There is mould."


def test_readings_in_the_file_that_cannot_be_hold_and_break_nothing() -> None:
    bad = tuple(
        ConditionReading(quantity=quantity, value=value, stage="coating", at=at, room="r1")
        for quantity, value, at in (
            ("humidity", 0.0, "2031-05-20T07:40"),
            ("surface", 90.0, "2031-05-21T07:40"),
            ("air", 20.0, "soon"),
        )
    )
    job = msgspec.structs.replace(_job(), site_check=SiteCheck(stage="coating", readings=bad))
    codes = {hold.code for hold in holds(job, NOW)}
    assert {"absurd-humidity", "absurd-surface", "ahead-surface", "stale-air"} <= codes
    assert "near-dew" not in codes


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('"remedy": "Strip it and look again."', '"remedy": ""', "“lining” says not what to do"),
        ('"high_remedy": "Skim the wall level first."', '"high_remedy": ""', "“gap” says not what to do"),
        ('"id": "skim"', '"id": "treat"', "“skim” is no work"),
        ('"looks"', '"books"', "cannot be read as limits"),
        ("{", "", "cannot be read as limits"),
    ],
)
def test_limits_that_say_not_what_to_do_are_refused(old: str, new: str, said: str) -> None:
    data = resource("sitecheck/usual.json").read_text(encoding="utf-8")
    assert old in data
    with pytest.raises(InputError, match=said):
        read_usual(data.replace(old, new, 1).encode(), "usual.json")
