"""Closed spaces for which nothing speaks: elevations and sections beside a plan, the cells of patterns, and what glass
alone surrounds, such as a window seen from outside or furniture drawn with the lines of glass."""

from __future__ import annotations

import re
from typing import NamedTuple

import numpy as np
import shapely

from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.geometry.runs import components
from takeoff.language import tr, tr_count
from takeoff.language.lists import some_of
from takeoff.plan.model import Room
from takeoff.recognise.names.placed_words import NAMING, Placed
from takeoff.recognise.openings.opening_hosts import Hosted
from takeoff.recognise.rooms.sheet_plans import Plan, plans, titles_beside
from takeoff.recognise.walls.enclosed_faces import BRIDGED
from takeoff.recognise.walls.room_spaces import Space
from takeoff.recognise.walls.wall_reading import Reading
from takeoff.units.printing import shown, whole

ALL_GLASS = 0.6
"""More of its border than this is bare glass, and no door leads into it: no room is so (common practice, no source)."""
CASE_M2 = 3.0
"""A name in what glass surrounds is a room's from this size on: smaller ones are a cupboard's or a machine's."""
FEWEST_PROVEN = 2
"""So many spaces with a door or a word make a drawing a plan beside which another may be none."""
LISTED = 12


class Proven(NamedTuple):
    """The reading without spaces that nothing speaks for, the plans on its sheet, and what to say of those."""

    reading: Reading
    plans: list[Plan]
    findings: tuple[Finding, ...]


def with_proof(reading: Reading, words: list[Placed]) -> Proven:
    """The reading without spaces that glass surrounds, without those of drawings beside the plans that have neither a
    door nor a word of a room, where others have, and without the cells of patterns; what would leave no space at all
    stays."""
    findings: list[Finding] = []
    reading = _without("spaces-of-glass", _cases(reading), reading, findings)
    found = plans(reading, words)
    left = _without("views-beside-plans", _views(reading, words, found), reading, findings)
    left = _without("spaces-without-way-in", _cells(left), left, findings)
    return Proven(left, found if left is reading else plans(left, words), tuple(findings))


def _without(code: str, gone: set[int], reading: Reading, findings: list[Finding]) -> Reading:
    """The reading without these spaces, which are said; as it is where they are none, or all."""
    if not gone or len(gone) == len(reading.spaces):
        return reading
    findings.append(_said(code, [reading.spaces[k] for k in sorted(gone)], reading.lines.origin))
    return reading._replace(spaces=[s for k, s in enumerate(reading.spaces) if k not in gone])


def _cases(reading: Reading) -> set[int]:
    """The spaces that glass surrounds, without a door and without a printed area."""

    def is_case(space: Space) -> bool:
        said = {reading.words[w].words.kind for w in space.words}
        named = bool(said.intersection(NAMING)) and float(space.polygon.area) >= CASE_M2 * 1e6
        return space.glazed >= ALL_GLASS and not space.doors and "area" not in said and not named

    return {k for k, space in enumerate(reading.spaces) if is_case(space)}


FEWEST_CELLS, CELL_M2, SAME_MM = 16, 12.0, 25.0
"""Tiles, panels of a ceiling or beds of plants lie side by side in such numbers, hardly one larger, most of them as
wide or as deep as others."""
ALIKE_PART = 0.6


def _cells(reading: Reading) -> set[int]:
    """The spaces that only single lines part from many of their like, without a word, a door or a gap: a pattern."""
    faces = reading.faces
    of_space = np.full(len(faces.polygons) + 1, -1)
    bare = np.zeros(len(reading.spaces) + 1, bool)
    for k, space in enumerate(reading.spaces):
        of_space[list(space.faces)] = k
        said = any(reading.words[w].words.kind in NAMING for w in space.words)
        small = float(space.polygon.area) <= CELL_M2 * 1e6
        bare[k] = small and not (said or space.doors or space.doubtful_gaps)
    left, right = of_space[faces.left], of_space[faces.right]
    beside = bare[left] & bare[right] & (left != right) & (faces.graph.source < BRIDGED)
    group = components(len(reading.spaces), left[beside], right[beside])
    found: set[int] = set()
    for number in np.flatnonzero(np.bincount(group) >= FEWEST_CELLS).tolist():
        own = np.flatnonzero((group == number) & bare[:-1])
        bounds = shapely.bounds(np.array([reading.spaces[k].polygon for k in own.tolist()]))
        sizes = np.round((bounds[:, 2:] - bounds[:, :2]) / SAME_MM)
        shared = np.zeros(len(own), bool)
        for size in sizes.T:
            _, place, count = np.unique(size, return_inverse=True, return_counts=True)
            shared |= count[place] >= FEWEST_CELLS / 4
        if shared.mean() >= ALIKE_PART:
            found |= set(own.tolist())
    return found


