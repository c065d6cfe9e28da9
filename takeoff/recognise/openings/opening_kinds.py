"""What an opening is that nothing drawn in it says: proposed from its mark, from like ones that are sure, from
the wall it is in and its width. And how the leaves of doors hang that were read."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import Literal, NamedTuple

import msgspec
import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.geometry.curves import Curve
from takeoff.plan.model import Confidence, Opening, OpeningId, Ring, Room, Swing
from takeoff.plan.opening_groups import WallSort, wall_sorts
from takeoff.plan.reasons import because
from takeoff.plan.shape import curves_by_id
from takeoff.plan.usual_sizes import Kind, UsualSizes, of_kind
from takeoff.recognise.walls.believed_gaps import OF_OPENINGS, PLAIN_GAP
from takeoff.recognise.walls.open_ways import FEWEST_LEAVES
from takeoff.recognise.walls.opening_evidence import Swings

Floats = NDArray[np.float64]

ALIKE_MM = 15.0
"""Openings of one size differ by less."""
LEAF_WAY_MM = (550.0, 1100.0)
"""A way through a wall with one leaf is this wide (common practice, no source)."""
WINDOW_MM = (350.0, 6000.0)
"""Windows are this wide (common practice, no source)."""
_MARKS: tuple[tuple[Kind, str], ...] = (("window", r"W|WN|F|ОК|OK|О"), ("door", r"D|DR|T|Д"))
"""What the marks of windows and doors begin with; what stands for either is left out."""


def kinds_proposed(
    openings: Sequence[Opening], rooms: Sequence[Room], buildings: Sequence[Ring], usual: UsualSizes
) -> list[Opening]:
    """The openings, each bare way that is not sure as what it most likely is, with why; how sure it is stays.

    A sure opening and one that was drawn as a door or a window stays. ``buildings``: the outlines of the plans.
    """
    if not any(_is_bare(opening) for opening in openings):
        return list(openings)
    walls = wall_sorts(openings, rooms, buildings)
    sure = [o for o in openings if o.confidence == "sure" and o.kind != "open" and not _is_bare(o)]
    leaves = sum(o.kind == "door" for o in sure)

    def proposed(opening: Opening) -> Opening:
        kind, why = _most_likely(opening, walls, sure, leaves)
        if not why and PLAIN_GAP in opening.evidence:
            # Slots, niches, what lies between stairs and behind fittings: nothing but a break in a wall speaks for it.
            return with_reason(opening, because("hardly-opening"), "question")
        if not why:
            return opening
        new = of_kind(opening, kind, usual)
        return with_reason(new, because(f"as-{kind}", reason=why))

    return [proposed(opening) if _is_bare(opening) else opening for opening in openings]


def _is_bare(opening: Opening) -> bool:
    """Whether nothing drawn says what it is: a way that is not sure, or what is drawn on a layer of all openings."""
    return (opening.kind == "open" and opening.confidence != "sure") or OF_OPENINGS in opening.evidence


def with_reason(opening: Opening, why: str, confidence: Confidence | None = None) -> Opening:
    """The opening with one more reason, and as sure as is said."""
    confidence = confidence or opening.confidence
    return msgspec.structs.replace(opening, evidence=(*opening.evidence, why), confidence=confidence)


def _most_likely(
    opening: Opening, walls: dict[OpeningId, WallSort], sure: Sequence[Opening], leaves: int
) -> tuple[Kind, str]:
    """(the kind, why); no reason where nothing speaks for one."""
    for kind, letters in _MARKS:
        if re.fullmatch(rf"(?:{letters})[-. ]?\d+[a-z]?", opening.mark, re.I):
            return kind, because("by-mark", mark=opening.mark)
    wall, width = walls[opening.id], opening.width_mm
    alike = {o.kind for o in sure if walls[o.id] == wall and abs(o.width_mm - width) <= ALIKE_MM}
    if PLAIN_GAP in opening.evidence:
        # A plan that draws the leaves of its doors would draw one here, and panes between rooms are drawn.
        alike -= {"door"} if leaves >= FEWEST_LEAVES else set()
        alike -= {"window"} if wall == "inside" else set()
    if len(alike) == 1:
        kind = alike.pop()
        return kind, because(f"wide-as-{kind}")
    if wall == "outside" and WINDOW_MM[0] <= width <= WINDOW_MM[1]:
        return "window", because("outside-no-leaf")
    if wall == "inside" and OF_OPENINGS in opening.evidence:
        return "door", ""
    if wall == "inside":
        jambs_only = not leaves and PLAIN_GAP not in opening.evidence
        if LEAF_WAY_MM[0] <= width <= LEAF_WAY_MM[1] and jambs_only:
            return "door", because("inside-wide-as-door")
        return "open", because("inside-no-leaf")
    return "open", ""


HINGE_MM = 150.0
"""A leaf hangs this near to a jamb, measured along the wall; across, anywhere in the wall and so far before it."""
SHUT_COS = math.cos(math.radians(20))
"""The end of a swing at which the leaf is shut lies along the wall."""
LEAF_PART = (0.75, 1.2)
"""A lone leaf is so many times as wide as its opening; two are so together."""
CLEAR_MM = 20.0
"""A way to hang the leaves fits better than another by at least this."""
OPEN_SIN = math.sin(math.radians(15))
"""A leaf is drawn open by more than this."""
DEEPEST_MM = 700.0


class _Hung(NamedTuple):
    """A swing as it hangs in an opening."""

    hinge: Literal["start", "end"]
    into: Literal["host", "beyond"]
    leaf_mm: float


def with_swings(
    openings: Sequence[Opening], rooms: Sequence[Room], swings: Swings, origin: tuple[float, float]
) -> list[Opening]:
    """The openings, doors with the leaves that are drawn at them: one, or one on each jamb. A door whose swing is
    not drawn, or is drawn in several ways, has none. ``swings``: near the origin."""
    if not len(swings.hinge):
        return list(openings)
    tree = shapely.STRtree(shapely.points(swings.hinge + np.array(origin)))
    curves = {room.id: curves_by_id(room) for room in rooms}

    def hung(opening: Opening) -> Opening:
        curve = curves[opening.room].get(opening.side)
        if opening.kind != "door" or curve is None or curve.length <= 0:
            return opening
        leaves = _leaves_at(opening, curve, swings, tree, origin)
        return msgspec.structs.replace(opening, swings=leaves) if leaves else opening

    return [hung(opening) for opening in openings]


def _leaves_at(
    opening: Opening, curve: Curve, swings: Swings, tree: shapely.STRtree, origin: tuple[float, float]
) -> tuple[Swing, ...]:
    start, end = (curve.at(u) for u in (opening.offset_mm, opening.offset_mm + opening.width_mm))
    width = math.dist(start, end)
    if width <= 0:
        return ()
    along = (np.array(end) - np.array(start)) / width
    into_host = np.array([-along[1], along[0]])
    near = tree.query(shapely.LineString([start, end]), predicate="dwithin", distance=DEEPEST_MM + HINGE_MM)
    found = set()
    for row in near.tolist():
        hinge = swings.hinge[row] + np.array(origin) - np.array(start)
        tips = swings.ends[row] + np.array(origin) - np.array(start)
        one = _hangs(hinge, tips, float(swings.radius[row]), along, into_host, width)
        if one is not None:
            found.add(one)
    return _believed(found, width)


def _hangs(hinge: Floats, tips: Floats, radius: float, along: Floats, into_host: Floats, width: float) -> _Hung | None:
    """How a swing hangs in the opening from 0 to ``width`` along; None where it belongs to another."""
    at, across = float(hinge @ along), float(hinge @ into_host)
    if not -DEEPEST_MM <= across <= HINGE_MM:
        return None
    jambs: tuple[tuple[Literal["start", "end"], float, Floats], ...] = (("start", 0.0, along), ("end", width, -along))
    for name, jamb, inwards in jambs:
        if abs(at - jamb) > HINGE_MM:
            continue
        leaf = (tips - hinge) / radius
        shut = int(np.argmax(leaf @ inwards))
        opened = float(leaf[1 - shut] @ into_host)
        if float(leaf[shut] @ inwards) >= SHUT_COS and abs(opened) >= OPEN_SIN:
            return _Hung(name, "host" if opened > 0 else "beyond", radius)
    return None


def _believed(found: set[_Hung], width: float) -> tuple[Swing, ...]:
    """One leaf, or one on each jamb, whichever is as wide as the opening; nothing where two ways are as likely."""
    ways: list[tuple[_Hung, ...]] = [(one,) for one in found]
    ways += [(a, b) for a in found for b in found if (a.hinge, b.hinge) == ("start", "end")]
    off = {way: abs(sum(one.leaf_mm for one in way) - width) for way in ways}
    best = min(ways, key=lambda way: off[way], default=())
    if not best or not LEAF_PART[0] * width <= sum(one.leaf_mm for one in best) <= LEAF_PART[1] * width:
        return ()
    if any(off[way] < off[best] + CLEAR_MM and _shown(way) != _shown(best) for way in ways):
        return ()
    return tuple(Swing(hinge=one.hinge, into=one.into, leaf_mm=round(one.leaf_mm, 1)) for one in best)


def _shown(way: tuple[_Hung, ...]) -> tuple[tuple[str, str], ...]:
    """How leaves hang, whatever their width: an arc is often drawn twice."""
    return tuple((one.hinge, one.into) for one in way)
