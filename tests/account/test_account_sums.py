"""The account to the cent: what is due adds up to contract and agreed changes, in whatever order it is entered."""

from __future__ import annotations

import random
from decimal import Decimal

import msgspec
import pytest

from takeoff.account.account_sum import account_of, bill_of
from takeoff.account.change_price import over_limit, priced
from takeoff.errors import InputError
from takeoff.plan import edits
from takeoff.plan.model import Job, Room, RoomId, Side, SideId, Storey, StoreyId
from takeoff.plan.work_records import (
    ROOM_STAGES,
    ChangeLine,
    Contract,
    ContractItem,
    ContractRoom,
    ContractTax,
    SiteChange,
)

CENT = Decimal("0.01")


def job_with(rooms: int, taxes: tuple[tuple[str, str], ...], weights: list[str]) -> Job:
    corners = ((0.0, 0.0), (3000.0, 0.0), (3000.0, 3000.0), (0.0, 3000.0))
    sides = tuple(Side(id=SideId(f"s{k}"), x_mm=x, y_mm=y) for k, (x, y) in enumerate(corners))
    made = tuple(Room(id=RoomId(f"r{k}"), outline=sides, name=f"Room {k}") for k in range(rooms))
    job = Job(storeys=(Storey(id=StoreyId("g"), rooms=made),))
    contract = Contract(
        state=1,
        on="2031-05-01",
        by="Client",
        taxes=tuple(ContractTax(rate=rate, net=net) for rate, net in taxes),
        items=(ContractItem(item="walls", quantity="100", price="31.20", tax="20"),),
        rooms=tuple(ContractRoom(room=f"r{k}", name=f"Room {k}", weight=weights[k]) for k in range(rooms)),
        hour="42",
        tax="20",
    )
    return edits.accept_contract(job, contract)


def change(what: str = "More", **line: object) -> SiteChange:
    fields: dict[str, object] = {"what": "wall", "quantity": "2.50", "unit": "m²", "item": "walls"} | line
    return SiteChange(number=1, place="Hall", what=what, lines=(ChangeLine(**fields),), proposed_on="2031-05-02")  # type: ignore[arg-type]


def random_run(seed: int) -> None:
    """Stages, changes, bills and payments in a random order; at the end all is released and billed."""
    rng = random.Random(seed)
    rooms = rng.randint(1, 7)
    taxes = tuple((rate, f"{rng.randint(1, 900_000) / 100:.2f}") for rate in rng.sample(["0", "5", "7", "19", "20"], 2))
    job = job_with(rooms, taxes, [f"{rng.randint(0, 9000) / 100:.2f}" for _ in range(rooms)])
    job = edits.set_kept_back(job, rng.choice(["", "5", "10", "7.5"]))
    day = 1
    for _ in range(rng.randint(5, 40)):
        day += rng.randint(0, 2)
        on = f"2031-{6 + day // 28:02d}-{1 + day % 28:02d}"
        kind = rng.choice(["stage", "stage", "change", "state", "bill", "pay"])
        if kind == "stage":
            job = edits.set_room_stage(job, f"r{rng.randrange(rooms)}", rng.choice(ROOM_STAGES), on)
        elif kind == "change":
            line = {"quantity": f"{rng.randint(1, 5000) / 100:.2f}", "omitted": rng.random() < 0.3}
            if rng.random() < 0.5:
                line |= {"item": "", "unit": "h", "tax": rng.choice(["", "7"])}
            job = edits.propose_change(job, change(**line))
        elif kind == "state" and job.work.changes:
            one = rng.choice(job.work.changes)
            state = rng.choice(["agreed", "done", "instructed", "refused"])
            if not (state == "done" and one.state == "refused"):
                job = edits.set_change_state(job, one.number, state, on)  # type: ignore[arg-type]
        elif kind == "bill" and account_of(job).due:
            job = edits.add_bill(job, bill_of(job, on))
        elif kind == "pay":
            job = edits.add_payment(job, on, f"{rng.randint(1, 9999) / 100:.2f}")
    for k in range(rooms):
        job = edits.set_room_stage(job, f"r{k}", "released", "2031-12-30")
    for one in job.work.changes:
        if one.agreed_on and not one.done_on and one.state != "refused":
            job = edits.set_change_state(job, one.number, "done", "2031-12-30")
    if account_of(job, final=True).due:
        job = edits.add_bill(job, bill_of(job, "2031-12-31", final=True))
    contract = sum((_gross(Decimal(one.net), one.rate) for one in job.work.contract.taxes), Decimal(0))  # type: ignore[union-attr]
    agreed = sum(
        (priced(job, one).gross or Decimal(0) for one in job.work.changes if one.agreed_on and one.state != "refused"),
        Decimal(0),
    )
    dues = [Decimal(bill.due) for bill in job.work.bills]
    assert all(due == due.quantize(CENT) for due in dues)
    assert sum(dues, Decimal(0)) == contract + agreed, seed