def _views(reading: Reading, words: list[Placed], found: list[Plan]) -> set[int]:
    """The spaces of drawings that lie apart and have no proof of a room, where another has: elevations, sections,
    details, roofs; and those whose title says so, unless a door is drawn from one space to another: titles of sections
    and details stand near plans as well. Any other title makes a drawing a plan, and so does a gap in a wall from one
    space to another; but not where none of many spaces has a door or such a gap, few have a word, and other plans
    draw their doors: levels are written in sections, and remarks in the views of a room's walls."""
    if len(found) < 2:
        return set()
    walked = [_walked(reading, plan) for plan in found]
    proven = [sum(_proves(reading, reading.spaces[k]) for k in plan.spaces) for plan in found]
    called = [said_view(title) for title in titles_beside(found, words, said_view)]
    called = [view or _of_roof(reading, plan) for view, plan in zip(called, found, strict=True)]
    if max((n for n, view in zip(proven, called, strict=True) if not view), default=0) < FEWEST_PROVEN:
        return set()
    views = [
        plan
        for plan, count, view in zip(found, proven, called, strict=True)
        if (view and not _walked(reading, plan)) or (not count and not plan.title and not _led(reading, plan))
    ]
    if any(walked):
        views += [plan for plan in found if _shut(reading, plan)]
    return {k for plan in views for k in plan.spaces}


_VIEW = re.compile(
    r"\b(?:elevations?|(?:front|rear|back|side|left|right|north|south|east|west|street|3d|perspective)\s+views?"
    r"|(?:cross|long|longitudinal)?[\s-]*sections?|ansicht(?:en)?|schnitte?|perspektive|fa[cç]ades?|coupes?|[ée]l[ée]vations?"
    r"|alzados?|secci[oó]n(?:es)?|fachadas?|cortes?|prospett[oi]|sezion[ei]|elewacj[ae]|przekr[oó]j\w*"
    r"|gevels?|aanzicht(?:en)?|doorsneden?|fasad(?:er)?|snitt|g[öo]r[üu]n[üu][şs]\w*|kesit\w*|фасад\w*|разрез\w*)\b"
    r"|立面|剖面|断面図",
    re.IGNORECASE,
)
"""What a drawing that shows a building from the side is called (common practice, no source)."""
_ROOF = re.compile(
    r"\b(?:roof(?:ing)?(?:\s+(?:plan|slab|level))?|gutter|rain\s?water\s+pipe|dach(?:aufsicht|draufsicht|rinne)|dachplan"
    r"|toitures?|plan\s+de\s+toiture|chéneau|(?:plan(?:ta)?\s+d[ea]\s+)?cobertura|coberta|telhado|calhas?|rufos?|platibanda"
    r"|laje\s+(?:plana|impermeabilizada)|impermeabilizada|cubiertas?|techos?|copertura|gronda|rzut\s+dachu|dakplan)\b",
    re.IGNORECASE,
)
"""What is written on a roof as it is seen from above, and what its drawing is called (common practice, no source)."""
_PLAN = re.compile(r"plan|grundriss|planta|pianta|rzut|floor\s*layout|平面", re.IGNORECASE)
LONGEST_TITLE = 60


def said_view(title: str) -> bool:
    """Whether a title says that its drawing is an elevation, a section or another view from the side."""
    return len(title) <= LONGEST_TITLE and bool(_VIEW.search(title)) and not _PLAN.search(title)


def _of_roof(reading: Reading, plan: Plan) -> bool:
    """Whether all that names something in a plan into which no door leads is part of a roof."""
    spaces = [reading.spaces[k] for k in plan.spaces]
    named = [w.words.text for s in spaces for k in s.words if (w := reading.words[k]).words.kind == "name"]
    return bool(named) and not any(s.doors for s in spaces) and all(_ROOF.search(name) for name in named)


