"""Why a room, an opening or the use of a layer was proposed, and what is doubted of it: one table of reasons.

A job keeps each reason as its English text, with figures that have a point (``because``), so that files are the same
in every language; whoever shows it says it in the user's language (``spoken``). What stands in no table, such as the
reasons of older jobs, is shown as it was kept.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from decimal import Decimal
from functools import cache, lru_cache
from string import Formatter

from takeoff.language import mark, number, percent, tr
from takeoff.plan.model import BUDGET

_GAPS: dict[str, str] = {
    "slit": mark("a slit between wall ends"),
    "prints-part": mark("a way between two printed areas"),
    "first-tread": mark("the first tread of a stair"),
    "gate": mark("a gap as wide as a gate, all that opens the room to the outside"),
    "plain-gap": mark("a plain gap in the wall"),
    "of-openings": mark("drawn on a layer that is for doors and windows alike"),
    "joint": mark("a joint in a glazed front"),
    "mullions": mark("a row of mullions"),
    "short-of-front": mark("a wall that ends short of a glazed front"),
    "door-linework": mark("door linework in the gap"),
    "glazing": mark("glazing drawn along the gap"),
    "plain-lines": mark("plain lines drawn along the gap"),
    "slid-past": mark("lines drawn in the gap as of two leaves that slide past each other"),
    "swing": mark("a door's swing at the gap"),
    "pair-of-doors": mark("a pair of doors swings at the gap"),
    "sliding-leaf": mark("a leaf that slides along the wall"),
    "folding-leaves": mark("leaves that fold at the gap"),
    "symbol": mark("a symbol in the gap"),
}
_OPENINGS: dict[str, str] = {
    "jambs-and-door": mark("jamb lines across the wall and a door between"),
    "jambs-and-glazing": mark("jamb lines across the wall and glazing between"),
    "jambs-and-line": mark("jamb lines across the wall and a line along it between them"),
    "jambs-and-lines": mark("jamb lines across the wall and {count} lines along it between them"),
    "jambs-or-pier": mark("two lines across the wall: an opening, or a pier beside one"),
    "glazing-over-wall": mark("glazing drawn over the wall"),
    "swing-on-wall": mark("a door's swing on a wall that runs through"),
    "door-stroke": mark("a door drawn along the line of its wall"),
    "glazed-front": mark("glass bounds the room here from wall to wall; how high it reaches is assumed"),
    "written-beside": mark("“{words}” is written beside it"),
    "written-in-block": mark("written in its block"),
    "by-schedule": mark("the schedule's size for {mark}"),
    "by-mark": mark("its mark is {mark}"),
    "wide-as-window": mark("as wide as a window in the same sort of wall"),
    "wide-as-door": mark("as wide as a door in the same sort of wall"),
    "wide-as-open": mark("as wide as a doorway without a leaf in the same sort of wall"),
    "outside-no-leaf": mark("in an outside wall and without a leaf"),
    "before-balcony": mark("as wide as two leaves, and a balcony or a terrace is named before it"),
    "hardly-opening": mark("nothing shows that it is an opening"),
    "into-lift": mark("it leads into a lift"),
    "inside-wide-as-door": mark("between rooms and as wide as a door, in a plan that draws no leaves"),
    "inside-no-leaf": mark("between rooms and without a leaf"),
    "as-window": mark("{reason}: proposed as a window"),
    "as-door": mark("{reason}: proposed as a door"),
    "as-open": mark("{reason}: proposed as a doorway without a leaf"),
}
_ROOMS: dict[str, str] = {
    "walled-round": mark("walls on all sides"),
    "lines-of-layers": mark("closed by lines on layers, or in pens, of walls or room outlines"),
    "one-line": mark("walls are drawn as one line: the room is smaller by half their thickness on each side"),
    "partly-walled": mark("only {share_percent} of its border is wall"),
    "closed-across": mark("closed across {reason}, {width_mm} mm wide"),
    "nothing-but-glass": mark("{share_percent} of its border is nothing but glass"),
    "several-names": mark("one open plan with several names: {names}"),
    "several-numbers": mark("several numbers in it: {names}"),
    "named": mark("named by the text in it"),
    "walls-not-told": mark("no layer or pen tells walls from other lines"),
    "walls-not-told-by-words": mark("no layer, pen or word tells walls from other lines"),
    "shows-itself": mark("a door leads into it and walls of two lines stand all round it"),
    "unnamed": mark("nothing in it names it, while other rooms are named"),
    "small-unnamed": mark("nothing names it, and rooms are larger: what a stair or a cupboard leaves of one?"),
    "single-lines": mark("closed by single lines"),
    "single-lines-or-furniture": mark("closed by single lines that could be furniture as well as walls"),
    "print-agrees": mark("the printed area agrees ({printed})"),
    "print-differs": mark("the printed area is {printed}, the outline has {area_m2} m²"),
    "prints-add-up": mark("printed areas of its parts add up to {total_m2} m²"),
    "height-written": mark("ceiling height written: {printed}"),
    "name-alone": mark("no way in is drawn, while other rooms have theirs: a duct, a shaft, a pond or a ledge?"),
    "no-way-anywhere": mark("no way in is drawn to any room, and it is larger than rooms are: the sheet or the plot?"),
    "outdoors": mark("its name is one of a place outdoors"),
    "only-through-outside": mark("its only way in goes through a wall much thicker than others have: a porch?"),
    "only-through-panel": mark("its only door stands in a panel {thickness_mm} mm thick: a yard, or a cubicle?"),
    "less-than-written": mark("“{words}” is written in it, which is more than its {area_m2} m²"),
    "lines-of-outdoors": mark("lines of the layer “{layer}” close it: a place outdoors?"),
    "no-word-no-way": mark("nothing is written in it and no way in is drawn"),
    "by-hand": mark("filled by hand: closed by lines that recognition takes for no walls"),
    "plan-at-other-scale": mark("its plan says {says}, but the sheet was read at {read_at}"),
    "scale-not-beside": mark("the sheet names several scales, and none stands beside its plan"),
    "line-no-wall": mark("a plain line across it is taken for no wall"),
    "shaft": mark("its name is one of a shaft or a lift"),
    "through-open": mark("its doors lead to nothing but what is not walled in: a part of a terrace?"),
    "cubicles": mark("the cubicles behind panels in it are taken as part of it"),
    "one-stair": mark("the flights of a stair and its landings are taken as one room"),
    "niche": mark("a niche behind a plain gap is taken as part of it"),
    "open-way": mark("a passage or a bay that nothing closes is taken as part of it"),
    "piers": mark("what stands free in it is taken for piers"),
    "chairs": mark("small squares or rounds beside tables in it are taken for chairs: one may be a column"),
    "crossed": mark("crossed lines in it mark a shaft or the car of a lift: its walls may lie further out"),
    "with-box": mark("its printed area includes a box drawn along its walls"),
    "with-boxes": mark("its printed area includes {count} boxes drawn along its walls"),
    "box-as-wall": mark("a box of {long_m} × {wide_m} m against its wall is taken for wall: it may be a cupboard"),
    "fittings": mark("what is drawn along its walls is taken for furniture, not for wall"),
    "furniture": mark("lines in it that no door leads through are taken for furniture"),
}
_MODELS: dict[str, str] = {
    "space-solid": mark("the model's space solid"),
    "model-walls": mark("enclosed by the model's walls"),
    "in-pieces": mark("a space in pieces"),
    "model-cut": mark("found in a cut through the model's walls: no space of the model says so"),
    "no-space": mark("no space of the model says that it is a room"),
    "no-model-walls": mark("the model has no walls: doors and windows in its sides are not known"),
    "no-opening": mark("no opening leads into it"),
    "border-glass": mark("{share_percent} of its border is glass"),
    "ceilings-over": mark("ceilings of {area_m2} m² lie above one another: only one is measured"),
    "well-above": mark(
        "the stairwell or shaft goes on above it: {area_m2} m² of its ceiling, and the floor above, may not be there"
    ),
    "outline-in-walls": mark("its outline runs in the middle of walls, not at their faces"),
    "model-opening": mark("the model's opening"),
    "model-heights": mark("its heights are the model's"),
    "model-rooflight": mark("the model's window in the roof"),
    "partly-outside": mark("it lies partly outside the room"),
    "between-storeys": mark("the spaces of two storeys meet here without a wall"),
    "below-floor": mark("it begins {depth_mm} mm below the finished floor"),
    "part-of-height": mark("of its {whole_mm} mm of height {part_mm} lie in this room"),
    "part-of-width": mark("{part_mm} of its {whole_mm} mm lie in this side"),
    "hole-not-filled": mark("its hole fills only {share_percent} of its width and height"),
}
_LAYERS: dict[str, str] = {
    "paired-lines": mark("pairs of its lines lie as far apart as the faces of walls"),
    "closing-lines": mark("its lines close rooms that walls leave open"),
    "small-shapes": mark("it has small closed shapes only"),
    "door-swings": mark("its arcs are door swings"),
    "left-out-by-user": mark("left out by the user"),
    "chosen-by-user": mark("chosen by the user"),
    "named-demolished": mark("its name says that what is on it goes"),
    "named-with": mark("its name has “{words}”"),
    "classified": mark("{code} of its classification"),
    "iso-presentation": mark("ISO 13567 presentation {code}"),
    "iso-element": mark("ISO 13567 element {code}"),
    "rest-of-layer": mark("the rest of its layer is"),
}
REASONS: dict[str, str] = {**_GAPS, **_OPENINGS, **_ROOMS, **_MODELS, **_LAYERS}
"""By key. A fact called ``reason`` is one of them itself; figures end in their unit, ``_percent`` or are a ``count``,
and are kept with a point; any other fact is what the drawing, the file or the user says."""

_ESTIMATED = mark("made of length × width × height alone")
"""What the model's own word for an estimate room says of its openings."""

