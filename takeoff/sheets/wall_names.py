"""Names by which people find a place in a room: walls by letter, openings by mark or number, edges."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from functools import cache, cached_property
from typing import NamedTuple

import msgspec

from takeoff.errors import Finding, Where
from takeoff.language import language, listed, mark, tr, tr_count
from takeoff.plan.model import Job, Opening, OpeningId, Rooflight, Room, Side
from takeoff.plan.said import bearing
from takeoff.plan.surface_ids import reveal_of, strip_of
from takeoff.plan.wall_letters import wall_letters as wall_letters
from takeoff.sheets.line_words import line_words, opening_label, opening_words, part_words

_PARTS = {
    "start": mark("right jamb"),
    "end": mark("left jamb"),
    "head": mark("head"),
    "sill": mark("sill"),
    "frame": mark("frame"),
    "border": mark("margin not coated"),
}
"""Parts of a reveal as seen from the room: its walls run anticlockwise, so they start on the right."""

_WHOLE = {("right jamb", "left jamb"): mark("both jambs"), ("right jamb", "left jamb", "head"): mark("jambs and head")}
_PART_ORDER = tuple(_PARTS.values())
_CORNERS = {"head": mark("corners at the head"), "sill": mark("corners at the sill")}

Key = tuple[str, ...]


class Called(NamedTuple):
    """An opening in a list: all of its name, its kind, and what tells it from others of its kind."""

    text: str
    kind: str
    rest: str


Spot = tuple[str, str | Called, str]
"""(sort, name, part): ("wall", "A", ""), ("opening", window W1, "head"), ("other", "ceiling", "").
Parts, and "floor", "ceiling" and "step", are keys and are said where they are printed."""

_OTHERS = {
    "floor": mark("floor"),
    "ceiling": mark("ceiling"),
    "step": mark("step"),
    "next room": mark("the wall of the next room"),
}

_COPY = re.compile(r"@\w+|#\d+")
"""Only tells the takeoff's edges between the same surfaces apart, and the pieces of one edge."""

_NEXT_ROOM: Spot = ("other", "next room", "")
"""A surface of an edge that is none of the room's own."""


class OpeningName(msgspec.Struct, frozen=True):
    """What an opening is called: its kind with its mark, or with its number in its room ("window 1").

    ``label``, as it stands on the plan: the mark, or the number after its kind's letter ("w1"). ``number``: the
    mark or the number alone.
    """

    text: str
    label: str
    room: str
    marked: bool
    kind: str = "window"
    number: str = ""


