"""What is said of chosen corners and coat edges, and groups of them to choose at once."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from typing import Literal

import msgspec

from takeoff.measure.takeoff import Edge
from takeoff.units.printing import fmt2
from takeoff.views.board import State

Group = Literal["external", "room", "opening", "coat_edge", "internal"]
GROUPS: tuple[tuple[Group, str], ...] = (
    ("external", "External corners"),
    ("room", "Wall corners only"),
    ("opening", "Round openings only"),
    ("coat_edge", "Coat edges"),
    ("internal", "Internal corners"),
)

BEADS = (("new", "New bead"), ("existing", "Bead is there"), ("none", "No bead"))
FINISHES = (("feather", "Feathered out"), ("trim", "Trimmed with a profile"), ("stop", "Stopped square"))

_CLASSES = {"external": "external corner", "internal": "internal corner", "coat_edge": "coat edge"}
_KINDS = {
    ("external", "room"): "of walls",
    ("external", "opening"): "round an opening",
    ("external", "drop"): "at a drop",
    ("external", "ceiling"): "of the ceiling",
    ("external", "low"): "low down",
    ("internal", "wall_wall"): "of two walls",
    ("internal", "wall_ceiling"): "of wall and ceiling",
    ("internal", "ceiling"): "of the ceiling",
    ("internal", "drop"): "at a drop",
    ("internal", "reveal"): "in a reveal",
}

Named = tuple[str, str]
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


def corners_view(state: State, chosen: Sequence[Named]) -> CornersView | None:
    """What is said of these corners; None where none of them is there any more."""
    wanted = set(chosen)
    owners = dict.fromkeys(room for room, _ in chosen)
    edges = [edge for room, edge in _edges(state, owners) if (room, edge.id) in wanted]
    if not edges:
        return None
    kinds: dict[str, list[Edge]] = {}
    for edge in edges:
        kinds.setdefault(_name(edge), []).append(edge)
    beads = {edge.bead for edge in edges if edge.cls == "external"}
    finishes = {edge.finish for edge in edges if edge.cls == "coat_edge"}
    picks = {
        (str(room.id), pick.corner) for storey in state.job.storeys for room in storey.rooms for pick in room.corners
    }
    if len(kinds) == 1:
        ((name, own),) = kinds.items()
        title = name[:1].upper() + name[1:] if len(own) == 1 else f"{len(own)} × {name}"
    else:
        title = f"{len(edges)} corners"
    return CornersView(
        title,
        _about(kinds),
        len(edges),
        bool(beads),
        bool(finishes),
        _one(beads),
        _one(finishes),
        not wanted.isdisjoint(picks),
    )


def _about(kinds: dict[str, list[Edge]]) -> str:
    """ "2.23 m, square profile" of one kind; of several a line each with count and length."""
    said = []
    for name, edges in kinds.items():
        length = f"{fmt2(sum(edge.length_m for edge in edges))} m"
        profiles = sorted({edge.profile for edge in edges if edge.profile})
        profile = f", {' and '.join(profiles)} profile" if profiles else ""
        said.append(f"{length}{profile}" if len(kinds) == 1 else f"{len(edges)} × {name}, {length}")
    return "\n".join(said)


def _name(edge: Edge) -> str:
    return f"{_CLASSES.get(edge.cls, edge.cls)} {_KINDS.get((edge.cls, edge.kind), '')}".strip()


def _one(found: Collection[str]) -> str | None:
    return next(iter(found)) if len(found) == 1 else None


def corner_group(state: State, rooms: Collection[str], group: Group) -> tuple[Named, ...]:
    """Every corner of a group in these rooms, in the result's order."""
    return tuple((room, edge.id) for room, edge in _edges(state, rooms) if _is_in(edge, group))


def _is_in(edge: Edge, group: Group) -> bool:
    if group in ("room", "opening"):
        return edge.cls == "external" and edge.kind == group
    return edge.cls == group


def _edges(state: State, rooms: Collection[str]) -> Iterator[tuple[str, Edge]]:
    """(room, edge) of every edge of these rooms."""
    boards = {room: board for (_, room), board in state.rooms.items()} if len(rooms) > 1 else {}
    for room in rooms:
        board = boards.get(room) if boards else state.room(room)
        for edge in board.taken.edges if board else ():
            yield room, edge
