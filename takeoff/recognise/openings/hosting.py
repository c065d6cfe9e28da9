"""Openings from closed gaps and from jamb lines across walls, each on one room's side."""

from __future__ import annotations

from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from takeoff.plan.model import Confidence, Opening, OpeningId, Reveal, Room, Strip
from takeoff.recognise.openings.sides import OFF_FACE_MM, Place, SideIndex
from takeoff.recognise.settings import Settings

Floats = NDArray[np.float64]

NARROWEST_MM = 300.0
"""Narrower gaps are shadow gaps and casings, no openings (common practice, no source)."""


class Candidate(NamedTuple):
    """An opening before it has a room: its two faces as lines (k, 4) near the origin, kind,
    confidence, the wall's thickness, why, a mark and heights that are written (mm or None), and how
    far from its lines the faces may lie."""

    lines: Floats
    kind: Literal["window", "door", "open"]
    confidence: Confidence
    thickness_mm: float
    why: tuple[str, ...]
    mark: str = ""
    sill_mm: float | None = None
    head_mm: float | None = None
    reach_mm: float = OFF_FACE_MM


def host_openings(
    candidates: list[Candidate], rooms: list[Room], origin: tuple[float, float], settings: Settings, first_id: int = 1
) -> tuple[list[Opening], list[Candidate], set[str]]:
    """(openings on their host rooms, candidates that lie in no room's side, rooms with a way in).

    An opening between two rooms is hosted once: by the surer, then by the larger room.
    """
    index = SideIndex(rooms, origin)
    openings: list[Opening] = []
    homeless: list[Candidate] = []
    entered: set[str] = set()
    taken: dict[tuple[str, str], list[tuple[float, float]]] = {}
    order = {"sure": 0, "check": 1, "question": 2}
    ranked = sorted(candidates, key=lambda c: order[c.confidence])
    faces = [(c.lines, c.reach_mm) for c in ranked]
    for candidate, places in zip(ranked, index.places(faces), strict=True):
        if not places:
            homeless.append(candidate)
            continue
        place = min(places, key=lambda p: (order[rooms[p.room].confidence], not rooms[p.room].name, p.room))
        spans = [taken.setdefault((rooms[p.room].id, p.side.id), []) for p in places]
        if any(_overlap(p, span) for p, span in zip(places, spans, strict=True)):
            continue
        for p, span in zip(places, spans, strict=True):
            span.append((p.offset_mm, p.offset_mm + p.width_mm))
            if candidate.kind != "window" and candidate.confidence != "question":
                entered.add(rooms[p.room].id)
        openings.append(_opening(candidate, place, rooms, settings, first_id + len(openings)))
    return openings, homeless, entered


def _overlap(place: Place, spans: list[tuple[float, float]]) -> bool:
    lo, hi = place.offset_mm, place.offset_mm + place.width_mm
    return any(min(hi, b) - max(lo, a) > 0.2 * min(hi - lo, b - a) for a, b in spans)


def _opening(candidate: Candidate, place: Place, rooms: list[Room], settings: Settings, number: int) -> Opening:
    window = candidate.kind == "window"
    sill, sill_source = (settings.window_sill_mm, "window_sill_mm") if window else (0.0, "")
    head = settings.window_head_mm if window else settings.door_head_mm
    head_name = "window_head_mm" if window else "door_head_mm"
    sill = sill if candidate.sill_mm is None else candidate.sill_mm
    head = head if candidate.head_mm is None else candidate.head_mm
    return Opening(
        id=OpeningId(f"o{number}"),
        kind=candidate.kind,
        room=rooms[place.room].id,
        side=place.side.id,
        offset_mm=float(place.offset_mm),
        width_mm=float(place.width_mm),
        sill_mm=sill,
        head_mm=head,
        reveal=_reveal(candidate, settings),
        mark=candidate.mark,
        width_source="drawn",
        sill_source="drawn"
        if not window
        else "figured"
        if candidate.sill_mm is not None
        else settings.source(sill_source),
        head_source="figured" if candidate.head_mm is not None else settings.source(head_name),
        confidence=candidate.confidence,
        evidence=candidate.why,
    )


def _reveal(candidate: Candidate, settings: Settings) -> Reveal:
    """Windows: the depth set for the job; lined door frames none; open ways span the wall
    (common practice, no source)."""
    if candidate.kind == "window":
        strip = Strip(depth_mm=settings.reveal_mm, depth_source=settings.source("reveal_mm"))
        return Reveal(strip, strip, strip, Strip(strip.depth_mm, coat=False, depth_source=strip.depth_source))
    if candidate.kind == "open":
        strip = Strip(depth_mm=candidate.thickness_mm, depth_source="drawn")
        return Reveal(strip, strip, strip)
    strip = Strip(depth_source="assumed")
    return Reveal(strip, strip, strip)
