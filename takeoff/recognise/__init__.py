"""What a drawing shows: rooms, openings and names, each with its confidence and evidence."""

from takeoff.recognise.presets import Settings
from takeoff.recognise.propose import propose

__all__ = ["Settings", "propose"]
