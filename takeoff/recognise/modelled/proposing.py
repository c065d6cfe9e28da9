"""From the drawings of a building model to one proposed job: which of its spaces are the rooms; the others
are left out, and told."""

from __future__ import annotations

import numpy as np
import shapely
from msgspec.structs import replace

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding, Severity
from takeoff.findings import noticed
from takeoff.plan.job_drawings import FIRST, with_origin
from takeoff.plan.model import DrawingRef, Job
from takeoff.recognise.modelled.cut import propose_cut
from takeoff.recognise.modelled.model_claims import Model, Space, model_of
from takeoff.recognise.modelled.model_doubts import quantity_findings
from takeoff.recognise.modelled.space_rooms import storeys_of
from takeoff.recognise.presets import Settings

NEAR_WALL_MM = 60.0
"""A space's border this near to a wall is bounded by it: finishes are often left between."""
BOUNDED = 0.25
"""Less of its border than this at walls or other spaces, and a space is no room (roofs, terraces, the
site)."""
COVERED = 0.9
"""A space that holds others on so much of its plan is a dwelling or a floor, no room."""
SHOWN = 6


def rooms_among(model: Model) -> tuple[tuple[Space, ...], tuple[Finding, ...]]:
    """(the spaces that are rooms, one finding for each reason why others were left out)"""
    reasons: dict[str, list[Space]] = {}
    kept: list[Space] = []
    for space in model.spaces:
        reason = _said(space)
        if reason:
            reasons.setdefault(reason, []).append(space)
        else:
            kept.append(space)
    holders = _holders(kept)
    walled = any(model.walls)
    rooms = []
    for space in kept:
        if space.guid in holders:
            reasons.setdefault("hold other spaces", []).append(space)
        elif walled and _bounded(space, model, kept) < BOUNDED:
            reasons.setdefault("have no walls round them", []).append(space)
        else:
            rooms.append(space)
    return tuple(rooms), tuple(_finding(reason, spaces) for reason, spaces in reasons.items())


def _said(space: Space) -> str:
    if space.exterior:
        return "are outside or gross areas, as the model says"
    return {"whole": "are made up of other spaces", "part": ""}.get(space.made, "")


def _holders(spaces: list[Space]) -> set[str]:
    """Spaces that two or more others, at the same height, cover nearly whole."""
    tree = shapely.STRtree([s.plan for s in spaces])
    found = set()
    for space in spaces:
        inner = []
        for k in tree.query(space.plan, predicate="intersects").tolist():
            other = spaces[k]
            if other is not space and other.storey == space.storey and other.plan.area < space.plan.area:
                shared = other.plan.intersection(space.plan)
                if (
                    shared.area > COVERED * other.plan.area
                    and min(other.top_mm, space.top_mm) - max(other.floor_mm, space.floor_mm) > NEAR_WALL_MM
                ):
                    inner.append(shared)
        if len(inner) > 1 and shapely.union_all(inner).area > COVERED / 2.0 * space.plan.area:
            found.add(space.guid)
    return found


def _bounded(space: Space, model: Model, kept: list[Space]) -> float:
    """Which part of a space's border lies at walls or at other spaces."""
    around = [w.plan for w in model.walls[space.storey]]
    around += [o.plan for o in kept if o is not space and o.storey == space.storey]
    if not around:
        return 0.0
    tree = shapely.STRtree(around)
    border = shapely.segmentize(space.plan.boundary, 500.0)
    xy = shapely.get_coordinates(border)
    middle = shapely.points((xy[:-1] + xy[1:]) / 2.0)
    length = np.hypot(*(xy[1:] - xy[:-1]).T)
    near = np.zeros(len(middle), bool)
    hit, _ = tree.query(middle, predicate="dwithin", distance=NEAR_WALL_MM)
    near[hit] = True
    return float(length[near].sum() / max(length.sum(), 1.0))


def _finding(reason: str, spaces: list[Space]) -> Finding:
    names = ", ".join(f"“{s.title}”" for s in spaces[:SHOWN])
    more = f" and {len(spaces) - SHOWN} more" if len(spaces) > SHOWN else ""
    severity: Severity = "note" if reason.endswith("says") or reason.startswith("are made") else "check"
    count = "1 space was" if len(spaces) == 1 else f"{len(spaces)} spaces were"
    why = f"they {reason}"
    if len(spaces) == 1:
        why = (
            why.replace("they are", "it is")
            .replace("they hold", "it holds")
            .replace("they have no walls round them", "it has no walls round it")
        )
    return noticed("space-left-out", severity=severity, spaces=count, why=why, listed=names + more)


def propose_modelled(
    drawings: tuple[Drawing, ...], settings: Settings | None = None
) -> tuple[Job, tuple[Finding, ...]]:
    """The job that a model's drawings (one per storey, in mm) claim, and what to look at.

    Spaces become rooms with the ceilings and floors of their solids; where no storey has a space,
    rooms are sought in the cuts through the walls, and none of them is sure. No drawings give an
    empty job and a finding.
    """
    settings = settings or Settings()
    model = model_of(drawings)
    if not drawings:
        return Job(), (noticed("no-room-found/model"),)
    first = drawings[0]
    ref = DrawingRef(id=FIRST, name=first.name, sha256=first.sha256, unit=first.unit, unit_mm=first.unit_mm)
    if not model.spaces:
        job, found = propose_cut(drawings, model, settings)
        return with_origin(replace(job, name=first.name), ref), found
    spaces, left_out = rooms_among(model)
    storeys, doubts = storeys_of(model, spaces, settings)
    found = (*left_out, *doubts, *quantity_findings(spaces))
    return with_origin(Job(name=first.name, storeys=storeys), ref), found
