"""What each layer is for: a guess with its reason, as a table the user can overrule; the trade's words for
it; and what a user chose for one office's drawings, to be used again on its next one.

Names are read word by word in many languages, with the discipline codes of AIA (A-WALL), the element fields
of ISO 13567 and the numbers of national classifications: all of them data (``resources/layers``), and from
memory of those standards' forms. Values and pure functions only; keeping profiles between runs is the
caller's task."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import cache, lru_cache
from typing import Literal, cast, get_args

import msgspec

from takeoff.drawing.model import Drawing
from takeoff.errors import InputError
from takeoff.files.paths import resource
from takeoff.language import mark, tr
from takeoff.plan.reasons import because

Role = Literal[
    "wall",
    "column",
    "glazing",
    "door",
    "area",
    "text",
    "dimension",
    "furniture",
    "hatch",
    "grid",
    "frame",
    "stair",
    "ceiling",
    "floor",
    "service",
    "site",
    "demolished",
    "unknown",
]

Status = Literal["", "existing", "new", "demolished"]
_ORDER: tuple[Role, ...] = (
    "demolished",
    "dimension",
    "text",
    "hatch",
    "grid",
    "frame",
    "furniture",
    "stair",
    "glazing",
    "door",
    "column",
    "wall",
    "area",
    "ceiling",
    "floor",
    "service",
    "site",
)
"""Of several things that a name says the first counts: a dimension of a wall is a dimension."""
NO_WALLS: tuple[Role, ...] = ("text", "dimension", "furniture", "hatch", "grid", "frame", "service", "site")
"""Nothing that bounds a room is drawn on layers of these roles."""
_LONG_WORD = 5
"""Words of at least so many letters begin and end compounds (Aussenwände); of shorter ones those that the
data names (roomwalls)."""


class _Standards(msgspec.Struct, frozen=True):
    iso13567: dict[str, dict[str, str]]
    aia: dict[str, dict[str, str]]
    elements: dict[str, dict[str, Role]]


class _Names(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The data file: words of names by language and role; short ones that begin and end compounds; words for
    rooms, which show what stands in them where a name says nothing else; signs that are found anywhere in a
    name (of languages that put no blanks between words); words for what stands and what is new; the letters
    and numbers of standards."""

    known: str
    words: dict[str, dict[Role, str]]
    within: str
    room_words: str
    signs: dict[str, dict[Role, str]]
    status: dict[Status, str]
    standards: _Standards


def _plain(word: str) -> str:
    """A word without capitals and accents, as it stands where a program could not write them."""
    parts = unicodedata.normalize("NFD", word.casefold())
    return unicodedata.normalize("NFC", "".join(c for c in parts if not unicodedata.combining(c)))


def _by_word(tables: Iterable[dict[Role, str]]) -> dict[str, Role]:
    """The role of each word; of a word that languages use for several things, the first in ``_ORDER``."""
    merged: dict[Role, list[str]] = {role: [] for role in _ORDER}
    for table in tables:
        for role, words in table.items():
            merged[role] += words.split()
    found: dict[str, Role] = {}
    for role in _ORDER:
        for word in merged[role]:
            found.setdefault(unicodedata.normalize("NFC", word.casefold()), role)
    for word in list(found):
        found.setdefault(_plain(word), found[word])
    return found


