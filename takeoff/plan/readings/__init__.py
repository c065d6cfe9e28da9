"""Rooms from what was read on site, without a drawing.

``keyed`` reads what is typed; ``walked_outline`` adjusts the corners and says what does not fit;
``walked_room`` makes a room of it, its ceiling of heights, and ``put_rooms`` puts it into the
job; ``joined_rooms`` sets rooms against each other.
"""

from takeoff.plan.readings.joined_rooms import Placing, joined_openings, place_together, set_together
from takeoff.plan.readings.put_rooms import BudgetOpening, put_budget_room, put_room
from takeoff.plan.readings.walked_outline import Line, Outline, corner_name, outline_of
from takeoff.plan.readings.walked_room import CeilingProposal, ceiling_from_heights

__all__ = [
    "BudgetOpening",
    "CeilingProposal",
    "Line",
    "Outline",
    "Placing",
    "ceiling_from_heights",
    "corner_name",
    "joined_openings",
    "outline_of",
    "place_together",
    "put_budget_room",
    "put_room",
    "set_together",
]
