"""Names by which people find a place in a room: walls by letter, openings by mark or number, edges."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from functools import cached_property

import msgspec

from takeoff.errors import Finding, Where
from takeoff.plan.model import Job, Opening, OpeningId, Rooflight, Room, Side
from takeoff.plan.said import bearing
from takeoff.plan.surface_ids import reveal_of, strip_of
from takeoff.plan.wall_letters import wall_letters as wall_letters

_KINDS = {"window": "window", "door": "door", "open": "open way"}
_LABELS = {"window": "w", "door": "d", "open": "ow"}

_PARTS = {
    "start": "right jamb",
    "end": "left jamb",
    "head": "head",
    "sill": "sill",
    "frame": "frame",
    "border": "strip left bare",
}
"""Parts of a reveal as seen from the room: its walls run anticlockwise, so they start on the right."""

_WHOLE = {("right jamb", "left jamb"): "both jambs", ("right jamb", "left jamb", "head"): "jambs and head"}
_PART_ORDER = tuple(_PARTS.values())

Key = tuple[str, ...]
Spot = tuple[str, str, str]
"""(sort, name, part): ("wall", "A", ""), ("opening", "window W1", "head"), ("other", "ceiling", "")"""

_COPY = re.compile(r"@\w+|#\d+")
"""Only tells the takeoff's edges between the same surfaces apart, and the pieces of one edge."""

_NEXT_ROOM: Spot = ("other", "the wall of the next room", "")
"""A surface of an edge that is none of the room's own."""

_CALLED = re.compile(r"\b(window|door|open way) ([^,;:]+)")
"""An opening as the takeoff's texts call it: its kind, then its mark or id."""


class OpeningName(msgspec.Struct, frozen=True):
    """What an opening is called: its kind with its mark, or with its number in its room ("window 1").

    ``label``, as it stands on the plan: the mark, or the number after its kind's letter ("w1").
    """

    text: str
    label: str
    room: str
    marked: bool


def wall_names(room: Room) -> dict[str, str]:
    """ "A lower", "B right": the letters with the side of the plan on which each wall lies."""
    letters = wall_letters(room)
    return {
        str(side.id): f"{letters[side.id]} {_bearing(side, after)}"
        for ring in room.rings
        for side, after in zip(ring, (*ring[1:], *ring[:1]), strict=True)
    }


def opening_names(openings: Sequence[Opening], rooms: Sequence[Room]) -> dict[OpeningId, OpeningName]:
    """A name for every opening of a storey: by its mark, else numbered by kind within its room.

    Numbers follow the walls of the ``rooms`` in walking order; in other rooms the openings' order.
    """
    order = {
        (room.id, side): (k, n) for k, room in enumerate(rooms) for n, side in enumerate(side.id for side in room.sides)
    }
    last = (len(order), 0)
    walked = sorted(openings, key=lambda o: (*order.get((o.room, o.side), last), o.offset_mm))
    counted: dict[tuple[str, str], int] = {}
    names = {}
    for opening in walked if order else openings:
        key = (opening.room, opening.kind)
        counted[key] = counted.get(key, 0) + 1
        number = str(counted[key])
        # On the plan a bare number could be that of a room.
        label = opening.mark or _LABELS[opening.kind] + number
        text = f"{_KINDS[opening.kind]} {opening.mark or number}"
        names[opening.id] = OpeningName(text, label, opening.room, bool(opening.mark))
    return names


def place_words(
    room: Room,
    openings: Sequence[Opening],
    lights: Sequence[Rooflight] = (),
    labels: Mapping[str, str] | None = None,
    names: Mapping[OpeningId, OpeningName] | None = None,
) -> Callable[[str], str]:
    """A function that puts the takeoff's places ("s1|ceiling, s2|ceiling") into words
    ("walls A, B to ceiling"), and names into texts that speak of openings by id ("door o6").

    ``openings`` are all of the storey and ``names`` theirs, if known already; ``labels`` the names
    of its rooms by id. What it does not know stays as it is.
    """
    spots = _spots(room, lights)
    called = {
        str(key): name.text
        if name.marked or name.room == room.id
        else f"{name.text} of {(labels or {}).get(name.room, 'the next room')}"
        for key, name in (opening_names(openings, (room,)) if names is None else names).items()
    }

    def spot(name: str) -> Spot | None:
        known = spots.get(name) or spots.get(_unnumbered(name))
        if known:
            return known
        head, part = (name, "") if name in called else (strip_of(name).opening, strip_of(name).part)
        if reveal_of(name)[1]:
            head, part = reveal_of(name)[0], ""
        if head not in called or part not in ("", "floor", *_PARTS):
            return None
        return "opening", called[head], _PARTS.get(part, "")

    def worded(where: str) -> str:
        edges = [_beside([spot(name) for name in text.split("|")]) for text in _COPY.sub("", where).split(", ")]
        known = [[one for one in edge if one] for edge in edges]
        if known == edges:
            return gathered(known)
        return _CALLED.sub(lambda match: called.get(match[2], match[0]), where)

    return worded


