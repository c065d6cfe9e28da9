"""From a drawing in mm to a proposed job: the stages of recognition in their order."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding
from takeoff.findings import noticed
from takeoff.geometry.runs import components
from takeoff.language import mark, number, tr
from takeoff.plan.model import Job
from takeoff.recognise.names.placed_words import Placed, SheetWords, of_rooms, placed, places, sheet_words
from takeoff.recognise.presets import Settings
from takeoff.recognise.rooms.assemble import assemble
from takeoff.recognise.rooms.overhead import overhead
from takeoff.recognise.rooms.stair_claims import with_stairs
from takeoff.recognise.walls.bounding_lines import (
    Asked,
    Lines,
    drawn_once,
    is_role,
    laborious,
    prepare,
    tangled,
    with_faces,
)
from takeoff.recognise.walls.broad_strokes import stroked, with_stroked_walls
from takeoff.recognise.walls.coloured_lines import coloured
from takeoff.recognise.walls.crossed_spaces import without_crosses
from takeoff.recognise.walls.dimension_ticks import without_ticks
from takeoff.recognise.walls.doors_both_ways import with_both_ways
from takeoff.recognise.walls.drawn_fittings import fittings, with_fitting_doubts
from takeoff.recognise.walls.drawn_rounds import with_rounds
from takeoff.recognise.walls.drawn_stairs import stair_marks, treads
from takeoff.recognise.walls.drawn_tables import not_of_rooms, tables
from takeoff.recognise.walls.filled_pieces import with_filled_pieces
from takeoff.recognise.walls.filling_strokes import without_letters, without_strokes
from takeoff.recognise.walls.furniture import (
    closed_part,
    free_shapes,
    wares,
    with_doubts,
    without_free_curves,
    without_placed,
    without_things,
)
from takeoff.recognise.walls.inferred_layers import (
    by_pens,
    columns_unsaid,
    drawn_mm,
    infer,
    inferred_finding,
    rooms_walled,
    with_columns_filled,
    with_partitions,
    with_walls_on_glass,
    worth_of,
)
from takeoff.recognise.walls.layer_roles import NO_WALLS, LayerGuess, guess
from takeoff.recognise.walls.lettered_figures import lettered_figures
from takeoff.recognise.walls.line_styles import left_out, standing
from takeoff.recognise.walls.lines_through import section_lines, without_axes
from takeoff.recognise.walls.opening_evidence import (
    Evidence,
    gather,
    swings,
    with_doors,
    with_quarters,
    with_whole_swings,
    with_windows,
)
from takeoff.recognise.walls.room_outlines import MOST_CORNERS, room_outlines
from takeoff.recognise.walls.room_spaces import NAMED_SHARE
from takeoff.recognise.walls.wall_reading import Reading, necks_of, read_walls

Bools = NDArray[np.bool_]
Floats = NDArray[np.float64]
Progress = Callable[[float, str], None]

DEFAULTS = Settings()
LEAST_LINES = 3
"""Fewer lines enclose nothing."""
TRIED = mark("only those on layers of walls were tried")
PENS_TRIED = mark("only those drawn with heavier pens were tried")
UNTRIED = mark("no rooms were sought among them")
UNLIKENED = mark("the look of their layers was not weighed")
MOST_EDGES = 60_000
"""Where the lines cut each other into more pieces, one choice of walls is read and no other tried."""
GOOD, BETTER = 0.8, 0.05
"""A reading that holds this part of the room words is taken at once; a later one must hold this
much more than an earlier one to be preferred."""
FEW_ROOMS, MUCH = 2.0, 1.5
"""Where layers say which lines are walls and these wall in so many rooms, other lines must wall in so many times as
many: drawings are full of words that lie in something closed."""
ENOUGH_ROOMS = 6
"""Where other lines wall in so many rooms, as a flat has, those of layers that bound nothing are not tried with them;
where fewer, they must wall in so many times as many as above: numbers of fittings lie among their own lines."""
MOST_WORDS = 4
"""A room has its name, its number, its area and its height: what holds more words is rather several rooms."""
APART_MM, MOST_STEPS, LESSER = 1500.0, 1000, 0.25
"""Lines nearer than the first lie together; what takes less than the last part of the ground of the largest such
group is no plan of its own."""
CLOSED_OUTLINES = 0.9
"""Outlines of rooms are closed in this part of their length; walls drawn as axes end at doors and on each other."""
PLAINER = 0.75
"""With so much of what another choice of walls has drawn, and as many rooms, a choice is plainer."""
NAMED_MOSTLY = 0.5
"""Where fewer of the spaces have a name or an area, rooms that are named do not tell which walls are right."""
MOST_TIMES = 3
"""Where furniture is left out, more of it may be told from walls, so often."""
SAID = 0.6
"""Where layers say which lines are walls, so much will do: balconies and titles have no walls round them, and
among all other lines every word lies in something closed."""


def propose(
    drawing: Drawing, settings: Settings = DEFAULTS, progress: Progress | None = None
) -> tuple[Job, tuple[Finding, ...]]:
    """The rooms and openings that a drawing in mm shows, as a job, and what to look at.

    Nothing is invented: what is not closed by drawn lines or confirmed gaps is marked *check* or
    *question*; labels that lie in no room are a finding. A drawing without usable linework gives
    a job without rooms and a finding that says so. ``progress`` is told (share, what); it may
    raise, and what it raises is passed on (Cancelled).
    """
    return proposal(drawing, settings, progress)[:2]


class Proposal(NamedTuple):
    """A proposed job, what to look at, and what each layer was taken for."""

    job: Job
    findings: tuple[Finding, ...]
    guesses: tuple[LayerGuess, ...]


def proposal(drawing: Drawing, settings: Settings = DEFAULTS, progress: Progress | None = None) -> Proposal:
    """What ``propose`` gives, and what each layer was taken for, judged by its looks too."""
    tell = progress or _silent
    drawing = coloured(drawing)
    seen = look(drawing, settings, tell)
    tell(0.6, tr("Naming rooms and openings"))
    job, found = assemble(drawing, settings, seen.reading, seen.evidence, seen.words, seen.sheet)
    job = with_stairs(job, seen.lines)
    more = (*overhead(drawing, seen.guesses, job), *left_out(drawing, seen.guesses))
    return Proposal(job, (*found, *more, *inferred_finding(seen.guesses), *seen.unsaid), seen.guesses)


class Seen(NamedTuple):
    """What was read of a drawing before it is made into rooms: what its walls enclose (None where no
    lines are left to read), the evidence for openings, the words with their places, and what each
    layer was taken for, which layers were left out that may be columns, and every line as layers have it."""

    reading: Reading | None
    evidence: Evidence
    words: list[Placed]
    guesses: tuple[LayerGuess, ...]
    unsaid: tuple[Finding, ...]
    sheet: SheetWords
    lines: Lines


class Prepared(NamedTuple):
    """A drawing ready to be read: each layer's role, what the sheet says of itself, the lines as layers
    have them and with windows among them, the words with their places, closed polylines that may be
    walls, and whether its lines, but for those that layers say bound nothing, are beyond counting: only those
    that layers call walls are tried then."""

    drawing: Drawing
    guesses: tuple[LayerGuess, ...]
    sheet: SheetWords
    layered: Lines
    lines: Lines
    words: list[Placed]
    loops: NDArray[np.object_]
    beyond: bool


def prepared(drawing: Drawing, settings: Settings) -> Prepared:
    """The first stage: linework sorted by what layers are for, and what is written."""
    drawing = with_whole_swings(with_quarters(with_faces(with_stroked_walls(standing(drawing, settings.layer_roles)))))
    drawing = with_both_ways(with_rounds(drawing))
    guesses = guess(drawing, settings.layers, settings.layer_roles)
    asked = Asked()
    layered = with_walls_on_glass(with_partitions(with_doors(_prepared(drawing, guesses, asked))))
    layered = without_placed(drawing, layered)
    beyond = asked.laborious(_tried(layered))
    for plainer in (partial(without_free_curves, drawing), partial(without_things, drawing), without_letters):
        if beyond:
            layered = plainer(layered)
            beyond = laborious(_tried(layered))
    layered = drawn_once(layered)
    lines = layered if beyond and tangled(_tried(layered)) else with_windows(layered)
    sheet = sheet_words(drawing)
    words = placed(drawing, lines.origin, guesses, sheet.rows)
    return Prepared(drawing, guesses, sheet, layered, lines, words, _wall_loops(drawing, guesses, lines), beyond)


def _prepared(drawing: Drawing, guesses: tuple[LayerGuess, ...], asked: Asked) -> Lines:
    lines = prepare(drawing, guesses)
    if asked.laborious(_tried(lines)):
        # Some programs print every line two or three times, and what lies on itself crosses itself all along.
        lines = drawn_once(lines)
    lines = with_filled_pieces(drawing, lines)
    return with_columns_filled(drawing, without_crosses(without_axes(without_ticks(without_strokes(lines, asked)))))


def _tried(lines: Lines) -> Floats:
    """The lines (n, 4) that may be tried as walls."""
    return lines.xy[shown_lines(lines) & ~is_role(lines, *NO_WALLS)]


def shown_lines(lines: Lines) -> Bools:
    """Which lines are drawn through, by hand, and on layers that are on."""
    return ~lines.dashed & ~lines.hatch & ~lines.hidden


def look(drawing: Drawing, settings: Settings = DEFAULTS, progress: Progress | None = None) -> Seen:
    """What the walls of a drawing in mm enclose."""
    tell = progress or _silent
    tell(0.0, tr("Sorting linework"))
    ready = prepared(drawing, settings)
    drawing, guesses, lines = ready.drawing, ready.guesses, ready.lines
    tell(0.1, tr("Looking for doors and windows"))

    def read(tried: Lines, pure: bool) -> Reading:
        tell(0.2, tr("Closing walls"))
        found, leaf = swings(tried)
        walls = shown_lines(tried) & is_role(tried, "wall", "column") & ~leaf
        return _read_chosen(ready, tried, walls, pure, gather(drawing, tried, found))

    found, leaf = swings(lines)
    leaf &= ~stroked(drawing, lines)
    evidence = gather(drawing, lines, found)
    tell(0.2, tr("Closing walls"))
    reading, weighed = _best_reading(ready, evidence, leaf, tell)
    heavy = reading is not None and _heavy(reading)
    if not ready.beyond and not heavy and not (weighed and reading is not None and _hardly_named(reading)):
        most_mm = PLAINER * drawn_mm(reading) if weighed and reading is not None else math.inf
        told, inferred = infer(ready.layered, guesses, read, reading, most_mm)
        if weighed and inferred is not None and not _plainer(inferred, reading):
            inferred = None
        if inferred is not None or not weighed:
            guesses = told
        if inferred is not None:
            reading, lines = inferred, drawn_once(with_partitions(with_doors(_prepared(drawing, guesses, Asked()))))
            evidence = gather(drawing, lines, swings(lines)[0])
    if reading is not None and not _heavy(reading) and not reading.outlined:
        ready, reading = _without_tables(ready, reading, evidence)
        ready, reading = _without_symbols(ready, reading, evidence)
        reading = _finished(ready, reading, evidence)
    unsaid: tuple[Finding, ...]
    # What layers call furniture is tried last, and not at all where it is beyond counting.
    untried = ready.beyond or (reading is None and laborious(ready.layered.xy[shown_lines(ready.layered)]))
    if untried or (heavy and not weighed):
        by_choice = PENS_TRIED if weighed else TRIED
        tried = UNTRIED if reading is None else by_choice if ready.beyond else UNLIKENED
        unsaid = (
            noticed("lines-beyond-counting", lines=number(int(shown_lines(ready.layered).sum())), done=tr(tried)),
        )
    else:
        unsaid = columns_unsaid(ready.layered, guesses)
    return Seen(reading, evidence, ready.words, guesses, unsaid, ready.sheet, ready.layered)


def _hardly_named(reading: Reading) -> bool:
    """Whether words name too few of the spaces to say which walls are the better ones."""
    named = sum(any(reading.words[w].words.kind in ("name", "area") for w in s.words) for s in reading.spaces)
    return named < NAMED_MOSTLY * len(reading.spaces)


def _plainer(reading: Reading, other: Reading | None) -> bool:
    """Whether a reading walls in its rooms with clearly less drawn than another one does: heavy pens draw furniture and
    plants too, and of two ways to tell walls that give the rooms the one that needs fewer lines is theirs."""
    return other is None or drawn_mm(reading) <= PLAINER * drawn_mm(other)


def _heavy(reading: Reading) -> bool:
    return len(reading.faces.graph.edges) > MOST_EDGES


def _silent(share: float, what: str) -> None:
    del share, what


def wall_choices(lines: Lines) -> list[tuple[Bools, bool]]:
    """(which lines are walls, whether their layers say so), the likeliest first."""
    usable = ~lines.dashed & ~lines.hatch
    shown = usable & ~lines.hidden if (usable & ~lines.hidden).any() else usable
    named = shown & is_role(lines, "wall", "column")
    unknown = shown & is_role(lines, "unknown")
    # Walls that are nothing but hatches: their borders, where lines alone enclose nothing.
    bodies = ~lines.dashed & ~lines.hidden & lines.hatch & is_role(lines, "wall", "column", "unknown", "hatch")
    rest = shown & ~is_role(
        lines,
        "text",
        "dimension",
        "frame",
        "grid",
        "hatch",
        "furniture",
        "demolished",
        "door",
        "glazing",
        "site",
        "service",
    )
    outlines = shown & is_role(lines, "area")
    ended_on = _ended_on(lines, outlines, unknown)
    if ended_on.any() and not (shown & is_role(lines, "wall")).any():
        # Nobody draws outlines of rooms that another layer closes, but the axes of walls.
        named = shown & is_role(lines, "area", "column") | ended_on
    choices: list[tuple[Bools, bool]] = []
    last = shown & ~is_role(lines, "text", "dimension", "demolished", "frame", "hatch")
    for chosen, by_layer in (
        (named, True),
        (named | unknown, False),
        (outlines, True),
        (rest, False),
        (bodies | named, True),
        (last, False),
    ):
        if chosen.sum() >= LEAST_LINES and not any(np.array_equal(chosen, c) for c, _ in choices):
            choices.append((chosen, by_layer))
    return choices


END_ON_MM = 10.0
MOST_ENDED = 0.5
"""Where this part of the outlines' loose ends lies on lines of another layer, that layer closes them."""


