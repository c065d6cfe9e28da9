"""From the faces, corners and strips of a space to surfaces and edges, room by room."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from takeoff.geometry.arrangement import TooMany
from takeoff.geometry.curves import Curve
from takeoff.geometry.profiles import Bow, Profile, monotone
from takeoff.geometry.rings import ring_curves
from takeoff.geometry.tolerances import FLAT_DEG, TOUCH_MM
from takeoff.language import tr
from takeoff.measure.around import Seen, coated_spans, from_drawn, returning
from takeoff.measure.corners import FLOOR, Classed, Meeting, Skin, meetings
from takeoff.measure.face import (
    EXCLUDED,
    NET,
    NOT_COATED,
    OPEN,
    U_MM,
    BandLines,
    Border,
    Borders,
    Outline,
    Rules,
    Shape,
    Slab,
    borders,
    bounded,
    class_at,
    cut,
)
from takeoff.measure.reveals import StripEdge, Strips, bare_borders, between, outline, strip_edges, strips_of
from takeoff.measure.space import Space
from takeoff.measure.takeoff import Ends
from takeoff.measure.upright import FaceKey, Uprights, face_region, side_at, uprights
from takeoff.plan.customs import architrave_ring
from takeoff.plan.model import Side, WallTreatment
from takeoff.plan.surface_ids import reveal_name, strip_name
from takeoff.plan.wall_letters import wall_letter


class FaceFacts(NamedTuple):
    """A face, cut and classed, with its openings."""

    key: FaceKey
    name: str
    kind: str
    substrate: str
    carrier: Curve
    slabs: tuple[Slab, ...]
    shapes: tuple[Shape, ...]
    openings: tuple[Seen, ...]
    strips: tuple[Strips, ...]
    inner: Borders
    bands: tuple[BandLines, ...]
    rules: Rules


class Line3(NamedTuple):
    """An edge of a room before equal ones are joined: lengths in mm."""

    room: int
    cls: str
    kind: str
    names: tuple[str, ...]
    length: float
    angle_deg: float
    curved: bool
    course: tuple[tuple[float, float, float], ...]
    ends: Ends = ""


class Facts(NamedTuple):
    space: Space
    up: Uprights
    faces: dict[FaceKey, FaceFacts]
    edges: list[Line3]


Hosted = dict[tuple[int, int], tuple[Seen, ...]]
"""(room, side number) → openings of that face, u along the finished side"""


def gather(space: Space, hosted: Hosted) -> Facts:
    """Everything there is to know of a space's surfaces and edges."""
    up = uprights(space)
    faces = {key: _face(space, up, key, hosted) for key in up.faces}
    slabs = {key: f.slabs for key, f in faces.items()}
    edges: list[Line3] = []
    for m in meetings(space, up, slabs):
        edges += _judged(space, faces, m)
    for f in faces.values():
        edges += _inner_edges(f)
    return Facts(space, up, faces, edges)


def _face(space: Space, up: Uprights, key: FaceKey, hosted: Hosted) -> FaceFacts:
    face = up.faces[key]
    kind, room, _, number, _ = key
    if kind != "side":
        return _drop_face(space, up, key)
    side = side_at(space, room, number)
    treatment = side.treatment or space.rooms[room].room.walls
    length = face.carrier.length
    placed = (0.0, 1.0)
    if treatment.exclusions or treatment.parts_mm:
        placed = _placed(space, room, side, face.carrier)
    rules = _rules(treatment, length, *placed)
    openings = hosted.get((room, number), ())
    rules = rules._replace(architraves=tuple(_architrave(o) for o in openings if o.architrave_mm))
    shapes = tuple(outline(i, o, face.patches, length) for i, o in enumerate(openings))
    try:
        bounded(shapes, rules)
    except TooMany as error:
        raise TooMany(
            tr("its wall {wall} {why}", wall=wall_letter(space.rooms[room].room, str(side.id)), why=error)
        ) from error
    slabs = cut(face.patches, shapes, rules)
    into = returning(treatment)
    strips = tuple(
        strips_of(o, s, slabs, face.carrier, into, any(a < s.u1 - U_MM and b > s.u0 + U_MM for a, b in rules.spans))
        for o, s in zip(openings, shapes, strict=True)
    )
    return FaceFacts(
        key,
        side.id,
        "wall",
        treatment.substrate,
        face.carrier,
        slabs,
        shapes,
        openings,
        strips,
        borders(slabs),
        rules.bands,
        rules,
    )


