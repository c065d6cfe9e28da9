"""What is written on a plan: labels in their rooms, lengths and letters of walls, marks of openings."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Literal

import msgspec
import numpy as np
import shapely
from shapely.affinity import affine_transform
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from takeoff.geometry.curves import Curve
from takeoff.sheets import palette
from takeoff.sheets.curved import course_line, ring_polygon
from takeoff.sheets.picture import (
    Caption,
    Measure,
    Shape,
    Sheet,
    apart,
    diamond,
    door_leaves,
    half_diamond,
    middle_of,
    question,
)
from takeoff.sheets.sheet_values import Course, Plan, PlanOpening, PlanRoom, Point

_NAME_PT = 10.5
_FIGURE_PT = 9.5
_LEADING, _TIGHT = 1.32, 0.8
_CLEAR_MM = 0.8
"""Space kept around a label."""

_GRID = 21
"""Places tried across a room, each way."""

_DIAMOND_MM = 6.2
_ABREAST_MM = 2.0
"""Space between a name and its figure on one line."""

_MOST_LINES = 4
"""A name is broken over no more lines than this."""


class Block(msgspec.Struct, frozen=True):
    """Lines of a label, set centred: (text, style, size in pt, colour).

    ``asked`` puts a diamond *before* the lines or *above* them; ``abreast``: all in one line, for
    corridors; ``number``: set tight.
    """

    lines: tuple[tuple[str, str, float, str], ...]
    asked: Literal["", "before", "above"] = ""
    number: bool = False
    abreast: bool = False

    def rows(self) -> tuple[tuple[tuple[str, str, float, str], ...], ...]:
        """The pieces that stand side by side, row by row."""
        return (self.lines,) if self.abreast else tuple((piece,) for piece in self.lines)

    def line_mm(self, size: float) -> float:
        """Height of a line; a number is set as tight as its digits are high."""
        return size * palette.PT_MM * (_TIGHT if self.number else _LEADING)

    def size(self, measure: Measure) -> tuple[float, float]:
        """(width, height) in mm."""
        wide = max(_row_mm(row, measure) for row in self.rows())
        tall = sum(self.line_mm(row[0][2]) for row in self.rows())
        if self.asked == "before":
            return wide + _DIAMOND_MM, max(tall, _DIAMOND_MM)
        return (max(wide, _DIAMOND_MM), tall + _DIAMOND_MM) if self.asked else (wide, tall)


def blocks(name: str, figure: str, asked: bool, held: str = "") -> list[Block]:
    """The forms a label may take, best first: two lines, then name and figure broken over more; ``held``: the word of
    a hold, under them."""
    marks: tuple[Literal["", "before", "above"], ...] = ("before", "above") if asked else ("",)
    names = [_broken(name, lines) for lines in range(1, min(len(name.split()), _MOST_LINES) + 1)]
    figures: list[tuple[str, ...]] = [(figure,)] if figure else [()]
    if len(figure.split()) > 2:
        # "41.3 m²" over "to coat": figure and unit stay together.
        words = figure.split()
        figures.append((" ".join(words[:2]), " ".join(words[2:])))
    forms = [(first, second, False) for second in figures for first in names]
    forms.insert(1, (names[0], figures[0], True))
    return [
        Block(
            (
                *_set(first, palette.SEMIBOLD, name_pt, palette.INK),
                *_set(second, palette.REGULAR, figure_pt, palette.GREY),
                *_set((held,) if held else (), palette.SEMIBOLD, figure_pt, palette.URGENT),
            ),
            mark,
            abreast=abreast,
        )
        for name_pt, figure_pt in ((_NAME_PT, _FIGURE_PT), (palette.SMALLEST_PT, palette.SMALLEST_PT))
        for first, second, abreast in forms
        for mark in marks
    ]


def number_block(number: int, asked: bool) -> Block:
    """What stands in a room too small for its label."""
    lines = _set((str(number),), palette.SEMIBOLD, palette.SMALLEST_PT, palette.INK)
    return Block(lines, "before" if asked else "", number=True)


def _set(texts: Sequence[str], style: str, size: float, colour: str) -> tuple[tuple[str, str, float, str], ...]:
    return tuple((text, style, size, colour) for text in texts)


def _row_mm(row: Sequence[tuple[str, str, float, str]], measure: Measure) -> float:
    """Width of pieces side by side."""
    return sum(measure(text, style, size) for text, style, size, _ in row) + _ABREAST_MM * (len(row) - 1)


def _broken(name: str, lines: int) -> tuple[str, ...]:
    """A name broken at blanks into so many lines of about the same length."""
    if lines == 1:
        return (name,)
    words = name.split()
    wish = len(name) / lines
    at = min(range(1, len(words) - lines + 2), key=lambda k: abs(len(" ".join(words[:k])) - wish))
    return (" ".join(words[:at]), *_broken(" ".join(words[at:]), lines - 1))


class Ground(msgspec.Struct, frozen=True):
    """A room on paper (mm): what of it is free, and where a label would stand best."""

    space: BaseGeometry
    free: BaseGeometry
    wish: Point


def ground_of(space: BaseGeometry, taken: Sequence[BaseGeometry]) -> Ground:
    """The ground of a room's space less what is taken."""
    near = [shape for shape in taken if _boxes_meet(space.bounds, shape.bounds)]
    free = space.difference(shapely.union_all(near)) if near else space
    shapely.prepare(free)
    return Ground(space, free, _wish(space))