_NAMES = msgspec.json.decode(resource("layers/names.json").read_bytes(), type=_Names)
_BY_WORD = _by_word(_NAMES.words.values())
_PHRASES = {word: role for word, role in _BY_WORD.items() if "-" in word}
_BY_SIGN = _by_word(_NAMES.signs.values())
_SHORT = frozenset(_NAMES.within.split())
_LONG = tuple(sorted((w for w in _BY_WORD if len(w) >= _LONG_WORD or w in _SHORT), key=len, reverse=True))
_ROOM_WORDS: dict[str, Role] = dict.fromkeys((_plain(w) for w in _NAMES.room_words.split()), "furniture")
_STATUS_BY_WORD: dict[str, Status] = {w: status for status, words in _NAMES.status.items() for w in words.split()}
_STANDARDS = _NAMES.standards
_ELEMENTS = {code: (role, name) for name, table in _STANDARDS.elements.items() for code, role in table.items()}
_ISO_ELEMENTS = ("21", "22", "23", "24", "27", "28", "31", "32", "35", "43")
"""Codes that are believed where a name has no more than one of them after its discipline (A-21)."""
_BOUND = re.compile(r"^.*(?:\$\d+\$|\|)(?=.)")
"""What a bound or attached reference puts before the names of its own layers."""
_AIA_FORM = re.compile(r"^[A-Z]{1,2}-[A-Z0-9]{4}(?:-[A-Z0-9]{4}){0,2}-([NED])$")
_ISO_FORM = re.compile(r"^[A-Z][A-Z0-9_-][0-9_-]{6}[A-Z_-]{2}([NERTOF])")
_ISO_WHOLE = re.compile(r"^[A-Z][A-Z0-9_-]([A-Z0-9][A-Z0-9_-]{5})([A-Z_-][A-Z0-9_-])")
_CODE = re.compile(r"(?:^|[-_ ])(?:\((\d{2})(?:\.\d+)?\)|(42[BD]|43C[BC]|43E)|(G2[2-6]|G32|G4)\d{0,2})(?=[-_. )]|$)")
"""A number in brackets (CI/SfB), or a letter and numbers of a classification of building parts."""


_PLAN_WORDS = frozenset({"plan", "plans", "layout", "grundriss", "planta", "pianta", "plattegrond", "rzut"})
"""A floor in a layer's name together with one of these is a storey, and no floor."""
LEFT_OUT = because("left-out-by-user")
CHOSEN = because("chosen-by-user")


class LayerGuess(msgspec.Struct, frozen=True):
    """One row of the table: the layer, what it seems to be for, why, and whether its name says that
    what is on it stands already, is new, or goes."""

    name: str
    role: Role
    why: str
    status: Status = ""


def own_name(name: str) -> str:
    """The name that a layer has in the drawing that it comes from: without what binding or attaching
    that drawing as a reference put before it (``ground$0$A-WALL``, ``ground|A-WALL``)."""
    return _BOUND.sub("", name)


def _words(name: str) -> list[str]:
    """The words of a name, and those that a capital or a number ends."""
    words = [w for w in re.split(r"[^\w]+|_", name.casefold()) if w]
    camel = [w.casefold() for w in re.findall(r"[^\W\d_](?:[^\W\d_A-ZÄÖÜ])+|[A-ZÄÖÜ]+(?![a-z])", name)]
    letters = [w for word in words for w in re.split(r"\d+", word) if len(w) > 2]
    return list(dict.fromkeys([*words, *camel, *letters]))


@cache
def status_by_name(name: str) -> Status:
    """Whether a layer's name says that what is on it stands already, is new, or goes; "" for neither."""
    name = own_name(name)
    letter = _AIA_FORM.match(name.upper())
    if letter is not None:
        return cast(Status, _STANDARDS.aia["status"][letter[1]])
    letter = _ISO_FORM.match(name.upper())
    if letter is not None and re.search(r"\d\d", name[2:8]):
        return cast(Status, _STANDARDS.iso13567["status"].get(letter[1], ""))
    words = [w for w in re.split(r"[^\w]+|_", name.casefold()) if w]
    if any(_BY_WORD.get(w) == "demolished" for w in words) or _signs(name).get("demolished"):
        return "demolished"
    said = [_STATUS_BY_WORD[w] for w in words if w in _STATUS_BY_WORD]
    said += [status for sign, status in _STATUS_BY_WORD.items() if _is_sign(sign) and sign in name]
    return said[0] if said else ""


def _is_sign(word: str) -> bool:
    """Whether a word is written in signs that stand without blanks between them."""
    return all("\u3040" <= c <= "\u9fff" for c in word)


# a drawing has hundreds of names of layers and blocks, which are asked of again in each reading of it
@lru_cache(maxsize=8192)
def by_name(name: str) -> tuple[Role, str]:
    """(role, reason) from the layer's name alone; ("unknown", "") where it says nothing."""
    if status_by_name(name) == "demolished":
        return "demolished", because("named-demolished")
    name = own_name(name)
    words = _words(name)
    found = _said(words) or _compounds(words) or {r: w for w in words if (r := _ROOM_WORDS.get(_plain(w)))}
    found = {**_signs(name), **found}
    if "floor" in found and not _PLAN_WORDS.isdisjoint(words):
        # All that a storey has lies on such a layer, and it says no more than its number would.
        del found["floor"]
    if {"wall", "door", "glazing"} <= found.keys():
        # What has all three is the house itself.
        return "wall", because("named-with", words=found["wall"])
    for role in _ORDER:
        if role in found:
            return role, because("named-with", words=found[role])
    return _by_code(name)


