"""The user's language and region: sentences out of one catalogue; numbers, dates and money as written there."""

from takeoff.language.catalogue import (
    LANGUAGES,
    form_of_count,
    language,
    listed,
    mark,
    mark_count,
    quoted,
    tr,
    tr_as,
    tr_count,
    use_language,
)
from takeoff.language.regions import date_text, day_short, money_shown, number, percent, region, use_region

__all__ = [
    "LANGUAGES",
    "date_text",
    "day_short",
    "form_of_count",
    "language",
    "listed",
    "mark",
    "mark_count",
    "money_shown",
    "number",
    "percent",
    "quoted",
    "region",
    "tr",
    "tr_as",
    "tr_count",
    "use_language",
    "use_region",
]
