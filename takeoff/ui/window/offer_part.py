"""Price and days in the window: their page, and the edits of the terms that they go by."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.language import tr
from takeoff.plan.edits.price_edits import with_currency, with_list, with_rates, with_terms, with_way
from takeoff.plan.edits.programme_edits import with_programme
from takeoff.plan.model import Job
from takeoff.services.offering import NO_DATE, calendar_of
from takeoff.ui.actions import Action
from takeoff.ui.panels.offer_page import OfferPage
from takeoff.ui.window.workspace import Workspace
from takeoff.views.offering_seen import days_shown, price_shown

PAGE = "offer"


def add(space: Workspace) -> None:
    """Give the window its page of price and days."""
    Offers(space)


class Offers(QObject):
    """Keeps the page and the job together."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self.setObjectName("offers")
        self._space, self._document = space, space.document
        self.page: OfferPage | None = None
        space.pages.register(PAGE, self._make)
        space.pages.shown.connect(self._seen)
        space.acts.add(
            (
                Action(
                    "offer",
                    "Site",
                    tr("Price and days…"),
                    self.show,
                    (),
                    group=8,
                    tip=tr("What the job costs by your rates or hours, and how many days it takes"),
                ),
            )
        )
        self._document.opened.connect(self.refresh)
        self._document.changed.connect(self._listen)
        self._document.considered_changed.connect(self.refresh)

    def show(self) -> None:
        """Bring the page up."""
        self._space.pages.show_page(PAGE)
        self.refresh()

    def _make(self) -> QWidget:
        self.page = page = OfferPage()
        page.typed.connect(self._typed)
        page.picked.connect(self._picked)
        self.refresh()
        return page

    def _seen(self, *_: object) -> None:
        self.refresh()

    def _listen(self, before: object, after: object) -> None:
        del before, after
        self.refresh()

    def refresh(self) -> None:
        """Show terms and what they come to, while the page is seen."""
        page = self.page
        if page is None or self._space.pages.current != PAGE:
            return
        job = self._document.job
        page.show_terms(job.price, job.programme, job.details.currency)
        price = price_shown(self._document.state, self._document.considered)
        days = days_shown(self._document.state, self._document.considered)
        said = list(dict.fromkeys(text for text in (price.instead, days.instead) if text))
        own = (days.said.rooms, days.said.days, days.said.closing) if days.said else ()
        page.show_tables((*price.tables, *own), "\n".join(said))

    def _typed(self, key: str, text: str) -> None:
        edits: dict[str, Callable[[Job], Job]] = {
            "rate": lambda job: with_rates(job, [f"{key.partition(':')[2]}={text}"]),
            "terms": lambda job: with_terms(job, {key: text}),
            "days": lambda job: _workable(with_programme(job, {key: text})),
        }
        edits |= dict.fromkeys(_LISTS, lambda job: with_list(job, key, text))
        edits["currency"] = lambda job: with_currency(job, text)
        which = "rate" if key.startswith("rate:") else "days" if key in _DAYS else key if key in edits else "terms"
        if not self._document.apply(tr("Set price and days"), edits[which]):
            self.refresh()

    def _picked(self, key: str, value: str) -> None:
        self._document.apply(tr("Set price and days"), lambda job: with_way(job, key, value))


def _workable(job: Job) -> Job:
    """The job; InputError where nobody can work by its terms."""
    calendar_of(job.programme, int(job.programme.start[:4] or NO_DATE.year))
    return job


_LISTS = ("by_width", "extras", "difficulty")

_DAYS = frozenset({"start", "people", "begins", "ends", "country"})
