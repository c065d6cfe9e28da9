"""What a line of the takeoff is, in the user's words: measuring names it the same in every language.

``Dim.what`` is a key that results keep ("jamb, window o1", "edge of a low wall"); here stands how it is said.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from takeoff.language import listed, mark, tr, tr_as

_SAID = {
    "wall": mark("wall"),
    "ceiling": mark("ceiling"),
    "top": mark("top"),
    "drop face": mark("side of a bulkhead or boxing"),
    "left on": mark("kept or masked"),
    "not coated": mark("not coated"),
    "opening in it": mark("opening in it"),
    "wall to wall": mark("wall to wall"),
    "wall to ceiling": mark("wall to ceiling"),
    "fold of the ceiling": mark("between ceiling planes"),
    "at a drop": mark("at a bulkhead or boxing"),
    "within a reveal": mark("in a reveal"),
    "outer corner of the room": mark("external corner of the room"),
    "round an opening": mark("round an opening"),
    "edge of a drop": mark("edge of a bulkhead or boxing"),
    "edge of a low wall": mark("edge of a dwarf wall"),
    "along the floor": mark("along the floor"),
    "foot of a jamb": mark("bottom of a jamb"),
    "strip against the frame": mark("reveal to frame"),
    "strip against the lining": mark("reveal to door lining"),
    "wall against the frame": mark("wall to frame"),
    "wall against the lining": mark("wall to door lining"),
    "open end": mark("open end"),
    "against what is kept": mark("against what is kept or masked"),
    "in a corner with a bare surface": mark("in a corner with a surface not coated"),
    "on a surface": mark("on a surface"),
    "beside another surface": mark("beside another surface"),
    "beside a reveal": mark("beside a reveal"),
    "in a reveal": mark("in a reveal"),
    "jamb": mark("jamb"),
    "head": mark("head"),
    "sill": mark("sill"),
    "rooflight shaft": mark("rooflight shaft"),
    "square": mark("square bead"),
    "wide": mark("wide-angle bead"),
    "narrow": mark("narrow-angle bead"),
    "flexible": mark("flexible bead"),
}
"""How each key is said; what is no key stays as it is."""

_OPENING = re.compile(r"(?:(?P<part>jamb|head|sill), )?(?P<kind>window|door|open way) (?P<name>.+)")
_SHAFT = re.compile(r"shaft of rooflight (.+)")

PARTS_OF_ROOMS = (
    mark("skirting"),
    mark("coving"),
    mark("architraves"),
    mark("dado"),
    mark("tiles"),
    mark("units"),
    mark("boxing"),
    mark("bulkhead"),
    mark("dormer"),
    mark("dwarf wall"),
    mark("stair soffit"),
    mark("pier"),
    mark("round pier"),
    mark("ceiling not coated"),
    mark("beam"),
    mark("hatch"),
)
"""What the program calls the parts of rooms that it makes; people may call theirs otherwise."""


def opening_words(kind: str, name: str) -> str:
    """ "window W1", "door 2", "doorway 1"."""
    if kind == "window":
        return tr("window {name}", name=name)
    return tr("door {name}", name=name) if kind == "door" else tr("doorway {name}", name=name)


def opening_label(kind: str, number: str) -> str:
    """The same as it stands on a plan: "w1", "d2", "dw1"."""
    if kind == "window":
        return tr_as("beside a window on the plan", "w{number}", number=number)
    if kind == "door":
        return tr_as("beside a door on the plan", "d{number}", number=number)
    return tr_as("beside a doorway on the plan", "dw{number}", number=number)


def part_words(what: str) -> str:
    """What a part of a room is called, usual words in the user's language; "left out" is a masked part."""
    return tr("masked part") if what == "left out" else tr(what)


def line_words(what: str, called: Callable[[str], str]) -> str:
    """A line's key in words; ``called`` names an opening by the mark or id that the key has, "" where it cannot."""
    shaft = _SHAFT.fullmatch(what)
    if shaft:
        return tr("shaft of rooflight {name}", name=shaft[1])
    opening = _OPENING.fullmatch(what)
    if opening is None:
        return (
            ", ".join(tr(_SAID.get(part, part)) for part in what.split(", ")) if what in _SAID or ", " in what else what
        )
    kind = "open" if opening["kind"] == "open way" else opening["kind"]
    name = called(opening["name"]) or opening_words(kind, opening["name"])
    return f"{tr(_SAID[opening['part']])}, {name}" if opening["part"] else name


def profiles_said(profiles: list[str]) -> str:
    """Profiles of bead by their ids: "square bead and flexible bead"; others as they are called."""
    return listed([tr(_SAID.get(profile, profile)) for profile in profiles])
