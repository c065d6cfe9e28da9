"""Rooms from spaces: names, numbers, printed areas, heights, confidence and its evidence; where one space with
several names likely parts, in words only: whether a room ends there is for the user to say."""

from __future__ import annotations

import re
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.geometry.noding import parcels
from takeoff.language import quoted, tr
from takeoff.plan.model import Confidence, Field, Plane, Room, RoomId, Side
from takeoff.plan.reasons import because, says
from takeoff.recognise.names.outdoor_names import outdoors
from takeoff.recognise.names.placed_words import Placed
from takeoff.recognise.names.plan_words import Named, Words, names_among
from takeoff.recognise.walls.believed_gaps import Gap
from takeoff.recognise.walls.room_spaces import Space
from takeoff.units.printing import shown, whole

Floats = NDArray[np.float64]

CLOSED = 0.9
"""A space is walled in when this part of its border is wall body, glass or a gap in a wall."""
BARE_GLASS = 0.1
"""An unnamed space with more bare glass than this in its border may be a court or a terrace."""
WALLED_ROUND = 0.98
ROOM_M2 = (1.4, 150.0)
"""Rooms without a word in them are of this size (common practice, no source): a smaller one with a door is rather
what a shower or a cupboard leaves of a room."""
THINNEST_WALL_MM = 50.0
"""A door in what is thinner is the gate of a fence or a cubicle's (common practice, no source)."""
OUTSIDE_MM, OUTSIDE_TIMES = 250.0, 1.4
"""A wall is one to outside from this thickness on where the walls round most doors are that much thinner."""
NEARLY = 0.005
"""A printed area that is off by less than this part is reported, but the outline is not doubted."""
PARTS_AGREE, PARTS_MORE = 0.1, 0.02
"""Printed areas of the parts of an open plan leave out thresholds between them, so much of it; more than the outline
has they are by how walls are measured alone: else one of them is of a part that lies beyond."""


_NO_DOUBTS = ("walled-round", "lines-of-layers", "named", "height-written")


MOST_NUMBERS = 4
"""More numbers in one room are those of steps, seats or lines, and none is the room's own."""


class Written(NamedTuple):
    """What is written in a room."""

    names: tuple[str, ...]
    numbers: tuple[str, ...]
    areas: tuple[Placed, ...]
    heights: tuple[Placed, ...]


_BARE_AREA = re.compile(r"\d{1,4}[.,]\d{1,2}")


def _as_areas(words: list[Placed], area_m2: float) -> list[Placed]:
    """The words, numbers with places behind the point that are the outline's own area taken for it: many plans print
    areas without a unit below the room's number."""
    if any(w.words.kind == "area" for w in words):
        return words
    found = []
    for word in words:
        text = word.words.text
        if word.words.kind == "number" and _BARE_AREA.fullmatch(text):
            places = len(re.split("[.,]", text)[1])
            said = Words("area", text, float(text.replace(",", ".")), 0.5 * 10.0**-places)
            bare = word._replace(words=said)
            word = bare if area_agrees(bare, area_m2) and said.rounding <= NEARLY * area_m2 else word
        found.append(word)
    return found


def written_in(words: list[Placed], area_m2: float) -> Written:
    """The words of one room sorted by what they say, without repeats, top to bottom; remarks name
    no room. ``area_m2``: the outline's."""
    words = sorted(_as_areas(words, area_m2), key=lambda w: (-w.y, w.x))

    def texts(kind: str) -> tuple[str, ...]:
        return tuple(dict.fromkeys(w.words.text for w in words if w.words.kind == kind))

    areas = tuple(w for w in words if w.words.kind == "area")
    names = names_among(
        [Named(w.words.text, w.on_notes, w.height) for w in words if w.words.kind == "name"], len(areas)
    )
    numbers = texts("number")
    if len(numbers) > MOST_NUMBERS:
        numbers = ()
    return Written(_in_one(names, words), numbers, areas, tuple(w for w in words if w.words.kind == "height"))


STACKED, ASIDE = 2.2, 1.0
"""Lines of one name stand so many times their height below one another, and aside of it less than a word's length."""


