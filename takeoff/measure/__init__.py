"""Plan → Takeoff: a pure function of a room and of what is around it."""

from takeoff.measure.memory import Memory, measure

__all__ = ["Memory", "measure"]