def _beside(edge: Sequence[Spot | None]) -> Sequence[Spot | None]:
    """An edge of which one surface is known, with what is no surface of the room told as such."""
    return [one or _NEXT_ROOM for one in edge] if any(edge) else edge


def edge_words(kind: str, place: str) -> str:
    """The words of an edge of a kind; an opening within the ceiling is a rooflight."""
    return place.replace("within the ceiling", "rooflight edge") if kind == "opening" else place


def gathered(edges: Sequence[Sequence[Spot]]) -> str:
    """Places of one kind said once: "walls A, B to ceiling; window W1, both jambs"."""
    groups: dict[Key, list[str]] = {}
    for edge in edges:
        key, item = _sorted(edge)
        listed = groups.setdefault(key, [])
        if item not in listed:
            listed.append(item)
    openings: dict[tuple[str, ...], list[str]] = {}
    texts = []
    for key, items in groups.items():
        if key[0] == "opening":
            openings.setdefault(_whole(items), []).append(key[1])
        else:
            texts.append(_said(key, items))
    texts += [", ".join((_names(names), *parts)) for parts, names in openings.items()]
    return "; ".join(texts)


def _spots(room: Room, lights: Sequence[Rooflight]) -> dict[str, Spot]:
    """What the surfaces of a room are called, but for its openings."""
    spots: dict[str, Spot] = {name: ("other", name, "") for name in ("floor", "ceiling")}
    spots["frame"] = ("frame", "", "")
    spots["ceiling.drop"] = spots["floor.drop"] = ("other", "step", "")
    for k, light in enumerate((one for one in lights if one.room == room.id), 1):
        spots[f"{light.id}"] = spots[f"{light.id}.shaft"] = ("other", f"rooflight {light.mark or k}", "")
    for field in (room.ceiling, room.floor):
        for region in field.regions if field else ():
            what = region.what or ("lowered part" if field is room.ceiling else "raised part")
            face = "ceiling" if region.op == "raise" else "soffit"
            spots[str(region.id)] = ("other", what, "")
            for part, words in (("drop", "side"), ("face", face), ("top", "top")):
                spots[f"{region.id}.{part}"] = ("other", f"{what} {words}", "")
    return spots | {side: ("wall", letter, "") for side, letter in wall_letters(room).items()}


def _unnumbered(name: str) -> str:
    """ "r1.drop" for "r1.drop3o", "ceiling" for "ceiling.2": nobody finds those by their number."""
    return re.sub(r"\.(drop)?\d+o?$", lambda match: "." + match[1] if match[1] else "", name)


def _sorted(edge: Sequence[Spot]) -> tuple[Key, str]:
    """(what it is gathered under, what it adds to the list there)."""
    walls = [name for sort, name, _ in edge if sort == "wall"]
    opening = next((name for sort, name, _ in edge if sort == "opening"), "")
    others = [name for sort, name, _ in edge if sort == "other" and name != "floor"]
    if opening:
        parts = [part for sort, _, part in edge if sort == "opening" and part not in ("", "frame")]
        at = [part for part in parts if len(parts) > 1 and "jamb" not in part]
        return ("opening", opening), f"corners at the {at[0]}" if at else " ".join(parts)
    if len(walls) == 2:
        return ("corner",), "–".join(sorted(walls, key=lambda letter: (len(letter), letter)))
    if walls:
        return ("wall", *others), walls[0]
    if len(others) == 2 and others[0] == others[1]:
        return ("other",), f"within the {others[0]}" if others[0] == "ceiling" else f"{others[0]} corner"
    return ("other",), " to ".join(sorted(others, key=lambda name: name == "ceiling")) or "floor"


def _said(key: Key, items: Sequence[str]) -> str:
    listed, several = ", ".join(items), len(items) > 1
    if key[0] == "corner":
        return f"wall corners {listed}" if several else f"wall {listed} corner"
    if key[0] == "wall":
        return f"wall{'s' if several else ''} {listed}" + "".join(f" to {other}" for other in key[1:])
    return listed


def _whole(parts: Sequence[str]) -> tuple[str, ...]:
    """Both jambs together are said as such."""
    listed = tuple(sorted((part for part in parts if part), key=lambda part: _rank(part)))
    return (_WHOLE[listed],) if listed in _WHOLE else (" and ".join(listed),) if listed else ()