def _in_one(names: tuple[str, ...], words: list[Placed]) -> tuple[str, ...]:
    """The names, those put together that are the lines of one: of one label, or one right below the other, equally
    high."""
    places = [next(w for w in words if w.words.kind == "name" and w.words.text == name) for name in names]
    groups: list[list[Placed]] = []
    for place in places:
        above = next((g for g in groups if _below(place, g[-1])), None)
        if above is None:
            groups.append([place])
        else:
            above.append(place)
    return tuple(" ".join(w.words.text for w in group) for group in groups)


def _below(word: Placed, other: Placed) -> bool:
    if (word.x, word.y) == (other.x, other.y):
        return True
    aside = ASIDE * word.height * max(len(word.words.text), len(other.words.text)) / 2
    return (
        abs(word.height - other.height) <= 0.1 * other.height
        and 0 < other.y - word.y <= STACKED * other.height
        and abs(word.x - other.x) <= aside
    )


def rounding_of(area: Placed) -> float:
    """Half a unit of the last printed place, m², and the noise of floats."""
    return area.words.rounding * (1 + 1e-9) + 1e-6


def area_agrees(area: Placed, area_m2: float) -> bool:
    """Whether a printed area and an outline's are the same figure."""
    return abs(area.words.value - area_m2) <= rounding_of(area)


ONE_LINE = because("one-line")


def make_room(
    number: int,
    sides: list[tuple[Side, ...]],
    area_m2: float,
    written: Written,
    space: Space,
    gaps: list[Gap],
    double: bool,
    labelled: bool,
    wall_layers: bool,
    one_line: bool = False,
) -> Room:
    """The room, with its confidence: *sure* only when it is closed by what is drawn, something
    in it names it where rooms are named at all, and no printed area contradicts."""
    confidence, evidence = _confidence(space, gaps, written, area_m2, double, labelled, wall_layers, one_line)
    names = " / ".join(written.names)
    own = own_area(written, area_m2)
    printed = own.words.value if own else sum(a.words.value for a in written.areas) if written.areas else None
    height = {round(w.words.value, 1) for w in written.heights}
    ceiling = None
    if len(height) == 1:
        ceiling = Field(planes=(Plane(z_mm=height.pop()),), source="figured")
        evidence = (*evidence, because("height-written", printed=written.heights[0].words.text))
    return Room(
        id=RoomId(f"r{number}"),
        outline=sides[0],
        inner=tuple(sides[1:]),
        name=names,
        number=" / ".join(written.numbers),
        ceiling=ceiling,
        printed_area_m2=printed,
        confidence=confidence,
        evidence=evidence,
    )


def _confidence(
    space: Space,
    gaps: list[Gap],
    written: Written,
    area_m2: float,
    double: bool,
    labelled: bool,
    wall_layers: bool,
    one_line: bool,
) -> tuple[Confidence, tuple[str, ...]]:
    evidence: list[str] = []
    doubts: list[str] = []
    level = 0
    proven, own = _proven(written, area_m2), _shows_itself(space, double, area_m2)
    alone = _stands_alone(space, wall_layers, area_m2)
    if space.support >= CLOSED:
        evidence.append(because("walled-round"))
    elif not double and wall_layers:
        evidence.append(because("lines-of-layers"))
        if one_line:
            doubts.append(ONE_LINE)
            level = 1
    elif not double:
        level = _single_lines(written, area_m2, evidence, doubts)
        if one_line:
            doubts.append(ONE_LINE)
            level = max(level, 1)
    else:
        doubts.append(because("partly-walled", share_percent=f"{space.support:.0%}"))
        level = max(level, 1 if space.support > 0.6 and (written.names or written.areas) else 2)
    for k in space.doubtful_gaps:
        shown_way = proven or (double and wall_layers and _is_way(gaps[k], gaps))
        (evidence if shown_way else doubts).append(
            because("closed-across", reason=gaps[k].why[0], width_mm=f"{gaps[k].bridge.width_mm:.0f}")
        )
        level = max(level, 0 if shown_way else 1)
    if space.doubtful_gaps and not (proven or _told(written)) and not space.doors and _draws_doors(gaps):
        doubts.append(because("no-word-no-way"))
        level = max(level, 1)
    for reason in space.joined:
        (evidence if proven else doubts).append(reason)
        level = max(level, 0 if proven else 1)
    if space.glazed > BARE_GLASS and not (written.names or written.areas):
        doubts.append(because("nothing-but-glass", share_percent=f"{space.glazed:.0%}"))
        level = max(level, 1)
    if len(written.names) > 1:
        evidence.append(because("several-names", names=", ".join(written.names)))
        level = max(level, 0 if proven or (written.areas and wall_layers) else 1)
    elif len(written.numbers) > 1 and not proven:
        doubts.append(because("several-numbers", names=", ".join(written.numbers)))
        level = max(level, 1)
    level = max(level, _outside_doubt(space, gaps, written, proven, doubts))
    small = area_m2 < ROOM_M2[0]
    level = max(level, _naming_doubt(written, proven, own, alone, labelled, wall_layers, small, evidence, doubts))
    level = max(level, _area_doubt(written, area_m2, evidence, doubts))
    words: tuple[Confidence, ...] = ("sure", "check", "question")
    return words[level], tuple(evidence + doubts)


