"""How chosen wall faces, rooms and corners are coated, as their pages show it: what they have in common."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Sequence
from typing import Literal, TypeVar

import msgspec

from takeoff.language import listed, mark, tr, tr_count
from takeoff.measure.takeoff import Edge
from takeoff.plan import edits
from takeoff.plan.model import Exclusion, Job, OpeningId, Reveal, Room, RoomId, Side, SideId, WallTreatment
from takeoff.plan.shape import curves_by_id
from takeoff.plan.surface_ids import reveal_of
from takeoff.sheets.wall_names import wall_letters
from takeoff.units.printing import fmt2, shown
from takeoff.views.board import State
from takeoff.views.naming import labels, place_of
from takeoff.views.outside_walls import Unknown

T = TypeVar("T")
Named = tuple[str, str]
"""(room, side)"""

Coat = Literal["whole", "part", "none"]


class Shared(msgspec.Struct, frozen=True):
    """A length that several things have: ``mixed`` where not all have the same."""

    mm: float | None = None
    mixed: bool = False


class Outline(msgspec.Struct, frozen=True):
    """A part of a face that is left out: its words, and where it is found again."""

    room: str
    id: str
    words: str


class FacesView(msgspec.Struct, frozen=True):
    """Chosen faces. Left and right as one stands before them; ``behind`` "" where nobody said."""

    title: str
    about: str
    coat: Coat | None
    left: Shared
    right: Shared
    skirting: Shared
    coving: Shared
    dado_from: Shared
    dado_to: Shared
    behind: str | None
    outlines: tuple[Outline, ...]
    length_mm: float
    substrate: str | None = ""
    """What they are of by their own word, "" by the room's or the job's; None where not the same for all."""


def faces_view(state: State, chosen: Sequence[Named]) -> FacesView | None:
    """What these faces have in common; None where none of them is there."""
    found = [(room, side) for name in chosen for room, side in _face(state.job, name)]
    if not found:
        return None
    coats = [side.treatment or room.walls for room, side in found]
    names = labels(state.job)
    rooms = {label for (_, room), label in names.items() if room in {str(r.id) for r, _ in found}}
    room, side = found[-1]
    title = (
        tr("Wall {letter}", letter=wall_letters(room)[str(side.id)])
        if len(found) == 1
        else tr_count("{count} wall", "{count} walls", len(found))
    )
    said = [_said(side) for _, side in found]
    return FacesView(
        title,
        "" if len(found) == 1 else ", ".join(sorted(rooms)),
        _same([_coat(c) for c in coats]),
        _shared(c.end_mm if c.coat else None for c in coats),
        _shared(c.start_mm if c.coat else None for c in coats),
        _band(coats, "bottom", "skirting"),
        _band(coats, "top", "coving"),
        _shared(_dado(c)[0] for c in coats),
        _shared(_dado(c)[1] for c in coats),
        _same(said),
        _outlines(found),
        max(_length(r, s.id) for r, s in found),
        _same([c.substrate for c in coats]),
    )


def _face(job: Job, name: Named) -> Iterable[tuple[Room, Side]]:
    place = place_of(job, name[0])
    if place is not None:
        yield from ((place[1], side) for side in place[1].sides if side.id == name[1])


def _length(room: Room, side: SideId) -> float:
    return curves_by_id(room)[side].length


def _coat(coat: WallTreatment) -> Coat:
    if not coat.coat:
        return "none"
    return "whole" if coat.is_whole else "part"


def _band(coats: Sequence[WallTreatment], edge: str, what: str) -> Shared:
    heights = (next((b.to_mm for b in c.bands if (b.edge, b.what) == (edge, what)), None) for c in coats)
    return _shared(heights)


def _dado(coat: WallTreatment) -> tuple[float | None, float | None]:
    band = next((b for b in coat.bands if b.what == "dado"), None)
    return (band.from_mm, band.to_mm) if band else (None, None)


def _said(side: Side) -> str:
    """What the user said of the whole side; "" for nothing, "part" for stretches."""
    if not side.behind:
        return ""
    classes = {b.cls for b in side.behind}
    whole = len(side.behind) == 1 and side.behind[0].from_mm == 0 and side.behind[0].to_mm is None
    return classes.pop() if len(classes) == 1 and whole else "part"


def _outlines(found: Sequence[tuple[Room, Side]]) -> tuple[Outline, ...]:
    out = []
    for room, side in found:
        length = _length(room, side.id)
        for exclusion in (side.treatment or room.walls).exclusions:
            out.append(Outline(str(room.id), exclusion.id, _outline_words(exclusion, length)))
    return tuple(dict.fromkeys(out))


def _outline_words(exclusion: Exclusion, length_mm: float) -> str:
    """ "tiles 1.00 × 0.60, 0.40 from the left, 0.90 up"."""
    us, zs = [v[0] for v in exclusion.outline], [v[1] for v in exclusion.outline]
    size = f"{fmt2((max(us) - min(us)) / 1000.0)} × {fmt2((max(zs) - min(zs)) / 1000.0)}"
    return tr(
        "{what} {size}, {left} from the left, {up} up",
        what=tr(exclusion.what) if exclusion.what else tr("masked"),
        size=size,
        left=shown((length_mm - max(us)) / 1000.0),
        up=shown(min(zs) / 1000.0),
    )


def exclusion_on(
    state: State, face: Named, left_mm: float, width_mm: float, up_mm: float, height_mm: float, what: str
) -> Exclusion:
    """A rectangle on a face as one stands before it, with an id that is free in its room."""
    room = edits.room_of(state.job, RoomId(face[0]))
    length = _length(room, SideId(face[1]))
    u0, u1 = length - left_mm - width_mm, length - left_mm
    ring = ((u0, up_mm), (u1, up_mm), (u1, up_mm + height_mm), (u0, up_mm + height_mm))
    return Exclusion(id=edits.new_exclusion_id(room), outline=tuple((u, z, 0.0) for u, z in ring), what=what)


def whole_walls(state: State, faces: Sequence[Named]) -> tuple[Unknown, ...]:
    """These faces over their whole length, to say what lies behind them."""
    found = []
    for name in faces:
        for room, side in _face(state.job, name):
            length = _length(room, side.id)
            found.append(Unknown(room.id, side.id, "", "", ((0.0, length),)))
    return tuple(found)


class RoomsView(msgspec.Struct, frozen=True):
    """Chosen rooms: what of them is coated; None where some of it is."""

    title: str
    walls: bool | None
    ceiling: bool | None
    reveals: bool | None
    has_reveals: bool
    skirting: Shared
    coving: Shared
    band: Shared
    above: str | None
    """What lies above their ceilings; None where not the same for all."""
    outlines: tuple[Outline, ...]
    """Parts of the ceilings that are left out."""
    walls_on: str | None = ""
    ceiling_on: str | None = ""
    """What walls and ceilings are of by the rooms' own word, "" by the job's; None where not the same for all."""


def rooms_view(state: State, rooms: Sequence[str]) -> RoomsView | None:
    """What these rooms have in common; None where none of them is there."""
    found = [room for storey in state.job.storeys for room in storey.rooms if room.id in rooms]
    if not found:
        return None
    names = {room: label for (_, room), label in labels(state.job).items()}
    title = names[str(found[0].id)] if len(found) == 1 else tr_count("{count} room", "{count} rooms", len(found))
    sides = [(r, s) for r in found for s in r.sides if s.id in edits.all_sides(r)]
    coats = [side.treatment or room.walls for room, side in sides]
    ceilings = [
        None if room.ceiling_treatment.coat and room.ceiling_treatment.only else room.ceiling_treatment.coat
        for room in found
    ]
    strips = _strips_of(state, [str(room.id) for room in found])
    return RoomsView(
        title,
        _all({None if _coat(c) == "part" else c.coat for c in coats}),
        _all(set(ceilings)),
        _all(set(strips)) if strips else False,
        bool(strips),
        _band(coats, "bottom", "skirting"),
        _band(coats, "top", "coving"),
        _shared(r.ceiling_treatment.only[0].width_mm if r.ceiling_treatment.only else None for r in found),
        _same([room.above for room in found]),
        tuple(_of_ceiling(r, e) for r in found for e in r.ceiling_treatment.exclusions),
        _same([room.walls.substrate for room in found]),
        _same([room.ceiling_treatment.substrate for room in found]),
    )


def _of_ceiling(room: Room, exclusion: Exclusion) -> Outline:
    """ "ceiling, masked 1.20 × 0.60" by the lengths of the first two sides."""
    a, b, c = (vertex[:2] for vertex in exclusion.outline[:3])
    size = f"{fmt2(math.dist(a, b) / 1000.0)} × {fmt2(math.dist(b, c) / 1000.0)}"
    return Outline(
        str(room.id),
        exclusion.id,
        tr("ceiling, {what} {size}", what=tr(exclusion.what) if exclusion.what else tr("masked"), size=size),
    )


def _strips_of(state: State, rooms: Collection[str]) -> list[bool]:
    """Whether each jamb and head of the rooms' reveals is to be coated. Sills seldom go with the rest;
    what has no depth is no reveal, but for open ways, whose strips span the wall."""
    openings = {o.id: o for storey in state.job.storeys for o in storey.openings}
    found = []
    for name, beyond in reveals_of(state, rooms):
        opening = openings[name]
        reveal = (opening.reveal_beyond or Reveal()) if beyond else opening.reveal
        found += [
            strip.coat
            for strip in (reveal.start, reveal.end, reveal.head)
            if strip.depth_mm > 0 or (opening.kind == "open" and not beyond)
        ]
    return found


def reveals_of(state: State, rooms: Collection[str]) -> frozenset[tuple[OpeningId, bool]]:
    """(opening, whether beyond the wall) of every reveal that belongs to these rooms."""
    found = set()
    for name in rooms:
        board = state.room(name)
        for hole in board.taken.holes if board else ():
            found.add((OpeningId(hole.opening), reveal_of(hole.strips)[1]))
    return frozenset(found)


def _all(states: set[bool | None]) -> bool | None:
    return states.pop() if len(states) == 1 else None


def _shared(lengths: Iterable[float | None]) -> Shared:
    every = set(lengths)
    return Shared(every.pop()) if len(every) == 1 else Shared(None, bool(every))


def _same(keys: Sequence[T]) -> T | None:
    return keys[0] if len(set(keys)) == 1 else None


Group = Literal["external", "room", "opening", "open", "coat_edge", "internal"]
GROUPS: tuple[tuple[Group, str], ...] = (
    ("external", mark("External corners")),
    ("room", mark("Wall corners")),
    ("opening", mark("Corners round openings")),
    ("open", mark("Open stop edges")),
    ("coat_edge", mark("All stop edges")),
    ("internal", mark("Internal corners")),
)

BEADS = (("new", mark("New bead")), ("existing", mark("Existing bead kept")), ("none", mark("No bead")))
FINISHES = (("feather", mark("Feathered")), ("trim", mark("Stop bead")), ("stop", mark("Cut square")))

_CORNERS = {
    ("external", "room"): mark("External corner of walls"),
    ("external", "opening"): mark("External corner round an opening"),
    ("external", "drop"): mark("External corner of a bulkhead or boxing"),
    ("external", "ceiling"): mark("External corner of the ceiling"),
    ("external", "low"): mark("External corner of a dwarf wall"),
    ("internal", "wall_wall"): mark("Internal corner of two walls"),
    ("internal", "wall_ceiling"): mark("Internal corner of wall and ceiling"),
    ("internal", "ceiling"): mark("Internal corner of the ceiling"),
    ("internal", "drop"): mark("Internal corner of a bulkhead or boxing"),
    ("internal", "reveal"): mark("Internal corner in a reveal"),
    ("coat_edge", "open"): mark("Open stop edge"),
    ("coat_edge", "against"): mark("Stop edge against what is kept or masked"),
    ("coat_edge", "corner"): mark("Stop edge in a corner with a surface not coated"),
}
"""By class and kind of an edge of the takeoff."""
_CLASSES = {"external": mark("External corner"), "internal": mark("Internal corner"), "coat_edge": mark("Stop edge")}

_PROFILES = {"square": mark("square"), "wide": mark("wide"), "narrow": mark("narrow"), "flexible": mark("flexible")}

NamedCorner = tuple[str, str]
"""(room, corner id in the result)"""


class CornersView(msgspec.Struct, frozen=True):
    """Chosen corners. ``bead`` and ``finish``: what all that can have one get, None for several kinds;
    "" in ``picked_…`` where all follow the job."""

    title: str
    about: str
    count: int
    has_bead: bool
    has_finish: bool
    bead: str | None
    finish: str | None
    is_picked: bool


def corners_view(state: State, chosen: Sequence[NamedCorner]) -> CornersView | None:
    """What is said of these corners; None where none of them is there any more."""
    wanted = set(chosen)
    owners = dict.fromkeys(room for room, _ in chosen)
    edges = [edge for room, edge in _edges(state, owners) if (room, edge.id) in wanted]
    if not edges:
        return None
    kinds: dict[str, list[Edge]] = {}
    for edge in edges:
        kinds.setdefault(_corner_name(edge), []).append(edge)
    beads = {edge.bead for edge in edges if edge.cls == "external"}
    finishes = {edge.finish for edge in edges if edge.ends == "open"}
    picks = {
        (str(room.id), pick.corner) for storey in state.job.storeys for room in storey.rooms for pick in room.corners
    }
    if len(kinds) == 1:
        ((name, own),) = kinds.items()
        title = name if len(own) == 1 else f"{len(own)} × {name}"
    else:
        title = tr_count("{count} corner", "{count} corners", len(edges))
    return CornersView(
        title,
        _corners_about(kinds),
        len(edges),
        bool(beads),
        bool(finishes),
        _one(beads),
        _one(finishes),
        not wanted.isdisjoint(picks),
    )


def _corners_about(kinds: dict[str, list[Edge]]) -> str:
    """ "2.23 m, square profile" of one kind; of several a line each with count and length."""
    said = []
    for name, edges in kinds.items():
        length = f"{fmt2(sum(edge.length_m for edge in edges))} m"
        profiles = sorted({edge.profile for edge in edges if edge.profile})
        if len(kinds) > 1:
            said.append(f"{len(edges)} × {name}, {length}")
        elif profiles:
            named = listed([tr(_PROFILES.get(profile, profile)) for profile in profiles])
            said.append(tr("{length}, {profiles} profile", length=length, profiles=named))
        else:
            said.append(length)
    return "\n".join(said)


def _corner_name(edge: Edge) -> str:
    return tr(_CORNERS.get((edge.cls, edge.family_kind)) or _CLASSES.get(edge.cls, edge.cls))


def _one(found: Collection[str]) -> str | None:
    return next(iter(found)) if len(found) == 1 else None


def corner_group(state: State, rooms: Collection[str], group: Group) -> tuple[NamedCorner, ...]:
    """Every corner of a group in these rooms, in the result's order."""
    return tuple((room, edge.id) for room, edge in _edges(state, rooms) if _is_in(edge, group))


def _is_in(edge: Edge, group: Group) -> bool:
    if group in ("room", "opening"):
        return edge.cls == "external" and edge.kind == group
    return edge.ends == "open" if group == "open" else edge.cls == group


def _edges(state: State, rooms: Collection[str]) -> Iterator[tuple[str, Edge]]:
    """(room, edge) of every edge of these rooms."""
    boards = {room: board for (_, room), board in state.rooms.items()} if len(rooms) > 1 else {}
    for room in rooms:
        board = boards.get(room) if boards else state.room(room)
        for edge in board.taken.edges if board else ():
            yield room, edge
