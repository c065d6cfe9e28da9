"""What the site asks for besides the coat, priced: preparation by what was found, counted items that are ours."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import cast

from takeoff.measure.takeoff import Takeoff
from takeoff.plan.model import Job
from takeoff.plan.price_terms import PricedItem
from takeoff.programme.activities import usual_work
from takeoff.sitecheck.preparation import preparations

SITE_ITEMS: tuple[PricedItem, ...] = (
    "strip", "treat", "skim", "second-base", "specialist", "radiators", "sockets", "vents", "poles", "hatches",
)  # fmt: skip


def site_quantities(job: Job, takeoff: Takeoff) -> Mapping[tuple[str, str], Mapping[PricedItem, Decimal]]:
    """Printed quantities by (storey, room) and item, for one copy of the room; rooms without any are left out."""
    found: dict[tuple[str, str], dict[PricedItem, Decimal]] = {}
    for one in preparations(job, takeoff):
        if one.kind:
            found.setdefault((one.storey, one.room), {})[one.kind] = one.quantity
    for storey in job.storeys:
        for room in storey.rooms:
            for item in room.counted:
                if item.priced:
                    own = found.setdefault((str(storey.id), str(room.id)), {})
                    own[item.kind] = own.get(item.kind, Decimal(0)) + item.count
    return found


def rated_besides_hours(items: Iterable[tuple[PricedItem, Decimal]]) -> tuple[tuple[PricedItem, Decimal], ...]:
    """Of quantities, those of the site that no hours are known for: a price that is built up asks a rate for them."""
    return tuple((item, value) for item, value in items if rated_when_built(item))


def rated_when_built(item: PricedItem) -> bool:
    """Whether a price that is built up has a rate for it: work of the site whose hours nobody knows."""
    return item in SITE_ITEMS and cast(str, item) not in usual_work().hours