def also_says(name: str, role: Role) -> bool:
    """Whether a word of a layer's name says this, whatever else it says."""
    words = _words(own_name(name))
    return role in {**_compounds(words), **_said(words)}


def _said(words: list[str]) -> dict[Role, str]:
    found: dict[Role, str] = {}
    for word in words:
        role = _BY_WORD.get(word) or _BY_WORD.get(_plain(word))
        if role is not None:
            found.setdefault(role, word)
    together = f"-{'-'.join(words)}-"
    for phrase, role in _PHRASES.items():
        if f"-{phrase}-" in together:
            found.setdefault(role, phrase)
    return found


def _compounds(words: list[str]) -> dict[Role, str]:
    """What words begin or end with, the longest that is known of each."""
    found: dict[Role, str] = {}
    for word in words:
        plain = _plain(word)
        if len(word) >= _LONG_WORD and plain not in _ROOM_WORDS:
            known = next((k for k in _LONG if word.startswith(k) or word.endswith(k) or plain.endswith(k)), None)
            if known is not None:
                found.setdefault(_BY_WORD[known], known)
    return found


def _signs(name: str) -> dict[Role, str]:
    """What signs of Chinese, Japanese and Korean say, the longer first: a curtain wall is no wall."""
    found: dict[Role, str] = {}
    if name.isascii():
        return found
    left = unicodedata.normalize("NFKC", name)
    for sign in sorted(_BY_SIGN, key=len, reverse=True):
        if sign in left:
            found.setdefault(_BY_SIGN[sign], sign)
            left = left.replace(sign, " ")
    return found


def _by_code(name: str) -> tuple[Role, str]:
    """What the letters and numbers of layer standards say where no word does."""
    upper = name.upper()
    whole = _ISO_WHOLE.match(upper)
    presentation = _STANDARDS.iso13567["presentation"]
    code = _CODE.search(upper)
    if code is not None:
        said = _ELEMENTS.get(code[1] or code[2] or code[3])
        if said is not None:
            return said[0], because("classified", code=code[1] or code[2] or code[3])
    number = re.match(r"^[A-Z][A-Z0-9_-]?[-_]?[A-Z]?(\d{2})\d{0,3}[-_]*([A-Z]?)", name)
    if number is not None and number[2] in presentation:
        return cast(Role, presentation[number[2]]), because("iso-presentation", code=number[2])
    if number is not None and (number[1] in _ISO_ELEMENTS or (whole is not None and number[1] in _ELEMENTS)):
        return _ELEMENTS[number[1]][0], because("iso-element", code=number[1])
    return "unknown", ""


def guess(
    drawing: Drawing, given: tuple[str, ...] = (), chosen: tuple[tuple[str, str], ...] = ()
) -> tuple[LayerGuess, ...]:
    """A row per layer of the drawing, in its order. Layers that the user *gave* are walls unless
    their names say that they are openings; all others are then left out. ``chosen``: (layer, role)
    that the user set. Raises InputError for a role that does not exist."""
    wanted = {name.casefold() for name in given}
    roles = {name.casefold(): as_role(role) for name, role in chosen}
    rows = []
    for layer in drawing.layers:
        role, why = by_name(layer.name)
        status = status_by_name(layer.name)
        if layer.name.casefold() in roles:
            role, why = roles[layer.name.casefold()], CHOSEN
            status = "demolished" if role == "demolished" else "" if status == "demolished" else status
        elif role != "demolished" and (whole := whole_of(layer.name).casefold()) in roles:
            role, why = roles[whole], because("rest-of-layer")
        elif wanted:
            if layer.name.casefold() not in wanted:
                role, why = ("text", why) if role == "text" else ("frame", LEFT_OUT)
            elif role not in ("wall", "column", "glazing", "door", "area"):
                role, why = "wall", CHOSEN
        rows.append(LayerGuess(layer.name, role, why, status))
    return tuple(rows)


def whole_of(name: str) -> str:
    """The layer that one called "A-WALL (DASHED)" was told apart from; "" for other names."""
    return name.rpartition(" (")[0] if name.endswith(")") else ""


