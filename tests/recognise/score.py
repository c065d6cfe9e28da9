"""How well rooms and openings are found: a table for a folder of plans with truth files.

    python tests/recognise/score.py ../shared/plans [part of a plan's name ...]

Beside each ``plan.dxf``, ``plan.pdf`` or ``plan.ifc`` stands ``plan.truth.json`` with

* ``rooms`` or ``spaces``: each with ``area_m2`` or ``geom_area_m2``, and where known ``label_point_mm``, ``label``
  or ``printed``; or with its ``outline_mm`` (vertices [x, y] in mm of real size, in the drawing's own axes), its
  ``holes_mm`` and its ``name``;
* ``openings``: each with ``cls`` or ``kind`` (door, window, way), and ``width_m`` or ``width_mm``; where known
  ``point_mm``, a point in its middle;
* where known ``doubtful``, outlines in mm of spaces that one may call a room or not (shafts, balconies, yards): a
  proposed room that lies in one is neither right nor wrong;
* where known ``unit_mm``, what one unit of the drawing is, and ``clean_walls``; for a PDF ``scale`` (mm of real size
  for one mm on its paper) in place of the unit, and where it has several pages ``page``, counted from 1.

A page is read as the command reads it, at the scale that the program decides; where it asks, it is given the true one,
as a user would give it. Outlines of a page are in mm of real size from its lower left corner as displayed, those of a
model in its own axes.

A true room counts as found when the proposed room at its label point, or the one that prints its label, or for want
of both the one nearest in area, has its area within half a percent; one with an outline when a proposed room
overlaps it to 95 percent (intersection over union). An open plan counts as found, as often as it has labels, when
one proposed room carries all of them. A proposed room that is no true one is wrong. An opening with a point is found
when one of its kind lies within 0.4 m and half its width of the point, each proposed one for one true one.
"""

from __future__ import annotations

import json
import multiprocessing
import resource
import sys
import time
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import shapely

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding
from takeoff.geometry.rings import ring_area
from takeoff.plan.model import Job, Opening, Room
from takeoff.plan.shape import curves_by_id, sound_polygon, vertex_rings
from takeoff.readers import dxf, ifc, pdf
from takeoff.recognise.modelled import propose_modelled
from takeoff.recognise.presets import Settings
from takeoff.recognise.propose import proposal
from takeoff.recognise.units import decide_with_rooms
from takeoff.services.opened.papers import proposed

AREA_TOLERANCE = 0.005
OVERLAP = 0.95
WIDTH_MM = 50.0
POINT_MM = 400.0
OPEN_PLAN_SPILL = 0.2
"""An open plan is larger than its labelled parts by thresholds and parts without a label."""
SAME_UNIT, SAME_SCALE = 1e-3, 5e-3
"""Scales that a print was fitted to its paper at are known from printed lengths."""
KINDS = (".dxf", ".pdf", ".ifc")


@dataclass(frozen=True)
class Score:
    """The figures of one plan. ``right_sure``: true rooms found whose proposed room is sure; ``wrong``: proposed
    rooms that are no true one; ``extra_openings``: proposed ones, not in question, near no true one (only
    counted where openings have points); ``unit``: whether it is right, wrong, asked or not known."""

    plan: str
    true_rooms: int
    found_rooms: int
    proposed: int
    sure: int
    sure_false: int
    area_errors: tuple[float, ...]
    true_openings: int
    found_openings: int
    wrong: int = 0
    right_sure: int = 0
    extra_openings: int = 0
    unit: str = "-"
    clean: bool = False
    seconds: float = 0.0
    megabytes: float = 0.0
    missed: tuple[str, ...] = field(default=(), repr=False)


def room_area_m2(room: Room) -> float:
    """Outer less inner, arcs as arcs."""
    outer, *inner = (abs(ring_area(ring)) for ring in vertex_rings(room))
    return (outer - sum(inner)) / 1e6