WAY_MM, SAME_WAY_MM, FEWEST_WAYS, GOES_ON_MM = 1300.0, 10.0, 3, 500.0
"""A way without a leaf is no wider than the first. One that is as wide as so many doors that are drawn is another of
them where the wall goes on so far on both sides, and where a plan has so many in line with their walls it draws its
ways so (common practice, no source)."""


def _is_way(gap: Gap, gaps: list[Gap]) -> bool:
    """Whether a gap that nothing is drawn in is a way through a wall all the same, which layers say is one: its two
    ends stand opposite with both faces in line, as those of others, or it is as wide as doors that are drawn."""
    if not _may_be_way(gap):
        return False
    wide, in_line = gap.bridge.width_mm, gap.bridge.in_line
    doors = (g.bridge.width_mm for g in gaps if g.confirmed and g.kind == "door")
    if sum(abs(width - wide) <= SAME_WAY_MM for width in doors) >= FEWEST_WAYS:
        return in_line or gap.bridge.deep_mm[0] >= GOES_ON_MM
    return in_line and sum(_may_be_way(g) and g.bridge.in_line for g in gaps) >= FEWEST_WAYS


def _told(written: Written) -> bool:
    """Whether anything that is written says that this is a room."""
    return bool(written.names or written.numbers or written.areas)


def _draws_doors(gaps: list[Gap]) -> bool:
    """Whether a plan draws its doors, so that a space which has none of them may as well be what lies between two
    wings, open at its end."""
    return sum(gap.confirmed and gap.kind == "door" for gap in gaps) >= FEWEST_WAYS


def _may_be_way(gap: Gap) -> bool:
    """Whether a gap in a wall of two lines is plain and no wider than a way."""
    return gap.kind == "open" and not gap.confirmed and gap.bridge.thickness_mm > 0.0 and gap.bridge.width_mm <= WAY_MM


LOBBY_M2, LOBBY_DOORS = 6.0, 2
"""A space without a word behind one door may be a duct that is looked after from there, and a small one with so many
may be the lobby of the room that its inner one leads to, which has the name of both; larger ones, and those with more
doors, are passages and halls."""


def _stands_alone(space: Space, wall_layers: bool, area_m2: float) -> bool:
    """Whether a space without a word that shows itself is a room of its own among named ones."""
    passage = space.doors > LOBBY_DOORS or (space.doors == LOBBY_DOORS and area_m2 >= LOBBY_M2)
    return wall_layers and passage


