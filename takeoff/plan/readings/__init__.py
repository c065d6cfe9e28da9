"""Rooms from what was read on site, without a drawing.

``keyed`` reads what is typed; ``outline`` adjusts the corners and says what does not fit; ``gross``
looks for the one reading that is wrong; ``ceiling`` makes planes of heights; ``room`` puts it into
the job; ``budget`` makes a room of length × width × height; ``together`` sets rooms against each other.
"""

from takeoff.plan.readings.budget import BudgetOpening, put_budget_room
from takeoff.plan.readings.ceiling import CeilingProposal, ceiling_from_heights
from takeoff.plan.readings.outline import Line, Outline, corner_name, outline_of
from takeoff.plan.readings.room import put_room
from takeoff.plan.readings.together import Placing, joined_openings, place_together, set_together

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
