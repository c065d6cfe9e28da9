"""Lines of a room's label that say what they tell: "Room name: Kitchen", "Raum-Nr.: 1.04", "建筑面积：30㎡"."""

from __future__ import annotations

import re
from typing import Literal, NamedTuple

Key = Literal["name", "number", "gross", "area", "other"]

_KEYED = re.compile(r"\s*(?P<key>[^\W\d_][^:0-9]{0,28}?)\s*:\s*(?P<value>.*?)\s*")
_CAPTIONS: tuple[tuple[Key, str], ...] = (
    (
        "name",
        r"(?:room|space)(?:\s*name)?|name|raum(?:name|bezeichnung)?|bezeichnung|local|locale|ambiente|vano|"
        r"nom(?:\s+(?:du\s+local|de\s+la\s+pi[eè]ce))?|pi[eè]ce|nombre|nome|ruimte(?:naam)?|"
        r"pomieszczenie|nazwa|помещение|наименование|(?:房间)?名[称稱]|房名|室名|실명",
    ),
    (
        "number",
        r"(?:(?:room|space)\s*)?(?:no|nr|num|number)\.?|raum[\s-]*(?:nr\.?|nummer)|num[eé]ro|n[°º]|"
        r"№|номер(?:\s+помещения)?|(?:房间)?[编編][号號]|房[间間]?号|室番号?|실번호",
    ),
    ("gross", r"gross(?:\s+(?:floor\s+)?area)?|gfa|brutto\w*|bgf|surface\s+brute|建筑面积|建築面積"),
    (
        "area",
        r"(?:net\s+|room\s+|floor\s+|usable\s+)?area|netto\w*|(?:nutz|grund|boden)?fl[aä]che|surface|superficie|"
        r"oppervlakte|powierzchnia|площадь|(?:使用|净|套内|室内|房间)?面[积積]",
    ),
)
"""What such lines are called (from memory)."""
_KEYS = tuple((key, re.compile(words, re.I)) for key, words in _CAPTIONS)


class Keyed(NamedTuple):
    """What a line tells, and what it says of that; "" where it is left to be filled in."""

    key: Key
    value: str


def keyed(line: str) -> Keyed | None:
    """The line in its two parts, or None where it has no caption before a colon.

    >>> keyed("Raum-Nr.: 1.04"), keyed("Occupants: "), keyed("Kitchen")
    (Keyed(key='number', value='1.04'), Keyed(key='other', value=''), None)
    """
    match = _KEYED.fullmatch(line.replace("：", ":"))
    if match is None:
        return None
    key: Key = next((key for key, words in _KEYS if words.fullmatch(match["key"].strip())), "other")
    return Keyed(key, match["value"])


def with_names(lines: list[str]) -> bool:
    """Whether the lines of a label tell a room's name under a caption: what they tell under others is no name."""
    return any(said is not None and said.key == "name" and said.value for said in map(keyed, lines))