def place(block: Block, ground: Ground, measure: Measure) -> Point | None:
    """The middle of the free place for a block that is nearest to the best one; None for no place."""
    clear = _CLEAR_MM / 4 if block.number else _CLEAR_MM
    wide, tall = (side + 2 * clear for side in block.size(measure))
    left, low, right, high = ground.space.bounds
    if right - left < wide or high - low < tall:
        return None
    xs = np.append(np.linspace(left + wide / 2, right - wide / 2, _GRID), ground.wish[0])
    ys = np.append(np.linspace(low + tall / 2, high - tall / 2, _GRID), ground.wish[1])
    gx, gy = (grid.ravel() for grid in np.meshgrid(xs, ys))
    order = np.argsort(np.hypot(gx - ground.wish[0], gy - ground.wish[1]), kind="stable")
    gx, gy = gx[order], gy[order]
    boxes = shapely.box(gx - wide / 2, gy - tall / 2, gx + wide / 2, gy + tall / 2)
    fits = np.flatnonzero(shapely.contains(ground.free, boxes))
    return (float(gx[fits[0]]), float(gy[fits[0]])) if fits.size else None


def _boxes_meet(a: Sequence[float], b: Sequence[float]) -> bool:
    return a[0] <= b[2] and b[0] <= a[2] and a[1] <= b[3] and b[1] <= a[3]


def box_of(block: Block, at: Point, measure: Measure) -> BaseGeometry:
    """The area a placed block takes."""
    wide, tall = block.size(measure)
    return shapely.box(at[0] - wide / 2, at[1] - tall / 2, at[0] + wide / 2, at[1] + tall / 2)


def set_block(block: Block, at: Point, measure: Measure) -> tuple[list[Caption], list[Shape]]:
    """The captions of a placed block, and its diamond."""
    wide, tall = block.size(measure)
    shift = _DIAMOND_MM / 2 if block.asked == "before" else 0.0
    inked = sum(block.line_mm(row[0][2]) for row in block.rows())
    captions: list[Caption] = []
    y = at[1] + inked / 2 - (_DIAMOND_MM / 2 if block.asked == "above" else 0.0)
    for row in block.rows():
        y -= block.line_mm(row[0][2])
        x = at[0] + shift - _row_mm(row, measure) / 2
        below = (0.04 if block.number else 0.35) * row[0][2] * palette.PT_MM
        for text, style, size, colour in row:
            captions.append(Caption(x, y + below, text, style, size, colour))
            x += measure(text, style, size) + _ABREAST_MM
    if not block.asked:
        return captions, []
    dx, dy = at[0], at[1] + tall / 2 - _DIAMOND_MM / 2
    if block.asked == "before":
        dx, dy = at[0] - wide / 2 + _DIAMOND_MM / 2 - 0.4, at[1]
    return [*captions, question(dx, dy, measure)], [diamond(dx, dy)]