def _drop_face(space: Space, up: Uprights, key: FaceKey) -> FaceFacts:
    face = up.faces[key]
    kind, room, _, number, looks_left = key
    treatment = space.rooms[room].room.ceiling_treatment
    region = face_region(space, key)
    coat = kind == "ceiling" and treatment.coat and not treatment.only
    substrate = treatment.substrate
    name = f"{kind}.drop{number + 1}"
    if region is not None:
        coat = coat if region.coat_sides is None else region.coat_sides
        substrate = region.substrate or substrate
        name = f"{region.id}.drop{number + 1}" + ("" if looks_left else "o")
    rules = Rules(((0.0, face.carrier.length),) if coat else ())
    slabs = cut(face.patches, (), rules)
    shown = "low" if kind == "floor" else "drop"
    return FaceFacts(key, name, shown, substrate, face.carrier, slabs, (), (), (), borders(slabs), (), rules)


def _rules(t: WallTreatment, length: float, shift: float, scale: float) -> Rules:
    """What is to be coated on a face; its drawn side's start lies at ``shift`` along it, and its lengths scale."""
    bands = tuple(BandLines(b.edge == "bottom", b.from_mm, b.to_mm) for b in t.bands)
    outlines = tuple(
        Outline(monotone(ring_curves([(u * scale + shift, z, b) for u, z, b in e.outline]))) for e in t.exclusions
    )
    return Rules(coated_spans(t, length, shift, scale), bands, outlines)


def _architrave(o: Seen) -> Outline:
    return Outline(monotone(ring_curves(architrave_ring(o.opening, o.u0, o.u1, o.architrave_mm))))


def _placed(space: Space, room: int, side: Side, finished: Curve) -> tuple[float, float]:
    """Where the drawn side's start lies along the finished one, and how lengths scale; a jog is no drawn side."""
    shape = space.rooms[room]
    return from_drawn(side, shape.origin, finished) if any(s is side for s in shape.room.sides) else (0.0, 1.0)


# Edges ---------------------------------------------------------------------------------------


def _judged(space: Space, faces: dict[FaceKey, FaceFacts], m: Meeting) -> list[Line3]:
    """A meeting as corners and borders, over the lengths where each holds."""
    if m.one.kind == "none" or m.two.kind == "none":
        return []
    ts = sorted({t for s in (m.one, m.two) for c in s.classes for t in (*c[:2], *_bands_in(faces, s, c))})
    out = []
    for a, b in zip(ts, ts[1:], strict=False):  # noqa: RUF007 (plain and short)
        if b - a <= U_MM:
            continue
        middle = (a + b) / 2.0
        one, two = class_at(m.one.classes, middle), class_at(m.two.classes, middle)
        if one is None or two is None:
            continue
        verdict = _verdict(space, faces, m, one, two, middle)
        if verdict is not None:
            cls, kind, angle, ends = verdict
            rooms = [r for r in (_room(space, m.one), _room(space, m.two)) if r >= 0]
            names = (_name(space, faces, m.one), _name(space, faces, m.two))
            out.append(Line3(min(rooms), cls, kind, names, m.length(a, b), angle, m.curved, m.course(a, b), ends))
    return out


def _room(space: Space, skin: Skin) -> int:
    if skin.key is not None:
        return skin.key[1]
    return space.cells[skin.cell].room


def _name(space: Space, faces: dict[FaceKey, FaceFacts], skin: Skin) -> str:
    if skin.key is not None:
        return faces[skin.key].name
    cell = space.cells[skin.cell]
    if skin.kind == "ceiling":
        return f"{cell.ceiling_region.id}.face" if cell.ceiling_region else "ceiling"
    return f"{cell.floor_region.id}.top" if cell.floor_region else "floor"