def _ended_on(lines: Lines, outlines: Bools, unknown: Bools) -> Bools:
    """The lines of those layers that say nothing on which most loose ends of outlines of rooms lie: the
    outlines are drawn once for both their sides and end on each other, and outmost on the house's."""
    found = np.zeros(len(outlines), bool)
    rows = np.flatnonzero(outlines)
    if not len(rows) or not unknown.any():
        return found
    ends = shapely.points(lines.xy[rows].reshape(-1, 2))
    near, _at = shapely.STRtree(ends).query(ends, predicate="dwithin", distance=END_ON_MM)
    loose = ends[np.bincount(near, minlength=len(ends)) == 1]
    on, _own = shapely.STRtree(shapely.linestrings(lines.xy[rows].reshape(-1, 2, 2))).query(
        loose, predicate="dwithin", distance=END_ON_MM
    )
    loose = loose[np.bincount(on, minlength=len(loose)) == 1]
    for layer in np.unique(lines.layer[unknown]).tolist():
        drawn = shapely.multilinestrings(lines.xy[unknown & (lines.layer == layer)].reshape(-1, 2, 2))
        if len(loose) and shapely.dwithin(loose, drawn, END_ON_MM).mean() >= MOST_ENDED:
            found |= unknown & (lines.layer == layer)
    return found