def _walked(reading: Reading, plan: Plan) -> bool:
    """Whether a door that is drawn leads from one space of a plan to another."""
    ways = [way for k in plan.spaces for way in reading.spaces[k].ways]
    return len(set(ways)) < len(ways)


FEWEST_SHUT, FEW_SAID = 3, 0.34
"""So many spaces side by side, of which no more than this part has a word in it, are no plan without a way between
them."""


def _shut(reading: Reading, plan: Plan) -> bool:
    """Whether a drawing has spaces side by side, hardly one of them with a word, and no way into any of them; where
    they lie as storeys do in a section, no way but gaps in what may be walls."""
    spaces = [reading.spaces[k] for k in plan.spaces]
    said = sum(_proves(reading, space) for space in spaces)
    shut = not any(space.doors for space in spaces) and (not _led(reading, plan) or _stacked(spaces))
    return shut and len(spaces) >= FEWEST_SHUT and said <= FEW_SAID * len(spaces)


STOREY_MM, SAME_LEVEL_MM, MOSTLY = (2000.0, 4500.0), 350.0, 0.6
"""From its floor to its ceiling a storey is so high, its floors lie so near to one level, and this part of the spaces
are as high as that; halls and stairs go through two storeys (common practice, no source)."""


def _stacked(spaces: list[Space]) -> bool:
    """Whether spaces lie over one another in two storeys or more, each with its floor on the level of its storey, the
    next one as high as one storey or two above it."""
    _left, low, _right, high = shapely.bounds([space.polygon for space in spaces]).T
    tall = (high - low >= STOREY_MM[0]) & (high - low <= STOREY_MM[1])
    step = np.diff(np.sort(low[tall]))
    step = step[step > SAME_LEVEL_MM]
    even = (step >= STOREY_MM[0]) & (step <= 2 * STOREY_MM[1])
    return bool(tall.mean() >= MOSTLY and len(step) and even.all())


def _led(reading: Reading, plan: Plan) -> bool:
    """Whether a gap in a wall leads from one space of a plan to another, as where no doors are drawn."""
    gaps = [gap for k in plan.spaces for gap in reading.spaces[k].doubtful_gaps]
    return len(set(gaps)) < len(gaps)


def _proves(reading: Reading, space: Space) -> bool:
    return bool(space.doors) or any(reading.words[w].words.kind in NAMING for w in space.words)


SMALL_M2, TINY_M2 = 6.0, 2.5
"""Without a word, a door or a gap in its walls a space is no room up to the first where it has windows, else up to the
second; one that is open to doubt up to the first whatever number stands in it (common practice, no source)."""


def without_word_or_way(room: Room, space: Space, hosted: Hosted, told: bool) -> bool:
    """Whether a small space has neither a name nor an area nor a way in, in a plan that names its rooms: a light well,
    masonry, a thing with its number in it. ``told``: walls have two lines, or layers of their own; what else closes a
    space may have gaps too, so that a plain one is no way in there."""
    area = float(space.polygon.area)
    if room.name or room.printed_area_m2 is not None or space.doors:
        return False
    if room.confidence == "question":
        return area < SMALL_M2 * 1e6
    if room.number or (told and (space.doubtful_gaps or room.id in hosted.entered)):
        return False
    return area < (SMALL_M2 if told and room.id in hosted.opened else TINY_M2) * 1e6


def _said(code: str, gone: list[Space], origin: tuple[float, float]) -> Finding:
    """What was left out and where, the largest first."""
    places = [shapely.point_on_surface(space.polygon) for space in gone]
    told = sorted(
        ((float(s.polygon.area), p.x + origin[0], p.y + origin[1]) for s, p in zip(gone, places, strict=True)),
        reverse=True,
    )
    listed = [tr("{area} m² at {x}, {y}", area=shown(area / 1e6, 1), x=whole(x), y=whole(y)) for area, x, y in told]
    where = Where(x_mm=told[0][1], y_mm=told[0][2])
    spaces = tr_count("{count} space", "{count} spaces", len(gone))
    return noticed(code, where, spaces=spaces, listed=some_of(listed, LISTED, "; "))