def _sort(faces: dict[FaceKey, FaceFacts], skin: Skin) -> str:
    if skin.key is not None:
        return faces[skin.key].kind
    return "ceiling" if skin.kind == "ceiling" else "top"


Verdict = tuple[str, str, float, Ends]
"""class, kind, angle of the void in degrees, what the coat ends at"""


def _verdict(
    space: Space, faces: dict[FaceKey, FaceFacts], m: Meeting, one: tuple[int, int], two: tuple[int, int], at: float
) -> Verdict | None:
    classes = {one[0], two[0]}
    if classes == {NET}:
        cls = _by_angle(m.angle_deg)
        sorts = {_sort(faces, m.one), _sort(faces, m.two)}
        return None if cls is None else (cls, _kind(cls, sorts), m.angle_deg, "")
    if OPEN in classes:
        return _beside_opening(space, faces, m, one, two, at)
    if NET not in classes:
        return None
    if FLOOR in classes:
        return "floor_edge", "room", m.angle_deg, ""
    return "coat_edge", "room", m.angle_deg, beside(two[0] if one[0] == NET else one[0], m.angle_deg)


def beside(cls: int, angle_deg: float) -> Ends:
    """What a coat ends at beside a surface of that class, at that angle of the void."""
    if cls == EXCLUDED:
        return "against"
    return "corner" if _by_angle(angle_deg) else "open"


def beside_strip(part: str, angle_deg: float = 270.0) -> Ends:
    """What a coat ends at beside a strip of a reveal that is not coated: a sill has its board."""
    return "against" if part == "sill" else beside(NOT_COATED, angle_deg)


def joint_of(kind: str) -> Ends:
    """What a coat meets in an opening of that kind: doors have linings, all others count as frames."""
    return "lining" if kind == "door" else "frame"


def _by_angle(angle: float) -> str | None:
    if angle < 180.0 - FLAT_DEG:
        return "internal"
    return "external" if angle > 180.0 + FLAT_DEG else None


def _kind(cls: str, sorts: set[str]) -> str:
    if cls == "internal":
        if sorts & {"drop", "low", "top"}:
            return "drop"
        if sorts == {"wall"}:
            return "wall_wall"
        return "ceiling" if sorts == {"ceiling"} else "wall_ceiling"
    if sorts & {"low", "top"}:
        return "low"
    if "drop" in sorts:
        return "drop"
    return "room" if sorts == {"wall"} else "ceiling"


def _beside_opening(
    space: Space, faces: dict[FaceKey, FaceFacts], m: Meeting, one: tuple[int, int], two: tuple[int, int], at: float
) -> Verdict | None:
    """Where an opening lies in one of the surfaces right up to the line: its strip runs on from
    there, square to its surface, and makes the corner with the other one."""
    if one[0] == OPEN and two[0] == OPEN:
        return None
    skin, hit, other = (m.one, one, two[0]) if one[0] == OPEN else (m.two, two, one[0])
    if other == FLOOR or _cut_off(faces, skin, hit[1]):
        return None
    coated, depth = _strip_state(space, faces, skin, hit[1], at)
    kind = "window" if skin.key is None else faces[skin.key].strips[hit[1]].opening.opening.kind
    if m.upright and not _at_jamb(faces, skin, hit[1], m.course(0.0, 0.0)[0]):
        # the side of a step runs on into the opening, where it is floor, or up to the frame in the face
        past: Verdict = (
            ("floor_edge", "room", 180.0, "") if depth > 0.0 else ("frame_joint", "opening", 90.0, joint_of(kind))
        )
        return past if other == NET else None
    # beyond a whole turn the strip would come out of the wall again: a knife's edge
    angle = min(m.angle_deg + 90.0, 360.0)
    if coated and other == NET:
        cls = _by_angle(angle)
        return None if cls is None else (cls, "opening" if cls == "external" else "reveal", angle, "")
    if coated:
        return "coat_edge", "reveal", angle, beside(other, angle)
    if other != NET:
        return None
    if depth > 0.0:
        part = _part(faces, skin, hit[1])
        kept = skin.key is not None and _returned(faces[skin.key].strips[hit[1]], part, at)
        beside_it = m.two if skin is m.one else m.one
        if kept and _sort(faces, beside_it) == "low" and skin.key and at < faces[skin.key].strips[hit[1]].step(part):
            return "floor_edge", "room", angle, ""  # two steps that meet in a doorway
        return "coat_edge", "opening", angle, "against" if kept else beside_strip(part, angle)
    return "frame_joint", "opening", angle, joint_of(kind)