def _best_reading(ready: Prepared, evidence: Evidence, leaf: Bools, tell: Progress) -> tuple[Reading | None, bool]:
    """(the reading that names most rooms, whether the weight of its pens chose it)"""
    lines, words, loops = ready.lines, ready.words, ready.loops
    best = by_pens(
        ready.drawing,
        lines,
        lambda walls: read_walls(lines, walls & ~leaf, False, evidence, words, loops),
        ready.beyond,
    )
    if best is not None:
        return best, True
    outlined = None if ready.beyond else _outlined(ready, evidence, leaf)
    best_score = -1.0
    for k, (walls, by_layer) in enumerate(wall_choices(lines)):
        tell(0.25 + 0.07 * k, tr("Closing walls"))
        own = walls & ~leaf
        if ready.beyond and (not by_layer or tangled(lines.xy[own | is_role(lines, "glazing")])):
            continue
        if not by_layer and laborious(lines.xy[own]):
            continue
        # Everything with words in it lies in something closed among furniture, wires and frames.
        bare = 0 if best is None or not is_role(lines.pick(own), *NO_WALLS).any() else rooms_walled(best)
        if bare >= ENOUGH_ROOMS:
            continue
        reading = _read_chosen(ready, lines, own, by_layer, evidence)
        score = _score(reading)
        said = best is not None and best.wall_layers and not by_layer
        if bare and rooms_walled(reading) < MUCH * bare:
            continue
        if said and best is not None and worth_of(best) >= FEW_ROOMS and worth_of(reading) < MUCH * worth_of(best):
            continue
        if score > best_score + BETTER:
            best, best_score = reading, score
        if best_score >= (SAID if best is not None and best.wall_layers else GOOD) or _heavy(reading):
            break
    if outlined is not None and (best is None or len(outlined.spaces) > rooms_walled(best)):
        return outlined, False
    return best, False