def _gross(net: Decimal, rate: str) -> Decimal:
    from takeoff.units.printing import money

    return net + money(net * Decimal(rate) / 100)


@pytest.mark.parametrize("seed", range(100))
def test_what_was_due_is_contract_and_agreed_changes(seed: int) -> None:
    random_run(seed)


def test_half_done_by_hand() -> None:
    """1,000.00 at 20 %, weights 1 and 3: 250.00 and 750.00. The first released, the second with its coat on (75 %):
    250.00 + 562.50 = 812.50, tax 162.50, 975.00 in all; 5 % kept back are 48.75; due 926.25."""
    job = edits.set_kept_back(job_with(2, (("20", "1000.00"),), ["1", "3"]), "5")
    job = edits.set_room_stage(job, "r0", "released", "2031-06-01")
    job = edits.set_room_stage(job, "r1", "coat", "2031-06-01")
    account = account_of(job)
    assert (account.done, account.kept, account.due) == (Decimal("975.00"), Decimal("48.75"), Decimal("926.25"))


def test_only_what_is_agreed_is_billed_unless_it_is_marked() -> None:
    job = job_with(1, (("20", "1000.00"),), ["1"])
    job = edits.propose_change(job, change())
    job = edits.set_change_state(job, 1, "done", "2031-06-02")
    with pytest.raises(InputError, match="Neither contract nor agreed: change 1"):
        bill_of(job, "2031-06-03", wanted=(1,))
    marked = edits.bill_unagreed(job, 1)
    # 2.50 m² × 31.20 = 78.00, tax 15.60
    assert bill_of(marked, "2031-06-03", wanted=(1,)).due == "93.60"
    assert [line.mark for line in account_of(marked).lines] == ["", "unagreed"]
    agreed = edits.set_change_state(job, 1, "agreed", "2031-06-05")
    assert [line.mark for line in account_of(agreed).lines] == ["", "before"]
    with pytest.raises(InputError, match="Nothing is agreed yet"):
        bill_of(Job(), "2031-06-03")


def test_quantity_beyond_the_limit_is_told() -> None:
    """The contract has 100 m² of walls: 10 more are within 10 %, 10.01 are not."""
    job = job_with(1, (("20", "1000.00"),), ["1"])
    for quantity, told in (("10.00", 0), ("10.01", 1)):
        more = edits.propose_change(job, change(quantity=quantity))
        assert len(over_limit(edits.set_change_state(more, 1, "agreed", "2031-06-02"))) == told


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"place": " "}, "needs its place"),
        ({"what": ""}, "needs its words"),
        ({"lines": ()}, "needs a quantity"),
        ({"lines": (ChangeLine(what="x", quantity="1", unit="each"),)}, "“x” has no price"),
        ({"proposed_on": "soon"}, "is not a date"),
    ],
)
def test_change_that_cannot_be_is_one_sentence(fields: dict[str, object], said: str) -> None:
    job = job_with(1, (("20", "1000.00"),), ["1"])
    with pytest.raises(InputError, match=said):
        edits.propose_change(job, msgspec.structs.replace(change(), **fields))


def test_dates_out_of_order_are_refused() -> None:
    job = edits.propose_change(job_with(1, (("20", "1000.00"),), ["1"]), change())
    with pytest.raises(InputError, match="comes before"):
        edits.set_change_state(job, 1, "agreed", "2031-05-01")
    job = edits.set_room_stage(job, "r0", "coat", "2031-06-10")
    with pytest.raises(InputError, match="comes before"):
        edits.set_room_stage(job, "r0", "sanded", "2031-06-09")
    assert edits.set_room_stage(job, "r0", "coat", "2031-06-10") is job