def _naming_doubt(
    written: Written,
    proven: bool,
    own: bool,
    alone: bool,
    labelled: bool,
    wall_layers: bool,
    small: bool,
    evidence: list[str],
    doubts: list[str],
) -> int:
    """What is written in a space, and what of it leaves open whether it is a room: 0 for nothing, 1 for a doubt."""
    if written.names or written.numbers:
        evidence.append(because("named"))
        if wall_layers or proven or own:
            return 0
        # hatching, stairs and furniture enclose spaces as walls do, and a word may stand in any of them
        doubts.append(because("walls-not-told"))
        return 1
    if own and (alone or not labelled) and not written.areas:
        evidence.append(because("shows-itself"))
    elif labelled and not written.areas:
        doubts.append(because("unnamed"))
        return 1
    elif not labelled and not wall_layers and not written.areas:
        doubts.append(because("walls-not-told-by-words"))
        return 1
    elif small and not written.areas:
        doubts.append(because("small-unnamed"))
        return 1
    return 0


def _shows_itself(space: Space, double: bool, area_m2: float) -> bool:
    """Whether a space is a room without a word in it: walls of two lines all round, nothing guessed on the way, a
    door that is drawn, and the size of a room."""
    return (
        double
        and space.support >= WALLED_ROUND
        and space.doors > 0
        and not (space.doubtful_gaps or space.joined)
        and space.glazed <= BARE_GLASS
        and ROOM_M2[0] <= area_m2 <= ROOM_M2[1]
    )


def _outside_doubt(space: Space, gaps: list[Gap], written: Written, proven: bool, doubts: list[str]) -> int:
    """Whether a space may be a balcony or a porch: 0 or 1 for a doubt."""
    if any(outdoors(name) for name in written.names):
        doubts.append(because("outdoors"))
        return 1
    if not proven and not written.names and _through_outside(space, gaps):
        doubts.append(because("only-through-outside"))
        return 1
    said = written.names or written.numbers
    if not proven and not said and (panel := _through_panel(space, gaps)) is not None:
        doubts.append(because("only-through-panel", thickness_mm=f"{panel:.0f}"))
        return 1
    return 0


def _through_panel(space: Space, gaps: list[Gap]) -> float | None:
    """How thick in mm the thickest is of what the doors of a space stand in, where all of it is too thin for a wall;
    None where one stands in a wall, or in a wall of one line."""
    thick = [gaps[k].bridge.thickness_mm for k in space.ways]
    return max(thick) if thick and all(0.0 < t < THINNEST_WALL_MM for t in thick) else None


