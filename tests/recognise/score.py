"""How well rooms and openings are found: a table for a folder of plans with truth files.

    python tests/recognise/score.py ../shared/plans

Beside each ``plan.dxf`` stands ``plan.truth.json`` with ``rooms`` or ``spaces`` (each with
``area_m2`` or ``geom_area_m2``, and where known ``label_point_mm``, ``label`` or ``printed``, or an
``outline_mm``) and ``openings`` (``cls`` or ``kind``, and ``width_m`` or ``width_mm``). A true room counts as
found when the proposed room at its label point, or the one that prints its label, or for want of both the one
nearest in area, has its area within half a percent; an outline must overlap to 95 percent
(intersection over union). An open plan counts as found, as often as it has labels, when one
proposed room carries all of them.
"""

from __future__ import annotations

import json
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import shapely

from takeoff.geometry.rings import ring_area
from takeoff.plan.model import Job, Opening, Room, Side
from takeoff.readers.dxf import read
from takeoff.recognise import propose
from takeoff.recognise.units import decide

AREA_TOLERANCE = 0.005
OVERLAP = 0.95
WIDTH_MM = 50.0
OPEN_PLAN_SPILL = 0.2
"""An open plan is larger than its labelled parts by thresholds and parts without a label."""


@dataclass(frozen=True)
class Score:
    plan: str
    true_rooms: int
    found_rooms: int
    proposed: int
    sure: int
    sure_false: int
    area_errors: tuple[float, ...]
    true_openings: int
    found_openings: int


def vertices(sides: tuple[Side, ...]) -> tuple[tuple[float, float, float], ...]:
    return tuple((s.x_mm, s.y_mm, s.bulge) for s in sides)


def room_area_m2(room: Room) -> float:
    """Outer less inner, arcs as arcs."""
    outer = abs(ring_area(vertices(room.outline)))
    return (outer - sum(abs(ring_area(vertices(ring))) for ring in room.inner)) / 1e6


def polygon(room: Room) -> shapely.Polygon:
    """Chords for arcs: only used to see what lies where."""
    return shapely.Polygon(
        [(s.x_mm, s.y_mm) for s in room.outline], [[(s.x_mm, s.y_mm) for s in ring] for ring in room.inner]
    )


def score_plan(path: Path) -> Score:
    """The figures of one plan."""
    truth = json.loads(path.with_suffix(".truth.json").read_text(encoding="utf-8"))
    drawing, _ = read(path)
    drawing, _ = decide(drawing)
    job, _ = propose(drawing)
    rooms = [r for s in job.storeys for r in s.rooms]
    true = truth.get("rooms", truth.get("spaces", []))
    matched = match_rooms(true, rooms)
    errors = tuple(e for _, e, ok in matched if ok)
    good = {id(r) for r, _, ok in matched if ok and r is not None}
    sure = [r for r in rooms if r.confidence == "sure"]
    listed = truth.get("openings", [])
    widths = [(kind_of(o), width_of(o)) for o in listed if isinstance(o, dict)]
    return Score(
        path.stem,
        len(true),
        len(errors),
        len(rooms),
        len(sure),
        sum(id(r) not in good for r in sure),
        errors,
        len(widths),
        match_openings(widths, job),
    )


def width_of(opening: dict[str, Any]) -> float:
    """mm, whichever unit the truth has it in"""
    return float(opening["width_mm"] if "width_mm" in opening else opening["width_m"] * 1000)


def kind_of(opening: dict[str, Any]) -> str:
    return "window" if "window" in opening.get("cls", opening.get("kind", "")).lower() else "door"


def match_rooms(true: list[dict[str, Any]], rooms: list[Room]) -> list[tuple[Room | None, float, bool]]:
    """(proposed room, relative error of its area, whether that counts as found) per true room."""
    shapes = [polygon(r) for r in rooms]
    hits = [_candidate(t, rooms, shapes) for t in true]
    found: list[tuple[Room | None, float, bool]] = []
    for t, k in zip(true, hits, strict=True):
        if k is None:
            found.append((None, 1.0, False))
            continue
        parts = [_area(u) for u, other in zip(true, hits, strict=True) if other == k]
        whole, own = sum(parts), room_area_m2(rooms[k])
        error = abs(own - whole) / whole
        spill = (own - whole) / whole
        ok = error <= AREA_TOLERANCE if len(parts) == 1 else -0.02 <= spill <= OPEN_PLAN_SPILL
        if "outline_mm" in t and len(parts) == 1:
            shape = shapely.Polygon([p[:2] for p in t["outline_mm"]])
            union = shape.union(shapes[k]).area
            ok = shape.intersection(shapes[k]).area >= OVERLAP * union
        found.append((rooms[k], 0.0 if len(parts) > 1 else error, ok))
    return found


def _area(true: dict[str, Any]) -> float:
    return float(true.get("area_m2", true.get("geom_area_m2", 0.0)))


def _candidate(true: dict[str, Any], rooms: list[Room], shapes: list[shapely.Polygon]) -> int | None:
    if "label_point_mm" in true:
        point = shapely.Point(true["label_point_mm"])
        return next((k for k, shape in enumerate(shapes) if shape.contains(point)), None)
    printed = str(true.get("label", "")).split(" ")[0]
    for k, room in enumerate(rooms):
        if printed and room.printed_area_m2 is not None and room.printed_area_m2 == float(printed):
            return k
    near = sorted(range(len(rooms)), key=lambda k: abs(room_area_m2(rooms[k]) - _area(true)))
    return near[0] if near and not printed else None


def match_openings(true: list[tuple[str, float]], job: Job) -> int:
    """How many true openings have a proposed one of their kind and width of their own."""
    free: list[Opening] = [o for s in job.storeys for o in s.openings if o.confidence != "question"]
    found = 0
    for kind, width in sorted(true):
        best = min((o for o in free if o.kind == kind), key=lambda o: abs(o.width_mm - width), default=None)
        if best is not None and abs(best.width_mm - width) <= WIDTH_MM:
            free.remove(best)
            found += 1
    return found


def table(scores: list[Score]) -> str:
    head = (
        f"{'plan':24} {'rooms':>9} {'recall':>7} {'proposed':>8} {'sure':>5} {'precision':>9} "
        f"{'area error':>10} {'openings':>9}"
    )
    rows = [head]
    for s in scores:
        recall = s.found_rooms / s.true_rooms if s.true_rooms else 1.0
        precision = 1 - s.sure_false / s.sure if s.sure else 1.0
        worst = max(s.area_errors, default=0.0)
        rows.append(
            f"{s.plan:24} {s.found_rooms:4}/{s.true_rooms:<4} {recall:7.1%} {s.proposed:8} "
            f"{s.sure:5} "
            f"{precision:9.1%} {worst:10.3%} {s.found_openings:4}/{s.true_openings:<4}"
        )
    return "\n".join(rows)


def main(folder: Path) -> None:
    plans = [p for p in sorted(folder.rglob("*.dxf")) if p.with_suffix(".truth.json").exists()]
    print(table([score_plan(p) for p in plans]))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