def _outlined(ready: Prepared, evidence: Evidence, leaf: Bools) -> Reading | None:
    """What outlines of rooms enclose where they are all that tells rooms: closed ones, two or more, on layers that say
    so, where no layer says what is wall."""
    lines = ready.lines
    outlines = shown_lines(lines) & is_role(lines, "area") & ~leaf
    if is_role(lines, "wall").any() or not outlines.any() or closed_part(lines.xy[outlines]) < CLOSED_OUTLINES:
        return None
    closed = room_outlines(ready.drawing, ready.guesses, lines)
    reading = read_walls(lines, outlines, True, evidence, ready.words, ready.loops, (), closed)
    return reading if len(reading.spaces) > 1 else None


def _read_chosen(ready: Prepared, lines: Lines, walls: Bools, pure: bool, evidence: Evidence) -> Reading:
    """What lines that were chosen for walls enclose. ``pure``: nothing else is drawn on their layers than walls, and
    the treads and wares that many drawings have there; else furniture is looked for among them."""
    out = treads(lines, walls) | stair_marks(lines, walls, evidence.flights)
    out |= section_lines(lines, walls, out)
    out |= wares(lines, walls) if pure else free_shapes(lines, walls & ~out, places(of_rooms(ready.words)))
    reading = read_walls(lines, walls & ~out, pure, evidence, ready.words, ready.loops)
    if pure:
        return reading
    return reading._replace(spaces=with_doubts(reading.spaces, lines, walls, out), out=out)


