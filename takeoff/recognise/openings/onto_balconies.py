"""Glazed doors onto balconies, terraces and patios: panes or a wide bare gap in an outside wall, with the name of such
a place written right before it.

One steps out through them: what is as wide as two leaves there, and has no other door beside it that leads to the same
place, is a door down to the floor (common practice, no source)."""

from __future__ import annotations

import math
from collections.abc import Sequence

from takeoff.plan.model import Opening, Room
from takeoff.plan.reasons import because
from takeoff.plan.shape import curves_by_id
from takeoff.plan.usual_sizes import UsualSizes, of_kind
from takeoff.recognise.names.outdoor_names import stepped_onto
from takeoff.recognise.names.placed_words import Placed
from takeoff.recognise.openings.opening_kinds import with_reason

LEAST_MM, WIDEST_MM = 1450.0, 6000.0
"""Glazed doors of two leaves or more are so wide; a single one has its leaf drawn (common practice, no source)."""
BEFORE_MM, AHEAD_MM = 2200.0, 300.0
"""The name stands so near to the middle of the door, and so far out from its wall."""


def onto_balconies(
    openings: Sequence[Opening],
    rooms: Sequence[Room],
    words: Sequence[Placed],
    origin: tuple[float, float],
    usual: UsualSizes,
) -> list[Opening]:
    """The openings, such windows as doors to be checked. ``words``: near the origin."""
    places = [(w.x + origin[0], w.y + origin[1]) for w in words if stepped_onto(w.words.text)]
    if not places:
        return list(openings)
    curves = {room.id: curves_by_id(room) for room in rooms}

    def before(opening: Opening) -> set[int]:
        """Which of the places lie before an opening."""
        curve = curves[opening.room].get(opening.side)
        if curve is None:
            return set()
        (ax, ay), (bx, by) = (curve.at(u) for u in (opening.offset_mm, opening.offset_mm + opening.width_mm))
        width = max(math.hypot(bx - ax, by - ay), 1e-9)
        off = [(x - (ax + bx) / 2, y - (ay + by) / 2) for x, y in places]
        ahead = [(dx * (by - ay) - dy * (bx - ax)) / width for dx, dy in off]
        near = [math.hypot(*d) <= BEFORE_MM + opening.reveal.start.depth_mm for d in off]
        return {k for k, out in enumerate(ahead) if near[k] and out >= AHEAD_MM}

    led_to = {k for o in openings if o.kind == "door" and o.confidence != "question" for k in before(o)}

    def judged(opening: Opening) -> Opening:
        wide = LEAST_MM <= opening.width_mm <= WIDEST_MM
        if opening.kind != "window" or opening.confidence == "question" or opening.mark or not wide:
            return opening
        if not before(opening) - led_to:
            return opening
        door = of_kind(opening, "door", usual)
        return with_reason(door, because("as-door", reason=because("before-balcony")), "check")

    return [judged(opening) for opening in openings]