def _at_jamb(faces: dict[FaceKey, FaceFacts], skin: Skin, number: int, at: tuple[float, float, float]) -> bool:
    """Whether an opening begins or ends at an upright line, rather than going on past it."""
    if skin.key is None:
        return True
    shape, u = faces[skin.key].shapes[number], faces[skin.key].carrier.where(at[0], at[1])[0]
    return min(abs(u - shape.u0), abs(u - shape.u1)) <= TOUCH_MM


def _cut_off(faces: dict[FaceKey, FaceFacts], skin: Skin, number: int) -> bool:
    """Whether a ceiling cuts an opening there: it goes on behind the face, and is a finding."""
    return skin.key is not None and skin.part == "head" and faces[skin.key].strips[number].cut


def _bands_in(faces: dict[FaceKey, FaceFacts], skin: Skin, classed: Classed) -> list[float]:
    """The heights at which a band returned into an opening ends, where the opening's jamb lies in a corner."""
    if classed[2] != OPEN or skin.key is None:
        return []
    kept = faces[skin.key].strips[classed[3]].kept.get(skin.part, ())
    return [z for span in kept for z in span if classed[0] < z < classed[1]]


def _strip_state(
    space: Space, faces: dict[FaceKey, FaceFacts], skin: Skin, number: int, at: float
) -> tuple[bool, float]:
    if skin.key is None:
        cell = space.cells[skin.cell]
        light = space.rooms[cell.room].rooflights[number]
        return light.coat and light.depth_mm > 0.0, light.depth_mm
    s, part = faces[skin.key].strips[number], _part(faces, skin, number)
    return s.coated[part] and not _returned(s, part, at), s.depth[part]


def _returned(s: Strips, part: str, at: float) -> bool:
    """Whether a band returns into the reveal at that height."""
    return any(low < at < high for low, high in s.kept.get(part, ()))


def _part(faces: dict[FaceKey, FaceFacts], skin: Skin, number: int) -> str:
    """The strip of an opening that lies at a skin's border; a round one has but its head."""
    rnd = skin.key is not None and faces[skin.key].strips[number].opening.opening.shape == "round"
    return "head" if rnd else skin.part


def _by_bands(s: Strips, b: Border) -> Iterator[tuple[Border, bool]]:
    """A border with an opening in pieces: whether the strip there is left on, where a band returns into it."""
    kept = s.kept.get(b.part, ())
    if not kept:
        yield b, False
        return
    for low, high in between(b.z0, b.z1, kept):
        yield b._replace(z0=low, z1=high, length=high - low), False
    for low, high in kept:
        low, high = max(low, b.z0), min(high, b.z1)
        if high - low > U_MM:
            yield b._replace(z0=low, z1=high, length=high - low), True


def _arrises(f: FaceFacts) -> list[Line3]:
    """The borders of a face's coat with its openings."""
    room, out = f.key[1], []
    for b, kept in (piece for whole in f.inner.openings for piece in _by_bands(f.strips[whole.number], whole)):
        s = f.strips[b.number]
        rnd = s.opening.opening.shape == "round"
        part = "head" if rnd else b.part
        coated = s.coated[part] and not kept
        cls = "external" if coated else ("coat_edge" if s.depth[part] > 0.0 else "frame_joint")
        ends: Ends = "" if coated else joint_of(s.opening.opening.kind)
        splayed = part in ("start", "end") or isinstance(f.shapes[b.number].top, Bow)
        angle = 270.0 - (s.opening.reveal.splay_deg if splayed else 0.0)
        if cls == "coat_edge":
            ends = "against" if kept else beside_strip(part, angle)
        shape = f.shapes[b.number]
        bent = isinstance(shape.top if part == "head" else shape.bottom, Bow) and (b.part in ("head", "sill"))
        curved = bent or (f.carrier.bulge != 0.0 and b.part in ("head", "sill"))
        course = _course(
            f.carrier, b.u0, b.z0, b.u1, b.z1, (shape.top if b.part == "head" else shape.bottom) if bent else None
        )
        names = (f.name, strip_name(reveal_here(s), part))
        out.append(Line3(room, cls, "opening", names, b.length, angle, curved, course, ends))
    return out


