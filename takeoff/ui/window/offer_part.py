"""The price in the window: its page, and the edits of the terms that it goes by."""

from __future__ import annotations

from collections.abc import Callable

from takeoff.language import tr
from takeoff.plan.edits.price_edits import with_currency, with_list, with_rates, with_terms, with_way
from takeoff.plan.model import Job
from takeoff.ui.panels.offer_page import OfferPage
from takeoff.ui.window.kept_page import KeptPage
from takeoff.ui.window.workspace import Workspace
from takeoff.views.offering_seen import price_shown

PAGE = "offer"


def add(space: Workspace) -> None:
    """Give the window its page of the price."""
    Offers(space)


class Offers(KeptPage[OfferPage]):
    """Keeps the page and the job together."""

    def __init__(self, space: Workspace) -> None:
        tip = tr("What the job costs by your rates, or built up from hours")
        super().__init__(space, "offers", PAGE, tr("Price…"), tip)

    def made(self) -> OfferPage:
        """The page, its signals connected."""
        page = OfferPage()
        page.typed.connect(self._typed)
        page.picked.connect(self._picked)
        return page

    def fill(self, page: OfferPage) -> None:
        """Show the terms and what they come to."""
        job = self._document.job
        page.show_terms(job.price, job.details.currency)
        price = price_shown(self._document.state, self._document.considered)
        page.show_tables(price.tables, price.instead)

    def _typed(self, key: str, text: str) -> None:
        edits: dict[str, Callable[[Job], Job]] = {
            "rate": lambda job: with_rates(job, [f"{key.partition(':')[2]}={text}"]),
            "terms": lambda job: with_terms(job, {key: text}),
        }
        edits |= dict.fromkeys(_LISTS, lambda job: with_list(job, key, text))
        edits["currency"] = lambda job: with_currency(job, text)
        which = "rate" if key.startswith("rate:") else key if key in edits else "terms"
        if not self._document.apply(tr("Set the price"), edits[which]):
            self.refresh()

    def _picked(self, key: str, value: str) -> None:
        self._document.apply(tr("Set the price"), lambda job: with_way(job, key, value))


_LISTS = ("by_width", "extras", "difficulty")
