"""Right: what the job costs, with the terms that it goes by."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from takeoff.language import mark, tr
from takeoff.plan.edits.price_edits import list_text, rate_text
from takeoff.plan.price_terms import PRICED_ITEMS, PricedItem, PriceTerms
from takeoff.price.offer import ITEM_NAMES, said_unit
from takeoff.services.offered.site_work import rated_when_built
from takeoff.sheets.sheet_values import Table
from takeoff.ui.panels.form_fields import ChoiceField, Form, TextField
from takeoff.ui.panels.page_parts import label, scrolled
from takeoff.ui.panels.shown_table import ShownTable, show_or_say

ITEMS_ABREAST: tuple[tuple[tuple[PricedItem, str], ...], ...] = (
    (("walls", mark("Walls m²")), ("ceilings", mark("Ceilings m²"))),
    (("reveals", mark("Reveals m²")), ("drops", mark("Boxing m²"))),
    (("bead", mark("Bead m")), ("narrow", mark("Narrow m"))),
    (("strip", mark("Strip m²")), ("treat", mark("Treat m²"))),
    (("skim", mark("Skim m²")), ("second-base", mark("Base 2 m²"))),
    (("specialist", mark("Survey")), ("vents", mark("Vent"))),
    (("radiators", mark("Radiator")), ("sockets", mark("Socket"))),
    (("poles", mark("Pole")), ("hatches", mark("Hatch"))),
)
"""Fields of rates, two to a row, with a short word each; the whole name is in the tip."""


LISTS = (
    (
        "by_width",
        mark("By width"),
        mark("Price of a metre of reveals and narrow work up to a width"),
        "150=9.50; 300=14",
    ),
    ("extras", mark("Extras"), mark("Lines with a price of their own: hire, waste, hours"), "Skip hire=1 each 120"),
    (
        "difficulty",
        mark("Slower by"),
        mark("What makes work slower, as a factor on its hours"),
        "ceiling=1.25; high=1.2",
    ),
)
"""Fields that hold several terms between semicolons, with an example of each."""


class OfferPage(QWidget):
    """``typed`` tells a field's key and text; ``picked`` the key of a choice and what was picked."""

    typed = Signal(str, str)
    picked = Signal(str, str)

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("part", "page")
        self.fields: dict[str, TextField] = {}
        self.way = ChoiceField(
            tr("How the price is made"), [("rates", tr("By measured rates")), ("built-up", tr("Built up from hours"))]
        )
        self.seen = ChoiceField(
            tr("What the client sees"),
            [("items", tr("Items with prices")), ("rooms", tr("Rooms with prices")), ("lump", tr("One lump sum"))],
        )
        self.way.picked.connect(lambda key: self.picked.emit("way", key))
        self.seen.picked.connect(lambda key: self.picked.emit("shown", key))
        self.instead = label("", "grey", wrap=True)
        self.blocks: list[ShownTable] = []
        self._down = scrolled(self)
        self._down.addWidget(label(tr("Price"), "title"))
        self._down.addLayout(self._price_form())
        self._down.addWidget(self.instead)
        self._down.addStretch(1)

    def _price_form(self) -> Form:
        form = Form()
        form.pair((tr("Price"), self.way))
        form.pair((tr("Client sees"), self.seen))
        for pair in ITEMS_ABREAST:
            form.pair(*(self._rate(item, tr(words)) for item, words in pair))
        form.pair(
            (tr("An hour"), self._field("hour", tr("Rate of an hour"), "")),
            (tr("A visit"), self._field("visit", tr("Cost of a visit"), "")),
        )
        form.pair(
            (tr("Mark-up %"), self._field("markup", tr("Mark-up, per cent"), "")),
            (tr("Tax %"), self._field("tax", tr("Tax, per cent"), "")),
        )
        form.pair(
            (tr("At least"), self._field("minimum", tr("Least price, without tax"), "")),
            (tr("Travel"), self._field("travel", tr("Cost of travel to each visit"), "")),
        )
        form.pair(
            (tr("Currency"), self._field("currency", tr("Currency of the prices, such as EUR or GBP"), "")),
            (tr("Valid, days"), self._field("valid_days", tr("For how many days the offer is valid"), "30")),
        )
        form.pair(
            (
                tr("Dehumidifier, a day"),
                self._field("dryer_day", tr("Hire of the dehumidifier of the days' page, for a day"), ""),
            )
        )
        for key, words, tip, example in LISTS:
            form.pair((tr(words), self._field(key, tr(tip), example)))
        return form

    def _rate(self, item: PricedItem, words: str) -> tuple[str, TextField]:
        name, unit = ITEM_NAMES[item]
        return words, self._field(f"rate:{item}", tr("{item}, per {unit}", item=tr(name), unit=said_unit(unit)), "")

    def _field(self, key: str, name: str, placeholder: str) -> TextField:
        field = self.fields[key] = TextField(key, name, placeholder=placeholder)
        field.typed.connect(self.typed)
        return field

    def show_terms(self, price: PriceTerms, currency: str = "") -> None:
        """The terms as the job has them."""
        self.way.show_key(price.way)
        self.seen.show_key(price.shown)
        rates = {rate.item: rate_text(rate) for rate in price.rates}
        texts = {f"rate:{item}": rates.get(item, "") for item in PRICED_ITEMS}
        texts |= {
            key: getattr(price, key) for key in ("hour", "visit", "travel", "markup", "tax", "minimum", "dryer_day")
        }
        texts |= {"currency": currency, "valid_days": str(price.valid_days)}
        texts |= {key: list_text(price, key) for key, *_ in LISTS}
        for key, text in texts.items():
            self.fields[key].show_text(text)
        built = price.way == "built-up"
        for key, field in self.fields.items():
            if key == "by_width":
                field.setEnabled(not built)
        for item in PRICED_ITEMS:
            self.fields[f"rate:{item}"].setEnabled(not built or rated_when_built(item))
        for key in ("hour", "visit", "travel", "markup", "difficulty"):
            self.fields[key].setEnabled(built)

    def show_tables(self, tables: Sequence[Table], instead: str) -> None:
        """What the terms come to; or why it cannot be said."""
        show_or_say(self.instead, instead, self._down, self.blocks, tables)