def _inner_edges(f: FaceFacts) -> list[Line3]:
    """Arrises of a face's openings, the coat's own edges, and the borders of the strips."""
    room, out = f.key[1], _arrises(f)
    for b in f.inner.coat_edge:
        bent = f.carrier.bulge != 0.0 and b.u0 != b.u1
        course = _course(f.carrier, b.u0, b.z0, b.u1, b.z1, None)
        out.append(Line3(room, "coat_edge", "face", (f.name,), b.length, 180.0, bent, course, beside(b.number, 180.0)))
    for s, shape in zip(f.strips, f.shapes, strict=True):
        if s.opening.owns:
            for e in strip_edges(s, shape):
                parts = tuple(strip_name(reveal_here(s), p) for p in e.parts)
                out.append(Line3(room, e.cls, e.kind, parts, e.length, e.angle_deg, False, (), _strip_ends(s, e)))
        if s.onto_floor > U_MM:
            over = (strip_name(reveal_here(s), "sill"), strip_name(reveal_here(s), "floor"))
            out.append(Line3(room, "floor_edge", "reveal", over, s.onto_floor, 180.0, False, ()))
        bare = bare_borders(s, shape, f.slabs, f.carrier.length)
        names = (f.name, strip_name(reveal_here(s), "border"))
        for length, what in zip(bare, (EXCLUDED, NOT_COATED), strict=True):
            if length > U_MM:
                out.append(Line3(room, "coat_edge", "reveal", names, length, 270.0, False, (), beside(what, 270.0)))
    return out


def _strip_ends(s: Strips, e: StripEdge) -> Ends:
    """What the coat of a strip ends at: the frame, a band on the floor, the board of a sill, or a bare strip."""
    if e.cls == "frame_joint":
        return joint_of(s.opening.opening.kind)
    if e.cls != "coat_edge":
        return ""
    return "against" if "floor" in e.parts else beside_strip(next(p for p in e.parts if not s.coated.get(p)), 90.0)


def reveal_here(s: Strips) -> str:
    """The id of an opening's reveal on one side."""
    return reveal_name(s.opening.opening.id, not s.opening.host)


def _course(
    c: Curve, u0: float, z0: float, u1: float, z1: float, bow: Profile | None
) -> tuple[tuple[float, float, float], ...]:
    if bow is None and c.bulge == 0.0:
        return (*c.at(u0), z0), (*c.at(u1), z1)
    us = [u0 + (u1 - u0) * i / 8 for i in range(9)]
    return tuple((*c.at(u), bow.at(u) if bow is not None else z0 + (z1 - z0) * i / 8) for i, u in enumerate(us))


# Areas ---------------------------------------------------------------------------------------


class Areas(NamedTuple):
    """Areas of a surface in mm²: gross, and how it divides."""

    gross: float
    openings: float
    excluded: float
    not_coated: float
    net: float


def face_areas(slabs: Sequence[Slab]) -> Areas:
    """The areas of a face by class; no slabs give zeros."""
    by = [0.0, 0.0, 0.0, 0.0]
    for slab in slabs:
        for p in slab.pieces:
            by[p.cls] += p.hi.under(slab.u0, slab.u1) - p.lo.under(slab.u0, slab.u1)
    return Areas(math.fsum(by), by[OPEN], by[EXCLUDED], by[NOT_COATED], by[NET])