def _no_role(text: str, roles: tuple[str, ...]) -> str:
    return tr("“{text}” is not a layer use. Choose: {uses}.", text=text, uses=", ".join(roles))


def as_role(text: str) -> Role:
    """The role of that name. Raises InputError where there is none."""
    if text not in get_args(Role):
        raise InputError(_no_role(text, get_args(Role)))
    return cast(Role, text)


WORDS: dict[Role, str] = {
    "wall": mark("walls"),
    "column": mark("columns and piers"),
    "door": mark("doors"),
    "glazing": mark("windows and glass"),
    "area": mark("outlines of rooms"),
    "text": mark("text"),
    "dimension": mark("dimensions"),
    "furniture": mark("furniture"),
    "stair": mark("stairs"),
    "ceiling": mark("what lies above"),
    "floor": mark("floor finishes"),
    "hatch": mark("hatching"),
    "grid": mark("grid lines"),
    "service": mark("services"),
    "site": mark("outside the house"),
    "demolished": mark("walls to come down"),
    "frame": mark("not used"),
    "unknown": mark("not clear"),
}
"""What a table says a layer is taken for."""

TO_CHOOSE: tuple[Role, ...] = (
    "wall",
    "column",
    "door",
    "glazing",
    "area",
    "demolished",
    "text",
    "furniture",
    "stair",
    "ceiling",
    "hatch",
    "frame",
)
"""What a user chooses from; the others change nothing that is proposed."""

_SAID: dict[str, Role] = {
    "walls": "wall",
    "columns": "column",
    "doors": "door",
    "window": "glazing",
    "windows": "glazing",
    "glass": "glazing",
    "rooms": "area",
    "room": "area",
    "texts": "text",
    "dimensions": "dimension",
    "stairs": "stair",
    "above": "ceiling",
    "hatching": "hatch",
    "unused": "frame",
    "none": "frame",
    "not used": "frame",
    "ignore": "frame",
    "demolish": "demolished",
    "comes down": "demolished",
    "existing": "wall",
    "new": "wall",
    "stands": "wall",
}


def role_named(text: str) -> Role:
    """The role of that name, or of a usual word for it ("walls", "windows", "unused"). Raises
    InputError with the names that exist."""
    plain = " ".join(text.strip().casefold().split())
    if plain in _SAID or plain in get_args(Role):
        return _SAID.get(plain) or as_role(plain)
    raise InputError(_no_role(text, (*TO_CHOOSE[:-1], "unused")))


ALIKE = 0.6
"""Two drawings that have this part of their layers in common come from one office (common practice,
no source)."""
EVERYWHERE = frozenset({"0", "defpoints"})
"""Layers that every drawing has say nothing of whose it is."""


class Profile(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """``layers``: the names of a drawing's layers, sorted, without regard to capitals: the key.
    ``roles``: (layer, role) for each layer whose role the user chose, sorted."""

    layers: tuple[str, ...]
    roles: tuple[tuple[str, Role], ...]


def layer_profile(guesses: tuple[LayerGuess, ...], choices: dict[str, Role]) -> Profile:
    """The profile of a drawing with these layers and the user's choices for some of them; choices that
    are what was guessed anyway, or for layers it does not have, are not kept."""
    guessed = {g.name.casefold(): g.role for g in guesses}
    chosen = {name.casefold(): role for name, role in choices.items()}
    roles = tuple(sorted((n, r) for n, r in chosen.items() if n in guessed and guessed[n] != r))
    return Profile(tuple(sorted(set(guessed) - EVERYWHERE)), roles)


def alike(profile: Profile, guesses: tuple[LayerGuess, ...]) -> float:
    """Which part of the layers of both, taken together, a profile and a drawing share; 0 to 1."""
    own = {g.name.casefold() for g in guesses} - EVERYWHERE
    both = own | set(profile.layers)
    return len(own & set(profile.layers)) / len(both) if both else 0.0


def best_profile(profiles: tuple[Profile, ...], guesses: tuple[LayerGuess, ...]) -> Profile | None:
    """The profile whose drawing is most like this one, or None where none is alike enough; of two that
    are equally alike the later."""
    ranked = sorted(enumerate(profiles), key=lambda p: (alike(p[1], guesses), p[0]))
    return ranked[-1][1] if ranked and alike(ranked[-1][1], guesses) >= ALIKE else None