def _wish(space: BaseGeometry) -> Point:
    """The middle of a compact room, else the middle of its widest part."""
    centre = space.centroid
    widest = shapely.maximum_inscribed_circle(space, tolerance=max(space.length / 400, 0.05))
    middle = shapely.get_point(widest, 0)
    reach = shapely.length(widest)
    if space.contains(centre) and shapely.distance(centre, space.boundary) > 0.8 * reach:
        return centre.x, centre.y
    return middle.x, middle.y


Letter = tuple[Course, str]
"""A wall's course in plan mm and its letter."""

_OFF_MM = 0.7
"""Space between a wall or its band and the letter beside it."""

_LEAF_MM = 0.4
"""Space kept from door leaves."""

_SQUARE_MM = 12.0

_SHARES = (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9)
"""Places tried along a wall, from its middle outwards."""


class Taken:
    """What of the paper is written on already, mm; kept by squares, for plans of many rooms."""

    def __init__(self, areas: Iterable[BaseGeometry]) -> None:
        self._squares: dict[tuple[int, int], list[BaseGeometry]] = {}
        for area in areas:
            if not area.is_empty:
                self.take(area)

    def free(self, box: BaseGeometry) -> bool:
        """Whether nothing meets the box; if so it is taken from now on."""
        near = [area for square in _squares(box) for area in self._squares.get(square, ())]
        if near and shapely.intersects(near, box).any():
            return False
        self.take(box)
        return True

    def take(self, area: BaseGeometry) -> None:
        """From now on there is something written here."""
        for square in _squares(area):
            self._squares.setdefault(square, []).append(area)

    def near(self, box: BaseGeometry) -> shapely.STRtree:
        """All that is written in the squares that a box meets, each area once."""
        found = {id(area): area for square in _squares(box) for area in self._squares.get(square, ())}
        return shapely.STRtree(list(found.values()))


def _squares(area: BaseGeometry) -> list[tuple[int, int]]:
    """The squares of the paper that an area's box meets."""
    left, low, right, high = (math.floor(value / _SQUARE_MM) for value in area.bounds)
    return [(x, y) for x in range(left, right + 1) for y in range(low, high + 1)]


def opening_marks(plan: Plan, sheet: Sheet, taken: Taken, measure: Measure) -> list[Caption]:
    """Marks beside the openings, within the host room first; doors carry theirs under their swing."""
    captions = []
    page = shapely.box(0.0, 0.0, sheet.width, sheet.height)
    for opening in plan.openings:
        if opening.label:
            line = (opening.label, palette.SEMIBOLD, palette.SMALLEST_PT, palette.GREY)
            block = Block((line,), number=True)
            for at in _beside_opening(opening, block, sheet, measure):
                box = box_of(block, at, measure)
                if page.contains(box) and taken.free(box):
                    captions += set_block(block, at, measure)[0]
                    break
    return captions


def wall_marks(
    letters: tuple[Letter, ...], free: BaseGeometry, taken: Taken, sheet: Sheet, measure: Measure
) -> tuple[list[Caption], list[Flag], tuple[Letter, ...]]:
    """Letters beside the walls of a room, on what of it is ``free`` of the band, on flags that touch their walls,
    and the letters that have no room there."""
    captions: list[Caption] = []
    flags: list[Flag] = []
    rest: list[Letter] = []
    shapely.prepare(free)
    for course, letter in letters:
        curve = Curve(*course[0][:2], *course[1][:2], course[0][2])
        block = Block(((letter, palette.REGULAR, palette.SMALLEST_PT, palette.GREY),), number=True)
        radius = letter_radius(letter, measure)
        for share in _SHARES:
            x, y = _off(curve, share, sheet.band + _OFF_MM + radius, sheet)
            box = shapely.box(x - radius, y - radius, x + radius, y + radius)
            if free.contains(box) and taken.free(box):
                captions += set_block(block, (x, y), measure)[0]
                flags.append(_flag(_off(curve, share, 0.0, sheet), (x, y), radius))
                break
        else:
            rest.append((course, letter))
    return captions, flags, tuple(rest)


