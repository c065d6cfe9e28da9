"""What a client who reads the scope alone can misread: what the coat is, who refits trim, what an assumption is worth,
which wall is meant, what a signature binds to."""

from __future__ import annotations

import re
from decimal import Decimal
from functools import cache
from pathlib import Path

import msgspec
import pytest

from takeoff.language import use_language
from takeoff.plan import edits
from takeoff.plan.model import Job
from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import open_file
from takeoff.services.written.writing import document
from takeoff.sheets.change_worth import with_worth
from takeoff.sheets.paper_pages import lay_out
from takeoff.sheets.pdf import Typeface
from takeoff.sheets.sheet_values import Document

SAMPLE = Path(__file__).parents[2] / "sample_plans" / "terrace.job.json"
RATES = ("walls=31.20", "ceilings=33", "reveals=48", "drops=40", "bead=6.75 @5%")


def priced(job: Job) -> Job:
    return edits.with_terms(edits.with_rates(job, RATES), {"tax": "20"})


@cache
def sheets(with_price: bool) -> Document:
    opened = open_file(SAMPLE)
    job = priced(opened.job) if with_price else opened.job
    return document(measure_job(msgspec.structs.replace(opened, job=job)), "2031-05-20")


def lines(of: Document) -> dict[str, str]:
    return {line.label: line.text for line in of.for_paper("scope").lines}


def test_scope_says_what_the_coat_is() -> None:
    assert sheets(with_price=False).for_paper("scope").source.endswith("Coat: Demo lime foam, not a product, 1.4 mm.")


def test_trim_is_refitted_by_others() -> None:
    assert "are removed and refitted by others" in lines(sheets(with_price=False))["Assumed"]


def test_assumptions_are_worth_money_where_there_are_rates() -> None:
    """Skirting: walls at 31.20 with 20 % tax are 37.44 a m². Coving lies on walls and ceilings, (37.44 + 39.60) / 2 =
    38.52 a m². Bead is 6.75 with 5 % tax, 7.0875 a m."""
    found = re.findall(r"([\d.]+) (m²|m) or XTS\xa0([\d,]+)(?= less)", lines(sheets(with_price=True))["Assumed"])
    worth = {"skirting": "37.44", "coving": "38.52", "architraves": "37.44", "bead": "7.0875"}
    assert len(found) == len(worth)
    for (amount, _, money), rate in zip(found, worth.values(), strict=True):
        assert Decimal(money.replace(",", "")) == round(Decimal(amount) * Decimal(rate))
    assert " or " not in lines(sheets(with_price=False))["Assumed"]
    for paper in ("order", "site", "dimensions"):
        assert not any("XTS" in line.text for line in sheets(with_price=True).for_paper(paper).lines)


def test_change_has_no_worth_without_a_rate() -> None:
    job = edits.with_rates(Job(), ["walls=31.20"])
    assert with_worth(job, 6.54, "m²", ("walls",)) == "6.5 m² or XTS\xa0203"  # 6.5 × 31.20 = 202.80
    assert with_worth(job, 6.54, "m²", ("walls", "ceilings")) == "6.5 m²"
    assert with_worth(edits.with_terms(job, {"hour": "42"}), 6.54, "m²", ("walls",)) == "6.5 m²"
    older = edits.set_details(Job(), price_coat_m2="30", currency="EUR")
    assert with_worth(older, 2.0, "m²", ("ceilings",)) == "2.0 m² or €60"


def test_walls_are_lettered_for_the_team_alone() -> None:
    """Letters of walls stand on the team's plan and not on the client's."""
    told = {
        reader: next(line.text for line in sheets(with_price=False).seen_by(reader).lines if line.label == "Stays cold")
        for reader in ("client", "team")
    }
    assert told["client"].startswith("G5 Kitchen: behind ")
    assert told["team"].startswith("G5 Kitchen, wall C: behind ")


def test_numbers_of_rooms_are_explained_where_rooms_are_named() -> None:
    assert lines(sheets(with_price=False))["Not coated"].endswith("Numbers such as G3 stand on the plan.")


@pytest.mark.parametrize(("with_price", "said"), [(False, "for scope, no price"), (True, "for scope and price")])
@pytest.mark.parametrize("spoken", ["en", "de"])
def test_signature_says_what_it_binds_to_within_its_line(with_price: bool, said: str, spoken: str) -> None:
    use_language(spoken)
    try:
        face = Typeface()
        last = lay_out(sheets(with_price).for_paper("scope"), "A4", face.measure)[-1]
    finally:
        use_language("en")
    signed = [item for item in last.texts if item[2].startswith(("signature", "Unterschrift"))]
    assert len(signed) == 2
    wide = (last.width_mm - 30.0 - 12.0) / 2
    assert all(face.measure(text, style, size) <= wide for _, _, text, style, size, _ in signed)
    if spoken == "en":
        assert all(said in text for _, _, text, *_ in signed)