def _without_tables(ready: Prepared, reading: Reading, evidence: Evidence) -> tuple[Prepared, Reading]:
    """Both without the lines and the words of tables beside the plan; the same ones where there are none."""
    found = tables(reading, ready.words)
    count = int(reading.walls.sum())
    if not found.lines[:count].any() or found.lines[:count].all():
        return ready, reading
    ready = ready._replace(words=not_of_rooms(ready.words, found.words))
    walls = reading.walls.copy()
    walls[np.flatnonzero(walls)[found.lines[:count]]] = False
    bare = _read_chosen(ready, reading.drawn, walls, reading.wall_layers, evidence)
    return (ready, bare) if bare.spaces else (ready, reading)


def _without_symbols(ready: Prepared, reading: Reading, evidence: Evidence) -> tuple[Prepared, Reading]:
    """Both without figures that have letters in them, and without these letters; the same ones where there are none."""
    found = lettered_figures(reading, ready.words)
    count = int(reading.walls.sum())
    if not found.lines[:count].any():
        return ready, reading
    ready = ready._replace(words=not_of_rooms(ready.words, found.words))
    walls = reading.walls.copy()
    walls[np.flatnonzero(walls)[found.lines[:count]]] = False
    bare = read_walls(reading.drawn, walls, reading.wall_layers, evidence, ready.words, ready.loops)
    return ready, bare._replace(out=reading.out)