_AWAY_MM, _AWAY_STEP_MM, _WAYS = 60.0, 1.5, 32
"""How far from its wall a letter may stand at the end of a leader, and where it is tried: so many ways round."""

_FEET = (0.5, 0.25, 0.75)
"""Where along its wall a leader may begin."""

_LEADER_MM = 0.3
"""Space kept from a leader."""

_MOST_LED, _MOST_HOMELESS = 24, 3
"""So many letters of a room stand at the end of a leader: more of them would be read by nobody; and when so many have
found no place at all, its paper is full."""

_MOST_LED_ON_A_PLAN, _MOST_HOMELESS_ON_A_PLAN = 150, 40
"""So many on a whole plan: where more are needed, or have found no place, rooms lie over one another."""


def led_letter(
    course: Course, letter: str, grounds: Sequence[BaseGeometry], taken: Taken, sheet: Sheet, measure: Measure
) -> tuple[list[Caption], Flag] | None:
    """A wall's letter on a flag at the end of a leader: (its caption, the flag), as near to the wall as
    there is room, on the first of the ``grounds`` that has any; where no leader can keep clear of all that is
    written, one that crosses something. None where all the paper is written on."""
    curve = Curve(*course[0][:2], *course[1][:2], course[0][2])
    radius = letter_radius(letter, measure)
    feet = [_off(curve, share, sheet.band / 2, sheet) for share in _FEET]
    x, y = feet[0]
    written = taken.near(shapely.box(x - _AWAY_MM, y - _AWAY_MM, x + _AWAY_MM, y + _AWAY_MM))
    for crossing in (False, True):
        for ground in grounds:
            for foot in feet:
                spot = _leader_end(foot, radius + sheet.band, radius, ground, written, crossing)
                if spot is not None:
                    flag = _flag(foot, spot, radius, led=True)
                    taken.take(shapely.box(spot[0] - radius, spot[1] - radius, spot[0] + radius, spot[1] + radius))
                    taken.take(shapely.buffer(shapely.linestrings([p[:2] for p in flag.staff]), _LEADER_MM))
                    block = Block(((letter, palette.REGULAR, palette.SMALLEST_PT, palette.GREY),), number=True)
                    return set_block(block, spot, measure)[0], flag
    return None


def led_letters(
    letters: Sequence[Letter], grounds: Sequence[BaseGeometry], taken: Taken, sheet: Sheet, measure: Measure
) -> list[tuple[list[Caption], Flag]]:
    """The letters of a room that have no room beside their walls, each as :func:`led_letter` puts it, in their order.

    Of more than are drawn at the end of a leader those of the longest walls are; without letters: none.
    """
    longest = sorted(letters, key=lambda letter: -_length_mm(letter[0])) if len(letters) > _MOST_LED else letters
    found, without = [], 0
    for course, letter in longest[:_MOST_LED]:
        led = led_letter(course, letter, grounds, taken, sheet, measure)
        if led is not None:
            found.append(led)
        elif (without := without + 1) == _MOST_HOMELESS:
            break
    return found


def _length_mm(course: Course) -> float:
    return Curve(*course[0][:2], *course[1][:2], course[0][2]).length


