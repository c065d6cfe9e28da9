"""Walls of a room by letter, as people find them on paper and in the window."""

from __future__ import annotations

from takeoff.plan.model import Room


def wall_letters(room: Room) -> dict[str, str]:
    """ "A", "B", … for every side of a room in walking order from its first corner, outer ring first."""
    return {str(side.id): _letters(k) for k, side in enumerate(room.sides)}


def wall_letter(room: Room, side: str) -> str:
    """The letter of one side; what is no side of the room is called as it is."""
    return next((_letters(k) for k, own in enumerate(room.sides) if own.id == side), side)


def _letters(number: int) -> str:
    """A to Z, then AA, AB…"""
    first, last = divmod(number, 26)
    return (_letters(first - 1) if first else "") + chr(ord("A") + last)