_FIGURES = ("_mm", "_m", "_m2")
_PERCENT = "_percent"


def because(key: str, **facts: object) -> str:
    """The reason as a job keeps it. Raises KeyError for a key of no reason, or a fact that its text wants.

    >>> because("partly-walled", share_percent="87%")
    'only 87% of its border is wall'
    """
    return REASONS[key].format(**facts)


def says(reason: str, *keys: str) -> bool:
    """Whether a kept reason is one of those of these keys."""
    return any(_pattern(REASONS[key]).fullmatch(reason) for key in keys)


def spoken(reason: str) -> str:
    """A kept reason in the user's language, its figures as the region writes them; one that is in no table as it is.

    >>> spoken("closed across a plain gap in the wall, 900 mm wide")
    'closed across a plain gap in the wall, 900 mm wide'
    """
    if reason == BUDGET:
        return tr(_ESTIMATED)
    told = _told(reason)
    return reason if told is None else tr(told[0], **{name: _fact(name, text) for name, text in told[1].items()})


@lru_cache(maxsize=4096)
def _told(reason: str) -> tuple[str, dict[str, str]] | None:
    """The message that a kept reason was made of, and its facts; rooms by the thousand have the same few."""
    for message in _by_words():
        match = _pattern(message).fullmatch(reason)
        if match is not None:
            return message, match.groupdict()
    return None