def _leader_end(
    foot: Point, least_mm: float, radius: float, ground: BaseGeometry, written: shapely.STRtree, crossing: bool
) -> Point | None:
    """Where on a ground a letter of that radius stands free, nearest to the foot of its leader; ``crossing``: where
    the leader crosses the least of what is written."""
    turned = np.linspace(0.0, 2 * math.pi, _WAYS, endpoint=False)
    steps = np.arange(least_mm, _AWAY_MM, _AWAY_STEP_MM)
    far, turn = (grid.ravel() for grid in np.meshgrid(steps, turned, indexing="ij"))
    xs, ys = foot[0] + far * np.cos(turn), foot[1] + far * np.sin(turn)
    boxes = shapely.box(xs - radius, ys - radius, xs + radius, ys + radius)
    shapely.prepare(ground)
    fits = np.flatnonzero(shapely.contains(ground, boxes))
    fits = np.delete(fits, written.query(boxes[fits], predicate="intersects")[0])
    if not fits.size:
        return None
    lines = shapely.linestrings([[foot, at] for at in zip(xs[fits], ys[fits], strict=True)])
    crossed, by = written.query(lines, predicate="intersects")
    if crossing:
        shared = shapely.length(shapely.intersection(lines[crossed], written.geometries[by]))
        best = int(fits[np.argmin(np.bincount(crossed, shared, fits.size))])
    else:
        clear = np.delete(fits, crossed)
        if not clear.size:
            return None
        best = int(clear[0])
    return float(xs[best]), float(ys[best])


class Flag(msgspec.Struct, frozen=True):
    """The flag that a wall's letter stands on: its cloth, and the staff from the wall to it; ``led``: the staff is
    long and has a dot at the wall."""

    cloth: Course
    staff: Course
    led: bool = False


def _flag(foot: Point, at: Point, half: float, led: bool = False) -> Flag:
    """A flag about a point, whose staff stands at the foot."""
    (fx, fy), (x, y) = foot, at
    reach = half / max(abs(x - fx), abs(y - fy), half)
    end = x + (fx - x) * reach, y + (fy - y) * reach
    cloth = ((x - half, y - half, 0.0), (x + half, y - half, 0.0), (x + half, y + half, 0.0), (x - half, y + half, 0.0))
    return Flag(cloth, ((fx, fy, 0.0), (*end, 0.0)), led)


def letter_radius(letter: str, measure: Measure) -> float:
    """Half the width and the height in mm of the flag of a wall's letter."""
    return max(1.9, measure(letter, palette.REGULAR, palette.SMALLEST_PT) / 2 + 0.7)


def circle(x: float, y: float, radius: float) -> Course:
    """A circle as two half turns."""
    return ((x - radius, y, 1.0), (x + radius, y, 1.0))


def leaf_lines(plan: Plan, sheet: Sheet) -> list[BaseGeometry]:
    """The leaves of doors and the arcs of their swings, thickened, in paper mm."""
    return [
        shapely.buffer(shapely.linestrings([sheet.point(p) for p in course_line(course).coords]), _LEAF_MM)
        for opening in plan.openings
        if opening.kind == "door" and opening.sure
        for leaf in door_leaves(opening)
        for course in leaf
    ]


def _beside_opening(opening: PlanOpening, block: Block, sheet: Sheet, measure: Measure) -> list[Point]:
    """Places before the opening's middle, on its host's side and then beyond the wall."""
    near = Curve(*opening.face[0][:2], *opening.face[1][:2], opening.face[0][2])
    far = Curve(*opening.far[1][:2], *opening.far[0][:2], -opening.far[0][2])
    wide, tall = block.size(measure)
    places = []
    # The band runs on past an opening that is not taken off.
    least = _OFF_MM if opening.sure else sheet.band + _OFF_MM
    for curve, gap in ((near, least), (near, sheet.band + _OFF_MM), (far, least)):
        if curve.length > 0:
            dx, dy = curve.direction(curve.length / 2)
            half = abs(dy) * wide / 2 + abs(dx) * tall / 2
            places += [_off(curve, share, gap + half, sheet) for share in (0.5, 0.3, 0.7)]
    return places


def _off(curve: Curve, share: float, off_mm: float, sheet: Sheet) -> Point:
    """The point on paper that stands so far off a course, to its left."""
    at = curve.length * share
    (x, y), (dx, dy) = sheet.point(curve.at(at)), curve.direction(at)
    return x - dy * off_mm, y + dx * off_mm


_OFF_BAND_MM = 0.8
"""Space between the band and the length written beside it."""

_LINE_MM = 0.5
"""Space kept from a line overhead where there is room enough."""