def wall_names(room: Room) -> dict[str, str]:
    """ "A lower", "B right": the letters with the side of the plan on which each wall lies."""
    letters = wall_letters(room)
    return {
        str(side.id): f"{letters[side.id]} {tr(_bearing(side, after))}"
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
        label = opening.mark or opening_label(opening.kind, number)
        own = opening.mark or number
        text = opening_words(opening.kind, own)
        names[opening.id] = OpeningName(text, label, opening.room, bool(opening.mark), opening.kind, own)
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
    known_names = opening_names(openings, (room,)) if names is None else names
    called = {str(key): _called(name, room, labels or {}) for key, name in known_names.items()}

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

    def named(key: str) -> str:
        return called[key].text if key in called else ""

    def worded(where: str) -> str:
        edges = [_beside([spot(name) for name in text.split("|")]) for text in _COPY.sub("", where).split(", ")]
        known = [[one for one in edge if one] for edge in edges]
        return gathered(known) if known == edges else line_words(where, named)

    return worded


def _called(name: OpeningName, room: Room, labels: Mapping[str, str]) -> Called:
    """What an opening is called in a room; one of another room that has no mark is said to be of that room."""
    if name.marked or name.room == room.id:
        return Called(name.text, name.kind, name.number)
    of = labels.get(name.room) or tr("the next room")
    return Called(
        tr("{opening} of {room}", opening=name.text, room=of),
        name.kind,
        tr("{opening} of {room}", opening=name.number, room=of),
    )


def _beside(edge: Sequence[Spot | None]) -> Sequence[Spot | None]:
    """An edge of which one surface is known, with what is no surface of the room told as such."""
    return [one or _NEXT_ROOM for one in edge] if any(edge) else edge


def edge_words(kind: str, place: str) -> str:
    """The words of an edge of a kind; an opening within the ceiling is a rooflight."""
    return place.replace(tr("within the ceiling"), tr("rooflight edge")) if kind == "opening" else place


def gathered(edges: Sequence[Sequence[Spot]]) -> str:
    """Places of one kind said once: "walls A, B to ceiling; window W1, both jambs"."""
    groups: dict[tuple[str | Called, ...], list[str]] = {}
    for edge in edges:
        key, item = _sorted(edge)
        listed_there = groups.setdefault(key, [])
        if item not in listed_there:
            listed_there.append(item)
    openings: dict[Key, list[Called]] = {}
    texts = []
    for key, items in groups.items():
        if isinstance(key[1] if len(key) > 1 else "", Called):
            openings.setdefault(_whole(items), []).append(key[1])  # type: ignore[arg-type]
        else:
            texts.append(_said(tuple(map(str, key)), items))
    texts += [", ".join((_names(names), *parts)) for parts, names in openings.items()]
    return "; ".join(texts)


def _spots(room: Room, lights: Sequence[Rooflight]) -> dict[str, Spot]:
    """What the surfaces of a room are called, but for its openings."""
    spots: dict[str, Spot] = {name: ("other", name, "") for name in ("floor", "ceiling")}
    spots["frame"] = ("frame", "", "")
    spots["ceiling.drop"] = spots["floor.drop"] = ("other", "step", "")
    for k, light in enumerate((one for one in lights if one.room == room.id), 1):
        name = tr("rooflight {name}", name=light.mark or k)
        spots[f"{light.id}"] = spots[f"{light.id}.shaft"] = ("other", name, "")
    for field in (room.ceiling, room.floor):
        for region in field.regions if field else ():
            usual = tr("bulkhead") if field is room.ceiling else tr("raised part")
            what = part_words(region.what) if region.what else usual
            spots[str(region.id)] = ("other", what, "")
            spots[f"{region.id}.drop"] = ("other", tr("{part} side", part=what), "")
            raised = region.op == "raise"
            face = tr("{part} ceiling", part=what) if raised else tr("{part} soffit", part=what)
            spots[f"{region.id}.face"] = ("other", face, "")
            spots[f"{region.id}.top"] = ("other", tr("{part} top", part=what), "")
    return spots | {side: ("wall", letter, "") for side, letter in wall_letters(room).items()}


def _unnumbered(name: str) -> str:
    """ "r1.drop" for "r1.drop3o", "ceiling" for "ceiling.2": nobody finds those by their number."""
    return re.sub(r"\.(drop)?\d+o?$", lambda match: "." + match[1] if match[1] else "", name)


def _sorted(edge: Sequence[Spot]) -> tuple[tuple[str | Called, ...], str]:
    """(what it is gathered under, what it adds to the list there)."""
    walls = [str(name) for sort, name, _ in edge if sort == "wall"]
    opening = next((name for sort, name, _ in edge if sort == "opening"), None)
    others = [str(name) for sort, name, _ in edge if sort == "other" and name != "floor"]
    if opening is not None:
        parts = [part for sort, _, part in edge if sort == "opening" and part not in ("", "frame")]
        at = [part for part in parts if len(parts) > 1 and "jamb" not in part]
        return ("opening", opening), f"@{at[0]}" if at else "|".join(parts)
    if len(walls) == 2:
        return ("corner",), "–".join(sorted(walls, key=lambda letter: (len(letter), letter)))
    if walls:
        return ("wall", *others), walls[0]
    if len(others) == 2 and others[0] == others[1]:
        within = others[0] == "ceiling"
        return ("other",), tr("within the ceiling") if within else tr("{part} corner", part=_other(others[0]))
    first, *rest = sorted(others, key=lambda name: name == "ceiling") or ["floor"]
    return ("other",), _to(_other(first), rest)


def _other(name: str) -> str:
    """A surface that is neither a wall nor of an opening."""
    return tr(_OTHERS[name]) if name in _OTHERS else name


def _to(start: str, others: Sequence[str]) -> str:
    """ "walls A, B to ceiling": where surfaces meet."""
    for other in others:
        start = tr("{surface} to {other}", surface=start, other=_other(other))
    return start


def _said(key: Key, items: Sequence[str]) -> str:
    names, count = ", ".join(items), len(items)
    if key[0] == "corner":
        return tr_count("wall {names} corner", "wall corners {names}", count, names=names)
    if key[0] == "wall":
        return _to(tr_count("wall {names}", "walls {names}", count, names=names), key[1:])
    return names


def _whole(parts: Sequence[str]) -> Key:
    """Both jambs together are said as such."""
    keys = tuple(sorted((part for part in parts if part), key=_rank))
    if keys in _WHOLE:
        return (tr(_WHOLE[keys]),)
    return (listed([_part_said(key) for key in keys]),) if keys else ()


def _part_said(key: str) -> str:
    """ "head", "left jamb"; "corners at the head" for the key "@head"."""
    if key.startswith("@"):
        return tr(_CORNERS[key[1:]]) if key[1:] in _CORNERS else tr("corners at: {part}", part=tr(key[1:]))
    return " ".join(tr(part) for part in key.split("|"))


def _rank(part: str) -> int:
    return _PART_ORDER.index(part) if part in _PART_ORDER else len(_PART_ORDER)


def _names(names: Sequence[Called]) -> str:
    """ "doors 1, 2": of one kind together."""
    kinds: dict[str, list[Called]] = {}
    for name in names:
        kinds.setdefault(name.kind, []).append(name)
    return listed([own[0].text if len(own) == 1 else _several(kind, own) for kind, own in kinds.items()])


def _several(kind: str, names: Sequence[Called]) -> str:
    rest = ", ".join(name.rest for name in names)
    if kind == "window":
        return tr("windows {names}", names=rest)
    return tr("doors {names}", names=rest) if kind == "door" else tr("doorways {names}", names=rest)


def _bearing(side: Side, after: Side) -> str:
    """On which side of the room the wall lies: to the right of a side that runs anticlockwise."""
    return bearing(after.y_mm - side.y_mm, -(after.x_mm - side.x_mm))


@cache
def _spoken(spoken: str) -> re.Pattern[str]:
    """A word of a sentence in that language that may be an id, with the word before it that tells of what."""
    words = sorted({tr(word) for word in _ROOM_WORDS + _WALL_WORDS + _OPENING_WORDS}, key=len, reverse=True)
    either = "|".join(f"[{word[0].upper()}{word[0].lower()}]{re.escape(word[1:])}" for word in words)
    without = re.escape(" " + tr("without a name"))
    return re.compile(rf"(?<![\w.|])(?:(?P<word>{either}) )?[“„]?(?P<id>[\w/-]+)[”“]?(?![\w|@])(?P<bare>{without})?")


_ROOM_WORDS = (mark("room"),)
_WALL_WORDS = (mark("side"), mark("wall"))
_OPENING_WORDS = (mark("window"), mark("door"), mark("doorway"), mark("opening"), mark("rooflight"), "open way")

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
                found[str(light.id)] = tr("rooflight {name}", name=light.mark or counted[light.room])
        return found

    def opening(self, name: str) -> str:
        """ "window W1", "door 2": an opening or a rooflight; its id where the job has none of it."""
        return self._openings.get(name, name)

    def finding(self, finding: Finding) -> Finding:
        """The finding, with its sentence in such words."""
        where = finding.where
        text = _spoken(language()).sub(lambda match: self._word(match, where), finding.text)
        why = _spoken(language()).sub(lambda match: self._word(match, where), finding.evidence)
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
        return (*words, tr("wall {letter}", letter=letter)) if letter else tuple(words)

    def _word(self, match: re.Match[str], where: Where) -> str:
        word, name = (match["word"] or "").lower(), match["id"]
        said = ""
        if word in _said_words(_WALL_WORDS, language()) and where.room in self._rooms:
            letter = wall_letters(self._rooms[where.room]).get(name)
            said = tr("wall {letter}", letter=letter) if letter else ""
        elif (
            (word in _said_words(_ROOM_WORDS, language()) or name == where.room)
            and name in self._rooms
            and _READ_ID.fullmatch(name)
        ):
            room = self._rooms[name]
            title = room.title_unnamed if self._as_found else room.title
            said = title + (match["bare"] or "") if title == room.title_unnamed else title
        elif (word in _said_words(_OPENING_WORDS, language()) or name == where.opening) and name in self._openings:
            said = self._openings[name]
        if not said:
            return match[0]
        return _capital(said) if match.start() == 0 or match[0][0].isupper() else said


@cache
def _said_words(words: tuple[str, ...], spoken: str) -> frozenset[str]:
    """The words in the language spoken, small."""
    return frozenset(tr(word).lower() for word in words)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
