"""What a drawing shows: rooms, openings and names, each with its confidence and evidence."""

from takeoff.recognise.propose import propose
from takeoff.recognise.settings import Settings

__all__ = ["Settings", "propose"]