def all_spoken(reasons: Iterable[str]) -> tuple[str, ...]:
    """Each of them in the user's language, in their order."""
    return tuple(spoken(reason) for reason in reasons)


def _fact(name: str, text: str) -> str:
    if name == "reason":
        return spoken(text)
    if name.endswith(_PERCENT):
        return percent(Decimal(text.removesuffix("%")))
    if name.endswith(_FIGURES) and "." in text:
        return number(Decimal(text))
    return text


@cache
def _by_words() -> tuple[str, ...]:
    """The messages, those with most words of their own first: a fact takes no words that another message has."""
    return tuple(sorted(REASONS.values(), key=lambda message: (-len(_own_words(message)), message)))


def _own_words(message: str) -> str:
    return "".join(words for words, _, _, _ in Formatter().parse(message))


@cache
def _pattern(message: str) -> re.Pattern[str]:
    """What every text of that message matches, its facts as groups of their names."""
    pieces = []
    for words, name, _, _ in Formatter().parse(message):
        pieces.append(re.escape(words))
        if name:
            pieces.append(f"(?P<{name}>{_shape(name)})")
    return re.compile("".join(pieces), re.DOTALL)


def _shape(name: str) -> str:
    if name.endswith(_PERCENT):
        return r"-?\d+(?:\.\d+)?%"
    if name == "count":
        return r"\d+"
    return r"-?\d+(?:\.\d+)?" if name.endswith(_FIGURES) else ".+?"