class Words(msgspec.Struct, frozen=True):
    """What is written on a plan.

    ``listed``: rooms whose label had no room, each after its number (or "–" where not even that
    had). ``lengths`` and ``marks``: whether any was written; ``flags`` of walls' letters; ``several``: whether a
    question mark stands for more than one opening; ``unlettered``: how many walls' letters had no room.
    """

    captions: tuple[Caption, ...]
    diamonds: tuple[Shape, ...]
    listed: tuple[str, ...]
    lengths: bool
    flags: tuple[Flag, ...] = ()
    marks: bool = False
    several: bool = False
    unlettered: int = 0


def captions_of(plan: Plan, bands: dict[str, BaseGeometry], sheet: Sheet, measure: Measure, labelled: bool) -> Words:
    """All words of a plan; none where it is not ``labelled``: they would hide it."""
    if not labelled:
        return Words((), (), (), False)
    asked = apart(_questions(plan, sheet), measure)
    several = any(mark.count > 1 for mark in asked)
    captions = [question(mark.x_mm, mark.y_mm, measure, mark.count) for mark in asked]
    diamonds = [diamond(mark.x_mm, mark.y_mm, half_diamond(mark.count, measure)) for mark in asked]
    asked_boxes = [ring_polygon([mark.paths[0]]) for mark in diamonds]
    overhead = _overhead(plan, sheet)
    fixed = [*asked_boxes, *_swings(plan, sheet)]
    # Labels stay within their rooms, so that those of other rooms need not be looked at.
    nearby = shapely.STRtree(fixed)
    listed: list[str] = []
    written: list[BaseGeometry] = []
    any_length = False
    for room in plan.rooms:
        space = _on_paper(ring_polygon(room.rings), sheet)
        if space.is_empty:
            continue
        taken = [_on_paper(bands[room.id], sheet), *(fixed[k] for k in nearby.query(space))]
        known = len(taken)
        lengths = _lengths(room, space, taken, sheet, measure)
        block, at = _label(room, space, taken, overhead, measure, len(listed) + 1)
        if block.number:
            listed.append(_listed(len(listed) + 1 if at else None, room))
        captions += lengths
        any_length = any_length or bool(lengths)
        written += taken[known:]
        if at is not None:
            texts, in_label = set_block(block, at, measure)
            written.append(box_of(block, at, measure))
            captions += texts
            diamonds += in_label
    named, letters, flags, unlettered = _team_marks(plan, bands, sheet, measure, [*asked_boxes, *overhead, *written])
    captions += [*named, *letters]
    return Words(tuple(captions), tuple(diamonds), tuple(listed), any_length, flags, bool(named), several, unlettered)


def _team_marks(
    plan: Plan, bands: dict[str, BaseGeometry], sheet: Sheet, measure: Measure, written: list[BaseGeometry]
) -> tuple[list[Caption], list[Caption], tuple[Flag, ...], int]:
    """(marks of openings, letters of walls, their flags, how many letters have no room), clear of all that is
    written."""
    taken = Taken([*written, *leaf_lines(plan, sheet)])
    named = opening_marks(plan, sheet, taken, measure)
    letters: list[Caption] = []
    flags: list[Flag] = []
    homeless: list[tuple[tuple[Letter, ...], BaseGeometry]] = []
    for room in plan.rooms:
        if room.letters:
            own = _on_paper(ring_polygon(room.rings), sheet).difference(_on_paper(bands[room.id], sheet))
            texts, own_flags, rest = wall_marks(room.letters, own, taken, sheet, measure)
            letters += texts
            flags += own_flags
            if rest:
                homeless.append((rest, own))
    unlettered, standing, sought = 0, len(flags), 0
    if homeless:
        page = shapely.box(0.0, 0.0, sheet.width, sheet.height)
        beside = page.difference(shapely.union_all([_on_paper(band, sheet) for band in bands.values()]))
        for rest, own in homeless:
            placed = len(flags) - standing
            full = placed >= _MOST_LED_ON_A_PLAN or sought - placed >= _MOST_HOMELESS_ON_A_PLAN
            led = [] if full else led_letters(rest, (own, beside), taken, sheet, measure)
            sought += 0 if full else min(len(rest), len(led) + _MOST_HOMELESS)
            letters += [caption for captions, _ in led for caption in captions]
            flags += [flag for _, flag in led]
            unlettered += len(rest) - len(led)
    return named, letters, tuple(flags), unlettered