def truth_of(path: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(path.with_suffix(".truth.json").read_text(encoding="utf-8"))
    return found


def proposed_of(path: Path, truth: dict[str, Any]) -> tuple[Job, Drawing, tuple[Finding, ...]]:
    """(the job proposed from a drawing, a page or a model, the drawing in mm, what was found of its unit or scale)"""
    if path.suffix.lower() == ".ifc":
        drawings, findings = ifc.read(path)
        return propose_modelled(drawings)[0], drawings[0], findings
    if path.suffix.lower() == ".pdf":
        raw, read = pdf.read(path, truth.get("page"))
        page = proposed(raw, read, Settings(), None)
        asked = tuple(f for f in page.findings if f.code == "scale-undecided")
        if asked and "scale" in truth:
            page = proposed(raw, read, Settings(), truth["scale"])
        return page.job, page.drawing, asked
    decided = decide_with_rooms(dxf.read(path)[0])
    rooms = decided.rooms or proposal(decided.drawing)
    return rooms.job, decided.drawing, decided.findings


def score_plan(path: Path) -> Score:
    """The figures of one plan."""
    truth, start = truth_of(path), time.process_time()
    job, drawing, findings = proposed_of(path, truth)
    seconds = time.process_time() - start
    rooms = [r for s in job.storeys for r in s.rooms]
    true = truth.get("rooms", truth.get("spaces", []))
    matched = match_rooms(true, rooms)
    errors = tuple(e for _, e, ok in matched if ok)
    good = {id(r) for r, _, ok in matched if ok and r is not None}
    sure = {id(r) for r in rooms if r.confidence == "sure"}
    listed = [o for o in truth.get("openings", []) if isinstance(o, dict)]
    found_openings, extra = match_openings(listed, job)
    return Score(
        path.stem,
        len(true),
        len(errors),
        len(rooms),
        len(sure),
        len(sure - good),
        errors,
        len(listed),
        found_openings,
        len(rooms) - len(good) - doubted(truth, [r for r in rooms if id(r) not in good]),
        sum(ok and id(r) in sure for r, _, ok in matched),
        extra,
        unit_said(truth, drawing, findings),
        bool(truth.get("clean_walls")),
        seconds,
        resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
        tuple(str(t.get("name", t.get("label", "?"))) for t, (_, _, ok) in zip(true, matched, strict=True) if not ok),
    )


def doubted(truth: dict[str, Any], rooms: list[Room]) -> int:
    """How many of these rooms lie for the most part in outlines that one may call a room or not."""
    outlines = [
        _outline({"outline_mm": d.get("outline_mm", d) if isinstance(d, dict) else d})
        for d in truth.get("doubtful", ())
    ]
    shapes = [sound_polygon(room) for room in rooms]
    return sum(any(d.intersection(s).area > s.area / 2 for d in outlines) for s in shapes)


def unit_said(truth: dict[str, Any], drawing: Drawing, findings: Iterable[Finding]) -> str:
    """Whether the unit, or the scale of a page, is as the truth has it, asked about, or silently wrong."""
    page = any(claim.kind == "sheet" for claim in drawing.claims)
    key, same = ("scale", SAME_SCALE) if page else ("unit_mm", SAME_UNIT)
    if key not in truth:
        return "-"
    right = abs(drawing.unit_mm / float(truth[key]) - 1) <= same
    asked = any(f.code in ("unit-undecided", "scale-undecided") for f in findings)
    return ("right" if right else "WRONG") + (", asked" if asked else "")


def width_of(opening: dict[str, Any]) -> float:
    """mm, whichever unit the truth has it in; 0 where it is not known"""
    return float(opening["width_mm"] if "width_mm" in opening else opening.get("width_m", 0) * 1000)


def kind_of(opening: dict[str, Any]) -> str:
    said = opening.get("cls", opening.get("kind", "")).lower()
    return "window" if "window" in said else "open" if said in ("way", "open") else "door"


def match_rooms(true: list[dict[str, Any]], rooms: list[Room]) -> list[tuple[Room | None, float, bool]]:
    """(proposed room, relative error of its area, whether that counts as found) per true room."""
    shapes = [sound_polygon(r) for r in rooms]
    tree = shapely.STRtree(shapes)
    hits = [_candidate(t, rooms, shapes, tree) for t in true]
    found: list[tuple[Room | None, float, bool]] = []
    for t, k in zip(true, hits, strict=True):
        if k is None:
            found.append((None, 1.0, False))
            continue
        own = room_area_m2(rooms[k])
        if "outline_mm" in t:
            shape = _outline(t)
            ok = shape.intersection(shapes[k]).area >= OVERLAP * shape.union(shapes[k]).area
            found.append((rooms[k], abs(own - shape.area / 1e6) / (shape.area / 1e6), ok))
            continue
        parts = [_area(u) for u, other in zip(true, hits, strict=True) if other == k]
        whole = sum(parts)
        error = abs(own - whole) / whole
        ok = error <= AREA_TOLERANCE if len(parts) == 1 else -0.02 <= (own - whole) / whole <= OPEN_PLAN_SPILL
        found.append((rooms[k], 0.0 if len(parts) > 1 else error, ok))
    return found


def _area(true: dict[str, Any]) -> float:
    return float(true.get("area_m2", true.get("geom_area_m2", 0.0)))


def _outline(true: dict[str, Any]) -> shapely.Polygon:
    holes = [[p[:2] for p in hole] for hole in true.get("holes_mm", true.get("holes", []))]
    shape = shapely.make_valid(shapely.Polygon([p[:2] for p in true["outline_mm"]], holes))
    return max(shapely.get_parts(shape), key=lambda p: float(p.area))


def _candidate(
    true: dict[str, Any], rooms: list[Room], shapes: list[shapely.Polygon], tree: shapely.STRtree
) -> int | None:
    if "outline_mm" in true:
        shape = _outline(true)
        near = tree.query(shape, predicate="intersects").tolist()
        return max(near, default=None, key=lambda k: shape.intersection(shapes[k]).area / shape.union(shapes[k]).area)
    if "label_point_mm" in true:
        point = shapely.Point(true["label_point_mm"])
        return next((k for k, shape in enumerate(shapes) if shape.contains(point)), None)
    printed = str(true.get("label", "")).split(" ")[0]
    for k, room in enumerate(rooms):
        if printed and room.printed_area_m2 is not None and room.printed_area_m2 == float(printed):
            return k
    near = sorted(range(len(rooms)), key=lambda k: abs(room_area_m2(rooms[k]) - _area(true)))
    return near[0] if near and not printed else None


def match_openings(true: list[dict[str, Any]], job: Job) -> tuple[int, int]:
    """(how many true openings have a proposed one of their own: of their kind, at their point or for want of one
    of their width; how many proposed ones lie near none)"""
    placed = [o for o in true if "point_mm" in o]
    found, extra = _at_points(placed, job) if placed else (0, 0)
    free: list[Opening] = [o for s in job.storeys for o in s.openings if o.confidence != "question"]
    for kind, width in sorted((kind_of(o), width_of(o)) for o in true if "point_mm" not in o):
        best = min((o for o in free if o.kind == kind), key=lambda o: abs(o.width_mm - width), default=None)
        if best is not None and abs(best.width_mm - width) <= WIDTH_MM:
            free.remove(best)
            found += 1
    return found, extra


def _at_points(true: list[dict[str, Any]], job: Job) -> tuple[int, int]:
    middles = list(opening_points(job))
    pairs = []
    near_any = set()
    for t, opening in enumerate(true):
        x, y = opening["point_mm"][:2]
        for k, (own, mx, my) in enumerate(middles):
            off = float(((mx - x) ** 2 + (my - y) ** 2) ** 0.5)
            if off <= POINT_MM + own.width_mm / 2:
                near_any.add(k)
                if own.kind == kind_of(opening):
                    pairs.append((off, t, k))
    taken_true: set[int] = set()
    taken: set[int] = set()
    for _, t, k in sorted(pairs):
        if t not in taken_true and k not in taken:
            taken_true.add(t)
            taken.add(k)
    extra = sum(k not in near_any and own.confidence != "question" for k, (own, _, _) in enumerate(middles))
    return len(taken_true), extra


def opening_points(job: Job) -> Iterable[tuple[Opening, float, float]]:
    """Each opening with the place of its middle, on its host side."""
    for storey in job.storeys:
        curves = {r.id: curves_by_id(r) for r in storey.rooms}
        for opening in storey.openings:
            x, y = curves[opening.room][opening.side].at(opening.offset_mm + opening.width_mm / 2)
            yield opening, x, y


def table(scores: list[Score]) -> str:
    """A line per plan and one for all; *sure* of the right rooms is counted where walls are clean."""
    head = (
        f"{'plan':28} {'unit':>12} {'rooms':>9} {'found':>7} {'wrong':>5} {'sure':>5} {'right':>7} {'of right':>8} "
        f"{'area off':>8} {'openings':>9} {'share':>7} {'extra':>5} {'CPU s':>6} {'MB':>5}"
    )
    rows = [head]
    for s in scores:
        rows.append(_row(s, s.plan, s.unit))
    if len(scores) > 1:
        rows.append(_row(_sum(scores), "all", ""))
        clean = [s for s in scores if s.clean]
        if clean:
            rows.append(_row(_sum(clean), "those with clean walls", ""))
    return "\n".join(rows)


def _sum(scores: list[Score]) -> Score:
    names = [
        "true_rooms",
        "found_rooms",
        "proposed",
        "sure",
        "sure_false",
        "true_openings",
        "found_openings",
        "wrong",
        "right_sure",
        "extra_openings",
        "seconds",
    ]
    return Score(
        plan="all",
        area_errors=tuple(e for s in scores for e in s.area_errors),
        megabytes=max(s.megabytes for s in scores),
        **{name: sum(getattr(s, name) for s in scores) for name in names},
    )


def _row(s: Score, name: str, unit: str) -> str:
    def share(part: int, whole: int) -> str:
        return f"{part / whole:7.1%}" if whole else f"{'-':>7}"

    return (
        f"{name[:28]:28} {unit:>12} {s.found_rooms:4}/{s.true_rooms:<4} {share(s.found_rooms, s.true_rooms)} "
        f"{s.wrong:5} {s.sure:5} {share(s.sure - s.sure_false, s.sure)} {share(s.right_sure, s.found_rooms):>8} "
        f"{max(s.area_errors, default=0.0):8.3%} {s.found_openings:4}/{s.true_openings:<4} "
        f"{share(s.found_openings, s.true_openings)} {s.extra_openings:5} {s.seconds:6.1f} {s.megabytes:5.0f}"
    )


def main(folder: Path, wanted: list[str]) -> None:
    """Each plan in a process of its own, so that its memory is its own."""
    files = [p for p in sorted(folder.rglob("*")) if p.suffix.lower() in KINDS]
    plans = [p for p in files if p.with_suffix(".truth.json").exists()]
    plans = [p for p in plans if not wanted or any(w in p.stem for w in wanted)]
    context = multiprocessing.get_context("spawn")
    scores = []
    for plan in plans:
        with context.Pool(1) as pool:
            try:
                scores.append(pool.apply(score_plan, (plan,)))
            except Exception as error:  # noqa: BLE001 - told in the table, and the other plans are still scored
                true = truth_of(plan)
                rooms, openings = (len(true.get(key, ())) for key in ("rooms", "openings"))
                scores.append(Score(plan.stem, rooms, 0, 0, 0, 0, (), openings, 0, unit="ERROR"))
                print(f"{plan.stem}: {type(error).__name__}: {error}", file=sys.stderr)
        print(_row(scores[-1], scores[-1].plan, scores[-1].unit), file=sys.stderr, flush=True)
    print(table(scores))
    for s in scores:
        if s.missed:
            print(f"{s.plan} misses {', '.join(s.missed)}")


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2:])
