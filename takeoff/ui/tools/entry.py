"""Lengths and angles while they are typed. Knows nothing of Qt: tools hand it characters."""

from __future__ import annotations

import re
from typing import Literal

import msgspec

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.units.lengths import LENGTH, Size, size_mm

_BARE = re.compile(r"[+-]?\d+(?:\.\d+)?")
_STARTS = set("0123456789.,-+")
_GOES_ON = set("0123456789.,-+ '\"/½¼¾⅛⅜⅝⅞′″’”°") | set("abcdefghijklmnopqrstuvwyz")
"""What a length is written with once it has begun: units too, so that letters are no shortcuts then."""


class Slot(msgspec.Struct, frozen=True):
    """One number to type: its word, and what it is; ``size``: what a length can be."""

    name: str
    what: Literal["length", "angle"] = "length"
    size: Size = LENGTH


class Entry:
    """Slots that are typed into one after another; Tab, "<" and "x" lead to the next."""

    def __init__(self, *slots: Slot) -> None:
        self.slots = slots
        self.texts = [""] * len(slots)
        self.current = 0

    @property
    def begun(self) -> bool:
        """Whether anything was typed."""
        return any(self.texts) or self.current > 0

    def clear(self) -> None:
        """Forget what was typed."""
        self.texts = [""] * len(self.slots)
        self.current = 0

    def wants(self, text: str) -> bool:
        """Whether a character is for a number: what starts one, or goes on with one."""
        if not text or not self.slots:
            return False
        begun = bool(self.texts[self.current])
        if text in "<∠":
            return any(slot.what == "angle" for slot in self.slots)
        if text in "xX×*":
            return begun and self.current + 1 < len(self.slots)
        return text in _STARTS or (begun and text.casefold() in _GOES_ON)

    def type(self, text: str) -> bool:
        """Take a character. False where it is not for a number."""
        if not self.wants(text):
            return False
        if text in "<∠":
            self.current = next(k for k, slot in enumerate(self.slots) if slot.what == "angle")
        elif text in "xX×*":
            self.current += 1
        else:
            self.texts[self.current] += text
        return True

    def step(self, by: int) -> None:
        """Go to the next slot, or the one before, and round."""
        if self.slots:
            self.current = (self.current + by) % len(self.slots)

    def backspace(self) -> bool:
        """Take back a character, or leave an empty slot. False where there was nothing to take."""
        if self.texts and self.texts[self.current]:
            self.texts[self.current] = self.texts[self.current][:-1]
            return True
        if self.current > 0:
            self.current -= 1
            return True
        return False

    def value(self, number: int) -> float | None:
        """What was typed into a slot, mm or degrees; None for nothing. Raises InputError for what
        cannot be read."""
        text = self.texts[number].strip()
        if not text:
            return None
        slot = self.slots[number]
        return degrees(text) if slot.what == "angle" else size_mm(text, slot.size)

    def wrong(self) -> str:
        """Why what was typed cannot be read, in a sentence; nothing while it can."""
        try:
            for number in range(len(self.slots)):
                self.value(number)
        except InputError as error:
            return str(error)
        return ""


def degrees(text: str) -> float:
    """A typed angle in degrees. Raises InputError."""
    cleaned = text.replace("°", "").replace(",", ".").strip()
    if not _BARE.fullmatch(cleaned) or abs(float(cleaned)) > 360:
        raise InputError(tr("“{text}” is not an angle: type degrees, such as 90 or -45.", text=text))
    return float(cleaned)