def _label(
    room: PlanRoom,
    space: BaseGeometry,
    taken: list[BaseGeometry],
    overhead: list[BaseGeometry],
    measure: Measure,
    number: int,
) -> tuple[Block, Point | None]:
    """The best form of the label that fits, else the room's number; no place: None.

    Lines overhead are kept clear where a label fits otherwise too; a number may stand on the band.
    """
    grounds = [ground_of(space, [*taken, *overhead])] if overhead else []
    grounds.append(ground_of(space, taken))
    for ground in grounds:
        for block in blocks(room.name, room.figure, not room.sure, room.held):
            at = place(block, ground, measure)
            if at is not None:
                return block, at
    for asked in (True, False) if not room.sure else (False,):
        block = number_block(number, asked)
        at = place(block, grounds[-1], measure) or place(block, ground_of(space, taken[1:]), measure)
        if at is not None:
            break
    return block, at


def _listed(number: int | None, room: PlanRoom) -> str:
    return ", ".join(part for part in (f"{number or '–'} {room.name}", room.figure, room.held) if part)


def _lengths(
    room: PlanRoom, space: BaseGeometry, taken: list[BaseGeometry], sheet: Sheet, measure: Measure
) -> list[Caption]:
    """Lengths beside stretches that are a part of their face; what is taken grows by them."""
    captions = []
    for course, text in room.parts:
        curve = Curve(*course[0][:2], *course[1][:2], course[0][2])
        block = Block(((text, palette.REGULAR, palette.SMALLEST_PT, palette.GREY),))
        at = _beside(curve, block, space, taken, sheet, measure)
        if at is not None:
            captions += set_block(block, at, measure)[0]
            taken.append(box_of(block, at, measure))
    return captions


def _beside(
    curve: Curve, block: Block, space: BaseGeometry, taken: list[BaseGeometry], sheet: Sheet, measure: Measure
) -> Point | None:
    """A place for a length next to the band, from the stretch's middle outwards; None if all are taken."""
    wide, tall = block.size(measure)
    free = ground_of(space, taken).free
    for share in (0.5, 0.35, 0.65, 0.2, 0.8):
        at = curve.length * share
        (x, y), (dx, dy) = sheet.point(curve.at(at)), curve.direction(at)
        off = sheet.band + _OFF_BAND_MM + abs(dy) * wide / 2 + abs(dx) * tall / 2
        spot = (x - dy * off, y + dx * off)
        if free.contains(box_of(block, spot, measure)):
            return spot
    return None


def _questions(plan: Plan, sheet: Sheet) -> list[Point]:
    return [sheet.point(middle_of(opening)) for opening in plan.openings if not opening.sure]


def _swings(plan: Plan, sheet: Sheet) -> list[BaseGeometry]:
    """What doors sweep over, in paper mm."""
    areas = []
    for opening in plan.openings:
        if opening.kind == "door" and opening.sure:
            for leaf, swing in door_leaves(opening):
                points = [*course_line(swing).coords, leaf[0][:2]]
                areas.append(shapely.polygons([sheet.point(p) for p in points]))
    return areas


def _overhead(plan: Plan, sheet: Sheet) -> list[BaseGeometry]:
    """Lines of lowered and raised ceilings and bead overhead, and rooflights, in paper mm."""
    lines = [[*(sheet.point(v) for v in ring), sheet.point(ring[0])] for ring in plan.overhead]
    lines += [[sheet.point(v) for v in course] for course in plan.overhead_beads]
    areas = [LineString(line).buffer(_LINE_MM) for line in lines]
    return areas + [_on_paper(ring_polygon([ring]), sheet) for ring in plan.rooflights]


def _on_paper(shape: BaseGeometry, sheet: Sheet) -> BaseGeometry:
    factor = 1.0 / sheet.scale
    return affine_transform(shape, [factor, 0, 0, factor, -sheet.left * factor, -sheet.low * factor])