def _finished(ready: Prepared, reading: Reading, evidence: Evidence) -> Reading:
    """The reading without the lines of what stands along its walls, and with the ways between its rooms closed that
    no wall end looks across; the same one where there is neither."""
    bare, lines, places = reading, reading.drawn, []
    for _ in range(MOST_TIMES):
        stands = fittings(bare)
        gone = np.zeros(len(lines.xy), bool)
        gone[np.flatnonzero(bare.walls)[stands.lines[: int(bare.walls.sum())]]] = True
        if not gone.any():
            break
        places += stands.places
        bare = read_walls(lines, bare.walls & ~gone, bare.wall_layers, evidence, ready.words, ready.loops)
    necks = necks_of(bare, evidence, ready.words)
    if not places and not necks:
        return reading
    if necks:
        bare = read_walls(lines, bare.walls, bare.wall_layers, evidence, ready.words, ready.loops, necks)
    spaces = bare.spaces
    if reading.out is not None:
        spaces = with_doubts(spaces, lines, reading.walls | reading.out, reading.out)
    return bare._replace(spaces=with_fitting_doubts(spaces, places), out=reading.out)


def _wall_loops(drawing: Drawing, guesses: tuple[LayerGuess, ...], lines: Lines) -> NDArray[np.object_]:
    """The closed polylines on wall and column layers, or on layers that say nothing."""
    roles = [g.role for g in guesses]
    x, y = lines.origin
    loops = [
        [(vx - x, vy - y) for vx, vy, _ in loop.vertices]
        for loop in drawing.loops
        if loop.role == "line" and roles[loop.layer] in ("wall", "column", "unknown")
    ]
    return np.array([shapely.Polygon(ring) for ring in loops if 2 < len(ring) <= MOST_CORNERS] or [], dtype=object)


def _score(reading: Reading) -> float:
    """Which part of the room words between the walls lie in spaces; where they are too few to be the rooms'
    names, whether there are spaces."""
    if not reading.words:
        return 1.0 if reading.spaces else 0.0
    within = words_at_houses(reading.words, reading.lines.xy)
    if within < NAMED_SHARE * len(reading.spaces) or not within:
        return 1.0 if reading.spaces else 0.0
    named = sum(min(len(s.words), MOST_WORDS) for s in reading.spaces)
    return named / within


def words_at_houses(words: list[Placed], xy: Floats) -> int:
    """How many of the words lie within the houses that lines (n, 4) draw, or half of ``APART_MM`` beside them."""
    at = shapely.points(np.array([(w.x, w.y) for w in words]).reshape(-1, 2))
    # Each house by itself: lines strewn far apart give tens of thousands of hulls, whose union takes minutes.
    of_word, _house = shapely.STRtree(_houses(xy)).query(at, predicate="dwithin", distance=APART_MM / 2)
    return len(np.unique(of_word))


def _houses(xy: Floats) -> list[shapely.Geometry]:
    """The hulls of what lies together among lines (n, 4), but for what is much smaller than the largest: samples of
    walls in a legend, details."""
    count = np.clip(np.hypot(*(xy[:, 2:] - xy[:, :2]).T) / APART_MM, 1, MOST_STEPS).astype(np.int64) + 1
    row = np.repeat(np.arange(len(xy)), count + 1)
    step = np.arange(len(row)) - np.repeat(np.cumsum(count + 1) - count - 1, count + 1)
    part = (step / count[row])[:, None]
    cells = np.unique(np.round((xy[row, :2] * (1 - part) + xy[row, 2:] * part) / APART_MM), axis=0)
    points = shapely.points(cells)
    label = components(len(cells), *shapely.STRtree(points).query(points, predicate="dwithin", distance=1.5))
    order = np.argsort(label, kind="stable")
    ends = np.flatnonzero(np.diff(label[order])) + 1
    hulls = [shapely.multipoints(group * APART_MM).convex_hull for group in np.split(cells[order], ends)]
    largest = max((float(h.area) for h in hulls), default=0.0)
    return [h for h in hulls if h.area >= LESSER * largest]