def _through_outside(space: Space, gaps: list[Gap]) -> bool:
    """Whether all doors of a space without a name go through walls that are thick beside those of other doors."""
    thick = sorted(g.bridge.thickness_mm for g in gaps if g.confirmed and g.kind == "door" and g.bridge.thickness_mm)
    if not thick or not space.ways:
        return False
    least = max(OUTSIDE_MM, OUTSIDE_TIMES * thick[(len(thick) - 1) // 2])
    return min(gaps[k].bridge.thickness_mm for k in space.ways) >= least


def _single_lines(written: Written, area_m2: float, evidence: list[str], doubts: list[str]) -> int:
    """Where walls are single lines and no layer or pen tells them, furniture along them looks the same:
    only a printed area makes such a room sure."""
    if _proven(written, area_m2):
        evidence.append(because("single-lines"))
        return 0
    doubts.append(because("single-lines-or-furniture"))
    return 1 if written.areas or written.names else 2


def own_area(written: Written, area_m2: float) -> Placed | None:
    """The printed area that is the outline's, exact enough to tell a room from what is beside it. Of several in one
    label the others are larger: areas with the walls, or of the whole flat."""
    agreed = [a for a in written.areas if area_agrees(a, area_m2) and a.words.rounding <= NEARLY * area_m2]
    others = [a for a in written.areas if a not in agreed]
    return agreed[0] if agreed and all(a.words.value > area_m2 for a in others) else None


def _proven(written: Written, area_m2: float) -> bool:
    return own_area(written, area_m2) is not None


def _area_doubt(written: Written, area_m2: float, evidence: list[str], doubts: list[str]) -> int:
    if not written.areas:
        return 0
    own = own_area(written, area_m2)
    if own is not None:
        evidence.append(because("print-agrees", printed=own.words.text))
        return 0
    if len(written.areas) == 1:
        text = written.areas[0].words.text
        if area_agrees(written.areas[0], area_m2):
            evidence.append(because("print-agrees", printed=text))
            return 0
        doubts.append(because("print-differs", printed=text, area_m2=f"{area_m2:.3f}"))
        return 0 if abs(written.areas[0].words.value - area_m2) <= NEARLY * area_m2 else 1
    total = sum(a.words.value for a in written.areas)
    evidence.append(because("prints-add-up", total_m2=f"{total:.2f}"))
    return 0 if _add_up(total, area_m2) else 1


def _add_up(total_m2: float, area_m2: float) -> bool:
    """Whether printed areas of parts are together the outline's."""
    return -PARTS_AGREE * area_m2 <= total_m2 - area_m2 <= PARTS_MORE * area_m2


def doubted_by_print_only(evidence: tuple[str, ...]) -> bool:
    """Whether a room's only doubt is that the area printed in it is not its outline's."""
    rest = [text for text in evidence if not says(text, *_NO_DOUBTS)]
    return len(rest) == 1 and says(rest[0], "print-differs")


def area_findings(
    room: Room, written: Written, area_m2: float, storey: str, origin: tuple[float, float]
) -> list[Finding]:
    """A finding where a printed area and the outline differ by more than the print's rounding."""
    name = quoted(room.name) if room.name else room.title
    if own_area(written, area_m2) is not None:
        return []
    if len(written.areas) == 1:
        area = written.areas[0]
        if area_agrees(area, area_m2):
            return []
        where = Where(storey=storey, room=room.id, x_mm=area.x + origin[0], y_mm=area.y + origin[1])
        return [noticed("printed-area-differs", where, printed=area.words.text, room=name, area_m2=shown(area_m2, 3))]
    total = sum(a.words.value for a in written.areas)
    if written.areas and not _add_up(total, area_m2):
        first = written.areas[0]
        where = Where(storey=storey, room=room.id, x_mm=first.x + origin[0], y_mm=first.y + origin[1])
        return [noticed("printed-areas-differ", where, room=name, printed_m2=shown(total), area_m2=shown(area_m2, 3))]
    return []


def polygon_area_m2(polygon: shapely.Polygon) -> float:
    return float(polygon.area) / 1e6


WIDEST_MM = 6000.0
"""An open side between two parts is no wider (common practice, no source)."""
LEAST_PART_M2 = 0.8
MOST_CORNERS = 60
"""In rooms with more corners than this that point inwards nothing is proposed."""
FAR_MM = 1e5
NEAR_MM = 0.5


class Cut(NamedTuple):
    """A line [x0, y0, x1, y1] near the origin across an open plan, and the areas of both parts, m²."""

    line: tuple[float, float, float, float]
    areas_m2: tuple[float, float]


def likely_cuts(polygon: shapely.Polygon, labels: list[tuple[float, float]]) -> list[Cut]:
    """The shortest lines from inner corners that part the labels from each other, one fewer than there
    are labels at most; none where no line parts them.

    A line runs from an inner corner to another one, or straight on along a side that ends there.
    """
    cuts: list[Cut] = []
    parts = [polygon]
    while True:
        crowded = [k for k, p in enumerate(parts) if _held(p, labels) > 1]
        best = next((c for k in crowded if (c := _shortest(parts[k], labels, k)) is not None), None)
        if best is None:
            return cuts
        cut, k, halves = best
        cuts.append(cut)
        parts[k : k + 1] = halves


def _held(part: shapely.Polygon, labels: list[tuple[float, float]]) -> int:
    return int(shapely.contains(part, shapely.points(labels)).sum()) if labels else 0


def _shortest(
    part: shapely.Polygon, labels: list[tuple[float, float]], k: int
) -> tuple[Cut, int, list[shapely.Polygon]] | None:
    for line in _candidates(part):
        pieces = [p for p in parcels([part.boundary, line]) if part.contains(p.representative_point())]
        if len(pieces) != 2 or min(p.area for p in pieces) < LEAST_PART_M2 * 1e6:
            continue
        if all(_held(p, labels) for p in pieces):
            (x0, y0), (x1, y1) = shapely.get_coordinates(line).tolist()
            areas = (float(pieces[0].area) / 1e6, float(pieces[1].area) / 1e6)
            return Cut((x0, y0, x1, y1), areas), k, pieces
    return None


def _candidates(part: shapely.Polygon) -> list[shapely.LineString]:
    """Lines across the part from its inner corners, the shortest first."""
    ends, ways = _inner_corners(part)
    if not 0 < len(ends) <= MOST_CORNERS:
        return []
    shapely.prepare(part)
    found = []
    for i, p in enumerate(ends):
        targets = [ends[j] for j in range(i + 1, len(ends))]
        targets += [q for way in ways[i] if (q := _ahead(part, p, way)) is not None]
        for q in targets:
            length = float(np.hypot(*(q - p)))
            if NEAR_MM < length <= WIDEST_MM:
                line = shapely.LineString([p, q])
                # One that runs along a side parts nothing.
                if part.covers(line) and part.boundary.intersection(line).length < NEAR_MM:
                    found.append(line)
    return sorted(found, key=lambda line: float(line.length))


def _inner_corners(part: shapely.Polygon) -> tuple[list[Floats], list[list[Floats]]]:
    """(corners that point into the space, for each the directions in which its two sides run on)"""
    part = shapely.orient_polygons(part.simplify(NEAR_MM))
    ends, ways = [], []
    for ring in (part.exterior, *part.interiors):
        xy = shapely.get_coordinates(ring)[:-1]
        before, after = xy - np.roll(xy, 1, axis=0), np.roll(xy, -1, axis=0) - xy
        turn = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
        sizes = np.hypot(*before.T) * np.hypot(*after.T)
        for k in np.flatnonzero(turn < -0.1 * sizes).tolist():
            ends.append(xy[k])
            ways.append([before[k] / np.hypot(*before[k]), -after[k] / np.hypot(*after[k])])
    return ends, ways


def _ahead(part: shapely.Polygon, start: Floats, way: Floats) -> Floats | None:
    """Where a line straight on from a corner first meets the border again."""
    ray = shapely.LineString([start + way * 2 * NEAR_MM, start + way * FAR_MM])
    hits = shapely.get_coordinates(part.boundary.intersection(ray))
    if not len(hits):
        return None
    t = float(((hits - start) @ way).min())
    return np.asarray(start + way * t)


def open_plan_finding(
    room: Room,
    written: Written,
    words: list[Placed],
    polygon: shapely.Polygon,
    storey: str,
    origin: tuple[float, float],
) -> list[Finding]:
    """One finding for a room with several names: where it likely parts."""
    if len(written.names) < 2:
        return []
    labels = [(w.x, w.y) for w in words if w.words.kind == "name" and w.words.text in written.names]
    cuts = likely_cuts(polygon, labels)
    names = ", ".join(quoted(n) for n in written.names)
    x, y = origin
    if cuts:
        said = "; ".join(_said(c, origin) for c in cuts)
        how = tr("It likely parts along {lines}", lines=said)
    else:
        how = tr("Nothing drawn shows where it parts")
    at = labels[0] if labels else (0.0, 0.0)
    where = Where(storey=storey, room=room.id, x_mm=at[0] + x, y_mm=at[1] + y)
    return [noticed("open-plan-parts", where, names=names, how=how)]


def _said(cut: Cut, origin: tuple[float, float]) -> str:
    x0, y0, x1, y1 = cut.line
    x, y = origin
    length_m = float(np.hypot(x1 - x0, y1 - y0)) / 1000
    return tr(
        "{length} m from {x0}, {y0} to {x1}, {y1} (parts of {one} and {other} m²)",
        length=shown(length_m),
        x0=whole(x0 + x),
        y0=whole(y0 + y),
        x1=whole(x1 + x),
        y1=whole(y1 + y),
        one=shown(cut.areas_m2[0]),
        other=shown(cut.areas_m2[1]),
    )
