"""Plan → Takeoff: a pure function of a room and of what is around it."""

from takeoff.measure.engine import Memory, measure

__all__ = ["Memory", "measure"]