def _rank(part: str) -> int:
    return _PART_ORDER.index(part) if part in _PART_ORDER else len(_PART_ORDER)


def _names(names: Sequence[str]) -> str:
    """ "doors 1, 2": of one kind together."""
    kinds: dict[str, list[str]] = {}
    for name in names:
        kind = next((word for word in _KINDS.values() if name.startswith(word + " ")), "")
        kinds.setdefault(kind, []).append(name.removeprefix(f"{kind} "))
    return " and ".join(
        f"{kind}{'s' if kind and len(own) > 1 else ''} {', '.join(own)}".strip() for kind, own in kinds.items()
    )


def _bearing(side: Side, after: Side) -> str:
    """On which side of the room the wall lies: to the right of a side that runs anticlockwise."""
    return bearing(after.y_mm - side.y_mm, -(after.x_mm - side.x_mm))


_SPOKEN = re.compile(
    r"(?<![\w.|])(?:(?P<word>[Rr]oom|[Ww]indow|[Dd]oor|[Oo]pen way|[Oo]pening|[Rr]ooflight|[Ss]ide|[Ww]all) )?"
    r"“?(?P<id>[\w/-]+)”?(?![\w|@])(?P<bare> without a name)?"
)
"""A word of a sentence that may be an id, with the word before it that tells of what."""

_READ_ID = re.compile(r"r\d+")
"""The id of a room that nobody has named."""


class Spoken:
    """Calls rooms, walls and openings in findings by name, number or letter where these say ids.

    ``as_found``: rooms are called as before somebody named them.
    """

    def __init__(self, job: Job, as_found: bool = False) -> None:
        self._storeys, self._as_found = job.storeys, as_found

    @cached_property
    def _rooms(self) -> dict[str, Room]:
        return {str(room.id): room for storey in self._storeys for room in storey.rooms}

    @cached_property
    def _openings(self) -> dict[str, str]:
        """What openings and rooflights are called, by id."""
        found: dict[str, str] = {}
        for storey in self._storeys:
            found |= {str(key): name.text for key, name in opening_names(storey.openings, storey.rooms).items()}
            counted: dict[str, int] = {}
            for light in storey.rooflights:
                counted[light.room] = counted.get(light.room, 0) + 1
                found[str(light.id)] = f"rooflight {light.mark or counted[light.room]}"
        return found

    def opening(self, name: str) -> str:
        """ "window W1", "door 2": an opening or a rooflight; its id where the job has none of it."""
        return self._openings.get(name, name)

    def finding(self, finding: Finding) -> Finding:
        """The finding, with its sentence in such words."""
        where = finding.where
        text = _SPOKEN.sub(lambda match: self._word(match, where), finding.text)
        why = _SPOKEN.sub(lambda match: self._word(match, where), finding.evidence)
        return msgspec.structs.replace(finding, text=text, evidence=why)

    def storey(self, where: Where) -> str:
        """The storey of a room in a job of several; "" in a job of one, and where no room is meant."""
        home = next((s for s in self._storeys if any(str(room.id) == where.room for room in s.rooms)), None)
        return home.title if home is not None and len(self._storeys) > 1 else ""

    def place(self, where: Where) -> tuple[str, ...]:
        """The room, the opening and the wall of a place, those that the job has: ("Kitchen", "window 1")."""
        room, words = self._rooms.get(where.room or ""), list[str]()
        if room is not None:
            words.append(_capital(room.title))
        if where.opening in self._openings:
            words.append(self._openings[where.opening])
        letter = wall_letters(room).get(where.surface or "") if room is not None else None
        return (*words, f"wall {letter}") if letter else tuple(words)

    def _word(self, match: re.Match[str], where: Where) -> str:
        word, name = (match["word"] or "").lower(), match["id"]
        said = ""
        if word in ("side", "wall") and where.room in self._rooms:
            letter = wall_letters(self._rooms[where.room]).get(name)
            said = f"{word} {letter}" if letter else ""
        elif (word == "room" or name == where.room) and name in self._rooms and _READ_ID.fullmatch(name):
            room = self._rooms[name]
            title = room.title_unnamed if self._as_found else room.title
            said = title + (match["bare"] or "") if title == room.title_unnamed else title
        elif (word in _OPENING_WORDS or name == where.opening) and name in self._openings:
            said = self._openings[name]
        if not said:
            return match[0]
        return _capital(said) if match.start() == 0 or match[0][0].isupper() else said


_OPENING_WORDS = frozenset({"window", "door", "open way", "opening", "rooflight"})


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
