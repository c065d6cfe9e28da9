"""The job as it is with a new drawing in it: new shapes, under the job's ids, with everything that was set.

What nobody set comes from the new drawing. A room that is where it was, as it was, stays the very same value. What the
new shape makes impossible is lost, with a line of what it was; what the drawing contradicts is told.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from typing import Any, NamedTuple

import msgspec

from takeoff.errors import Finding, Where
from takeoff.findings import noticed
from takeoff.geometry.curves import Curve
from takeoff.language import percent, tr, tr_count
from takeoff.plan.edits.lookup import fresh_id, fresh_number
from takeoff.plan.model import Field, Job, Ring, Room, RoomId, Side, SideId, Storey, StoreyId, WallTreatment
from takeoff.plan.said import mm
from takeoff.plan.shape import curves_by_id
from takeoff.revise.as_before import AsBefore, as_before, held
from takeoff.revise.carried_openings import openings_carried
from takeoff.revise.carried_rooms import Home, Ids, Walls
from takeoff.revise.difference import Became, What
from takeoff.revise.lost import Lost, behind_said, of_wall, room_lost, stretch_said, wall_lost
from takeoff.revise.matching import (
    SAME_MM,
    RoomPair,
    SidePair,
    goes_into,
    rooms_paired,
    same_rings,
    shared_walls,
    sides_paired,
    turned_ring,
)
from takeoff.revise.moved_plan import (
    FROM_DRAWING,
    SAME_HEIGHT_MM,
    field_drawn,
    fields_moved,
    lights_carried,
    same_planes,
)
from takeoff.revise.stretches import Along, along_now, side_along

replace = msgspec.structs.replace


class StoreyCarried(NamedTuple):
    """A storey with the new drawing in it. ``became``: of rooms by id; ``walls``: by (room, side) of the job, the
    sides that it is now; ``joined``: rooms that became a part of another, by id; ``parts``: rooms that were cut
    off, by id, with the room that they were cut off. ``alongs``: how sides of now lie along what they were;
    ``reshaped``: rooms of the job of which walls are otherwise; ``into``: sides that theirs run along now;
    ``before``: what is as the job's own drawing has it."""

    storey: Storey
    became: dict[str, Became]
    lost: list[Lost]
    findings: list[Finding]
    walls: Walls
    joined: dict[RoomId, RoomId]
    parts: dict[RoomId, RoomId]
    printed_names: dict[str, str]
    alongs: dict[tuple[RoomId, SideId], Along]
    reshaped: dict[RoomId, Room]
    into: dict[tuple[RoomId, SideId], tuple[RoomId, SideId]]
    before: AsBefore | None = None


def storey_carried(
    old: Storey, new: Storey, ids: Ids, refused: Collection[str] = (), known_names: Collection[str] | None = None,
    own_drawing: Storey | None = None,
) -> StoreyCarried:  # fmt: skip
    """A storey of the job with the new drawing's in it, which lies over it already.

    ``refused``: rooms (by the ids that they have or get) that stay as they were. ``known_names``: what was
    written in the drawing that the storey was found in, where that is at hand: a name that is not among them was
    given by hand. ``own_drawing``: the storey as that drawing gives it: where the new one is the same, what is
    otherwise in the job was set by hand and stays.
    """
    pairs, before = rooms_paired(old, new), as_before(own_drawing, old, new)
    done = StoreyCarried(old, {}, [], [], {}, {}, {}, {}, {}, {}, {}, before)
    homes: list[Home] = []
    if before is not None:
        pairs, refused = _as_set_by_hand(old, pairs, before, refused, done)
    pairs = _without_refused(pairs, refused)
    for pair in pairs:
        home = _home(old, pair, ids, done, refused, known_names)
        if home is not None:
            homes.append(home)
    rooms = _in_old_order(old, [home.room for home in homes])
    _walls_gone(rooms, done)
    drawn = {home.drawn.id: home for home in homes if home.drawn is not None}
    carried = openings_carried(old, new, homes, drawn, done.walls, ids, before)
    done.lost.extend(carried.lost)
    done.findings.extend(carried.findings)
    lights = lights_carried(old, new, rooms, {name: home.room for name, home in drawn.items()}, done.lost, ids.opening)
    storey = replace(old, rooms=rooms, openings=carried.openings, rooflights=lights)
    storey = _with_outline(_with_height(storey, new, done), new, done)
    _doubts(pairs, storey, done)
    return done._replace(storey=old if storey == old else storey)


def _as_set_by_hand(
    old: Storey, pairs: list[RoomPair], before: AsBefore, refused: Collection[str], done: StoreyCarried
) -> tuple[list[RoomPair], Collection[str]]:
    """The pairs without rooms that somebody took out, and the rooms that stay as they are: those that were refused and
    those that were set by hand where the designer changed nothing."""
    stay, out = held(pairs, before)
    for room in out:
        done.findings.append(noticed("revision-left-out", Where(storey=old.id), place=room.title))
    for pair in pairs:
        if pair.new is None and pair.old is not None and pair.kind == "omitted" and str(pair.old.id) in stay:
            done.findings.append(noticed("revision-room-kept", _where(old, pair.old), room=pair.old.title))
    gone = {room.id for room in out}
    kept = [pair for pair in pairs if pair.old is not None or pair.new is None or pair.new.id not in gone]
    return kept, {*refused, *stay}


def storey_added(job: Job, new: Storey, ids: Ids, called: str) -> tuple[Storey, dict[str, Became]]:
    """A storey that replaces none, under ids of its own; what became of its rooms."""
    rooms = {room.id: ids.room() for room in new.rooms}
    openings = tuple(replace(o, id=ids.opening(), room=rooms[o.room]) for o in new.openings if o.room in rooms)
    lights = tuple(replace(o, id=ids.opening(), room=rooms[o.room]) for o in new.rooflights if o.room in rooms)
    taken = [str(storey.id) for storey in job.storeys]
    name = fresh_number(taken, "storey-")
    made = replace(
        new,
        id=StoreyId(name),
        name=new.name or called,
        rooms=tuple(replace(room, id=rooms[room.id]) for room in new.rooms),
        openings=openings,
        rooflights=lights,
        set_together=None,
    )
    became = {str(name): Became("added", (tr("its storey is new"),)) for name in rooms.values()}
    return made, became


def _without_refused(pairs: list[RoomPair], refused: Collection[str]) -> list[RoomPair]:
    """Parts of a room whose cutting up was refused are none; rooms that were joined to it stay by themselves."""
    if not refused:
        return pairs
    whole = {str(p.old.id) for p in pairs if p.old is not None and p.main and str(p.old.id) in refused}
    alone = {str(o.id) for p in pairs if p.old is not None and str(p.old.id) in whole for o in p.others}
    found = []
    for pair in pairs:
        if pair.kind == "split" and not pair.main and pair.old is not None and str(pair.old.id) in whole:
            continue
        if pair.kind == "joined" and pair.new is None and pair.old is not None and str(pair.old.id) in alone:
            pair = pair._replace(kind="omitted")  # which is refused too
        found.append(pair)
    return found


def _home(
    old: Storey, pair: RoomPair, ids: Ids, done: StoreyCarried, refused: Collection[str],
    known_names: Collection[str] | None,
) -> Home | None:  # fmt: skip
    """A room as it is in the new job; None where it is gone."""
    if pair.new is None:
        assert pair.old is not None
        return _gone(old, pair, done, refused)
    if pair.old is None or not pair.main:
        name = ids.room()
        if str(name) in refused:
            return None
        if pair.old is None:
            done.became[str(name)] = Became("added", pair.evidence)
            return Home(replace(pair.new, id=name), pair.new, pair)
        done.parts[name] = pair.old.id
        done.became[str(name)] = Became("split", pair.evidence)
        return Home(_carried(old, pair, name, done, known_names), pair.new, pair)
    if str(pair.old.id) in refused:
        return _held(pair.old, pair, done)
    for other in pair.others:
        done.joined[other.id] = pair.old.id
    change: What = pair.kind if pair.kind in ("split", "joined") else "same"
    made = _carried(old, pair, pair.old.id, done, known_names)
    if change != "same" or made != pair.old:
        moved = made.outline != pair.old.outline or made.inner != pair.old.inner
        done.became[str(made.id)] = Became(
            change if change != "same" else "altered" if moved else "same", pair.evidence
        )
    return Home(made, pair.new, pair)


def _held(room: Room, pair: RoomPair, done: StoreyCarried) -> Home:
    """A room that stays as it was."""
    done.walls.update({(room.id, side.id): [(room.id, side.id)] for side in room.sides})
    return Home(room, None, pair)


def _gone(old: Storey, pair: RoomPair, done: StoreyCarried, refused: Collection[str]) -> Home | None:
    assert pair.old is not None
    room = pair.old
    if str(room.id) in refused:
        return _held(room, pair, done)
    if pair.kind == "joined":
        done.became[str(room.id)] = Became("joined", pair.evidence)
        return None
    if by_hand(room):
        done.findings.append(noticed("revision-room-kept", _where(old, room), room=room.title))
        return _held(room, pair, done)
    done.became[str(room.id)] = Became("omitted", pair.evidence)
    for side in room.sides:
        done.lost.extend(wall_lost(room, side))
    done.lost.extend(room_lost(room))
    return None


def by_hand(room: Room) -> bool:
    """Whether a room was drawn, typed or measured on site: no drawing knows of it."""
    sources = {side.source for side in room.sides}
    return room.readings is not None or (not room.evidence and sources <= {"typed", "site"})


def on_site(room: Room) -> bool:
    """Whether its lengths were measured on site."""
    return room.readings is not None or any(side.source == "site" for side in room.sides)


# One room ------------------------------------------------------------------------------------------------


def _carried(
    storey: Storey, pair: RoomPair, name: RoomId, done: StoreyCarried, known_names: Collection[str] | None
) -> Room:
    """A room with the shape that the new drawing gives it and all that was set of it."""
    old, new = pair.old, pair.new
    assert old is not None
    assert new is not None
    if pair.main and not pair.others:
        turned = same_rings(old, new)
        if turned is not None:
            made = _with_kinds(old, turned, storey, done)
            return _from_drawing(made, old, new, storey, done, known_names)
        as_set = done.before is not None and new.id in done.before.rooms and not pair.beside
        if as_set:  # the designer left it as it was, somebody has set it otherwise
            done.walls.update({(old.id, side.id): [(old.id, side.id)] for side in old.sides})
            return _from_drawing(old, old, new, storey, done, known_names)
        if on_site(old):
            _told_on_site(storey, old, new, done)
            done.walls.update({(old.id, side.id): [(old.id, side.id)] for side in old.sides})
            return old
    sources = (old, *pair.others)
    paired = sides_paired(sources, new, pair.beside)
    made, called = _reshaped(storey, sources, pair, name, paired, done)
    shared = {
        side for _, side in shared_walls({(old.id, side): c for side, c in curves_by_id(old).items()}, pair.beside)
    }
    made = fields_moved(made, old, new, called, paired, done.lost if pair.main else [], shared)
    if not pair.main:
        made = replace(made, name=new.name, number=new.number)
        return _with_drawn(made, new)
    for other in pair.others:
        done.lost.extend(room_lost(other, counted=False))
        if _plain(other.name) == _plain(new.name):  # it is called as one of the rooms that it is made of
            known_names = {*(known_names or ()), old.name}
    return _from_drawing(made, old, new, storey, done, known_names)


def _with_kinds(old: Room, turned: Room, storey: Storey, done: StoreyCarried) -> Room:
    """The room as it was; where the new drawing opens a wall or closes one, that is taken over."""
    for side in old.sides:
        done.walls[old.id, side.id] = [(old.id, side.id)]

    def kind(side: Side, drawn: Side) -> Side:
        set_by_hand = side.open_from_mm is not None or side.open_to_mm is not None or side.source in ("typed", "site")
        if side.kind == drawn.kind:
            return side
        if set_by_hand:
            where = _where(storey, old, side.id)
            done.findings.append(noticed("revision-kind-kept", where, place=of_wall(old, side.id)))
            return side
        return replace(side, kind=drawn.kind)

    rings = [
        tuple(kind(a, b) for a, b in zip(ring, drawn, strict=True))
        for ring, drawn in zip(old.rings, turned.rings, strict=True)
    ]
    if all(a is b for ring, made in zip(old.rings, rings, strict=True) for a, b in zip(ring, made, strict=True)):
        return old
    return replace(old, outline=rings[0], inner=tuple(rings[1:]))


def _from_drawing(
    made: Room, old: Room, new: Room, storey: Storey, done: StoreyCarried, known_names: Collection[str] | None
) -> Room:
    """The room with what the new drawing says and nobody had set."""
    fields: dict[str, Any] = {}
    for name, what in (("ceiling", tr("height of its ceiling")), ("floor", tr("height of its floor"))):
        mine, drawn = getattr(made, name), getattr(new, name)
        own = field_drawn(mine, drawn, new)
        if own is not mine:
            fields[name] = own
        elif drawn is not None and mine is not None and not same_planes(mine, drawn, new):
            _told_height(storey, old, what, mine, drawn, done)
    if made.outline != old.outline:
        fields["printed_area_m2"] = new.printed_area_m2
    if _named_otherwise(old, new):
        if known_names is not None and _is_known(old, known_names):
            fields |= {"name": new.name, "number": new.number or old.number}
            done.printed_names[str(old.id)] = old.title
        else:
            where = _where(storey, old)
            done.findings.append(noticed("revision-name-kept", where, room=old.title, name=new.title))
            if known_names is None:
                done.printed_names[str(old.id)] = new.title
    return replace(made, **fields) if fields else made


def _told_height(storey: Storey, room: Room, what: str, mine: Field, drawn: Field, done: StoreyCarried) -> None:
    """A height that was typed or measured stays; where the new drawing writes another one, both are told."""
    if not mine.planes or not drawn.planes:
        return
    own, theirs = mm(mine.planes[0].z_mm), mm(drawn.planes[0].z_mm)
    done.findings.append(
        noticed("revision-size-kept", _where(storey, room), place=room.title, what=what, set=own, drawn=theirs)
    )


def _with_drawn(made: Room, new: Room) -> Room:
    """A room that was cut off another: what it is called and where a stair is, as drawn."""
    return replace(
        made, printed_area_m2=new.printed_area_m2, confidence=new.confidence, evidence=new.evidence, stair=new.stair
    )


def _named_otherwise(old: Room, new: Room) -> bool:
    return bool(new.name) and _plain(new.name) != _plain(old.name)


def _is_known(old: Room, known: Collection[str]) -> bool:
    """Whether a room's name stood in its drawing; one without a name was given none by hand."""
    words = {_plain(name) for name in known}
    return not old.name or _plain(old.name) in words


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())


def _told_on_site(storey: Storey, old: Room, new: Room, done: StoreyCarried) -> None:
    """A length measured on site outranks the drawing: both are told."""
    drawn, now = curves_by_id(old), curves_by_id(new)
    told = False
    for side, pair in sides_paired((old,), new).items():
        site, length = drawn[pair.side].length, now[side].length
        if not pair.piece and abs(site - length) > SAME_MM:
            told = True
            done.findings.append(
                noticed(
                    "revision-site-length",
                    _where(storey, old, pair.side),
                    place=of_wall(old, pair.side),
                    site=mm(site),
                    drawn=mm(length),
                )
            )
    if not told:
        done.findings.append(noticed("revision-room-on-site", _where(storey, old), room=old.title))


# The shape -----------------------------------------------------------------------------------------------


def _reshaped(
    storey: Storey, sources: Sequence[Room], pair: RoomPair, name: RoomId, paired: dict[SideId, SidePair],
    done: StoreyCarried,
) -> tuple[Room, dict[SideId, SideId]]:  # fmt: skip
    """The first room with the new outline: every side under the id of what it was, with all that was said of it. And
    what each side of the new drawing is called then."""
    old, new = sources[0], pair.new
    assert new is not None
    rooms = {room.id: room for room in sources}
    curves = {(room.id, side): curve for room in sources for side, curve in curves_by_id(room).items()}
    sides = {(room.id, side.id): side for room in sources for side in room.sides}
    now = curves_by_id(new)
    called = _called(old, new, paired)
    ends = _ends(paired, curves, now, shared_walls(curves, pair.beside))
    corners = [(s.x_mm, s.y_mm) for room in sources for s in room.sides]

    def made(drawn: Side) -> Side:
        x, y = _snapped(drawn.x_mm, drawn.y_mm, corners)
        place = {"x_mm": x, "y_mm": y, "bulge": drawn.bulge, "kind": drawn.kind, "source": drawn.source}
        own = paired.get(drawn.id)
        if own is None:
            return replace(drawn, id=called[drawn.id], x_mm=x, y_mm=y)
        was = sides[own.room, own.side]
        along = along_now(curves[own.room, own.side], now[drawn.id], *ends[drawn.id])
        if was.kind == drawn.kind == "open":
            place["kind"] = was.kind
        done.walls.setdefault((own.room, own.side), []).append((name, called[drawn.id]))
        done.alongs[name, called[drawn.id]] = along
        return replace(side_along(was, along), id=called[drawn.id], **place)

    rings = [tuple(made(side) for side in ring) for ring in new.rings]
    room = replace(old, id=name, outline=rings[0], inner=tuple(rings[1:]))
    done.reshaped.update(rooms)
    if pair.main and done.before is not None and old.id in done.before.set_by_hand:
        was = tr_count("{count} wall", "{count} walls", len(old.sides))
        done.lost.append(Lost(tr("outline that was set by hand"), old.title, was, str(old.id)))
    for key, wall in curves.items():
        into = goes_into(wall, now)
        if into is not None:
            done.into.setdefault(key, (name, called[into]))
    _walls_unsaid(storey, old, new, room, paired, called, done)
    return room, called


def _called(old: Room, new: Room, paired: dict[SideId, SidePair]) -> dict[SideId, SideId]:
    """What each new side is called: as the side of the room that it is, else by an id of its own."""
    taken = {str(side.id) for side in old.sides}
    found: dict[SideId, SideId] = {}
    for side in new.sides:
        pair = paired.get(side.id)
        if pair is not None and pair.room == old.id and not pair.piece:
            found[side.id] = pair.side
            continue
        base = fresh_id(list(taken), str(pair.side)) if pair is not None else fresh_number(list(taken), "s")
        taken.add(base)
        found[side.id] = SideId(base)
    return found


def _ends(
    paired: dict[SideId, SidePair], curves: dict[tuple[RoomId, SideId], Curve], now: dict[SideId, Curve],
    shared: Collection[tuple[RoomId, SideId]],
) -> dict[SideId, tuple[bool, bool]]:  # fmt: skip
    """Of each new side: whether it begins, and whether it ends, where its wall does. Of several pieces the first
    begins it and the last ends it, where they lie in this room. ``shared``: walls that go on in another room too."""
    groups: dict[tuple[RoomId, SideId], list[SideId]] = {}
    for side, pair in paired.items():
        groups.setdefault((pair.room, pair.side), []).append(side)
    found = {}
    for key, members in groups.items():
        wall = curves[key]
        members.sort(key=lambda side: along_now(wall, now[side]).shift)
        for side in members:
            along = along_now(wall, now[side])
            alone = len(members) == 1 and not paired[side].piece and key not in shared
            start = alone or (side == members[0] and not _cut(along.shift))
            end = alone or (side == members[-1] and not _cut(along.old - along.shift - along.new))
            found[side] = (start, end)
    return found


CUT_MM = 50.0
"""A piece that ends this far short of the wall's end was cut off it."""


def _cut(short_mm: float) -> bool:
    return short_mm > CUT_MM


def _snapped(x: float, y: float, corners: Iterable[tuple[float, float]]) -> tuple[float, float]:
    """A corner where one was, within a millimetre."""
    for cx, cy in corners:
        if abs(cx - x) <= SAME_MM and abs(cy - y) <= SAME_MM:
            return cx, cy
    return x, y


def _walls_gone(rooms: Sequence[Room], done: StoreyCarried) -> None:
    """What was said of walls that are none any more, and of stretches that are gone. A wall that became a part of
    another one is that one, and what was said of it is lost only where another thing is said of that."""
    made = {(room.id, side.id): side for room in rooms for side in room.sides}
    for owner in done.reshaped.values():
        for was in owner.sides:
            key = (owner.id, was.id)
            now = [made[own] for own in done.walls.get(key, ()) if own in made]
            if now:
                done.lost.extend(_stretches_gone(owner, was, now))
                continue
            into = done.into.get(key)
            if into is not None and into in made:
                done.walls[key] = [into]
                if _says_the_same(was, made[into]):
                    continue
            done.lost.extend(wall_lost(owner, was))


def _says_the_same(was: Side, now: Side) -> bool:
    """Whether of a wall nothing is said but what is said of the one that it is a part of now."""
    return was.treatment in (None, now.treatment) and was.behind in ((), now.behind) and was.wall_type == now.wall_type


def _stretches_gone(room: Room, was: Side, now: list[Side]) -> list[Lost]:
    found = []
    where = of_wall(room, was.id)
    kept = [side.treatment for side in now if side.treatment is not None]
    if was.treatment is not None:
        exclusions = {e.id for t in kept for e in t.exclusions}
        found += [
            Lost(tr("masked part"), where, e.what or tr("masked part"), str(room.id))
            for e in was.treatment.exclusions
            if e.id not in exclusions
        ]
        if len(was.treatment.parts_mm) > sum(len(t.parts_mm) for t in kept):
            said = "; ".join(stretch_said(a, b) for a, b in was.treatment.parts_mm)
            found.append(Lost(tr("coated stretch"), where, said, str(room.id)))
    classes = {b.cls for side in now for b in side.behind}
    found += [
        Lost(tr("what is behind the wall"), where, behind_said(b), str(room.id))
        for b in was.behind
        if b.cls not in classes
    ]
    return found


def _walls_unsaid(
    storey: Storey, old: Room, new: Room, room: Room, paired: dict[SideId, SidePair], called: dict[SideId, SideId],
    done: StoreyCarried,
) -> None:  # fmt: skip
    """New walls in a room whose walls have coats of their own: nobody has said whether these are coated."""
    if not any(side.treatment is not None and _ways(side.treatment) != _ways(old.walls) for side in old.sides):
        return
    for side in new.sides:
        if side.id not in paired and side.kind == "wall":
            where = of_wall(room, called[side.id])
            done.findings.append(noticed("revision-wall-unsaid", _where(storey, room, called[side.id]), place=where))


def _ways(treatment: WallTreatment) -> tuple[object, ...]:
    return treatment.coat, treatment.start_mm, treatment.end_mm, treatment.parts_mm


# The storey ----------------------------------------------------------------------------------------------


def _in_old_order(old: Storey, rooms: list[Room]) -> tuple[Room, ...]:
    """Rooms as they stood in the job, new ones last."""
    place = {room.id: k for k, room in enumerate(old.rooms)}
    return tuple(sorted(rooms, key=lambda room: place.get(room.id, len(place))))


def _with_height(storey: Storey, new: Storey, done: StoreyCarried) -> Storey:
    """A height that nobody set is the new drawing's; one that was set stays, and another one is told."""
    if new.height_source == "assumed" or abs(storey.height_mm - new.height_mm) <= SAME_HEIGHT_MM:
        return storey
    if storey.height_source in FROM_DRAWING:
        return replace(storey, height_mm=new.height_mm, height_source=new.height_source)
    what, own, theirs = tr("storey height"), mm(storey.height_mm), mm(new.height_mm)
    where = Where(storey=storey.id)
    done.findings.append(noticed("revision-size-kept", where, place=storey.title, what=what, set=own, drawn=theirs))
    return storey


def _with_outline(storey: Storey, new: Storey, done: StoreyCarried) -> Storey:
    """The building's outline as the new drawing has it, unless somebody has set one."""
    if not new.building or _same_building(storey.building, new.building):
        return storey
    if storey.building and storey.building_source in ("typed", "site"):
        done.findings.append(noticed("revision-outline-kept", Where(storey=storey.id), storey=storey.title))
        return storey
    return replace(storey, building=new.building)


def _same_building(old: tuple[Ring, ...], new: tuple[Ring, ...]) -> bool:
    if len(old) != len(new):
        return False
    return all(any(_same_ring(a, b) for b in new) for a in old)


def _same_ring(old: Ring, new: Ring) -> bool:
    mine = tuple(Side(id=SideId(""), x_mm=x, y_mm=y, bulge=b) for x, y, b in old)
    theirs = tuple(Side(id=SideId(""), x_mm=x, y_mm=y, bulge=b) for x, y, b in new)
    return turned_ring(mine, theirs) is not None


def _doubts(pairs: list[RoomPair], storey: Storey, done: StoreyCarried) -> None:
    for pair in pairs:
        if pair.doubt and pair.old is not None:
            where = _where(storey, pair.old)
            done.findings.append(noticed("revision-room-doubtful", where, room=pair.old.title, why=pair.doubt))


def _where(storey: Storey, room: Room, surface: str | None = None) -> Where:
    side = room.outline[0] if room.outline else None
    x, y = (side.x_mm, side.y_mm) if side is not None else (None, None)
    return Where(storey=storey.id, room=room.id, surface=surface, x_mm=x, y_mm=y)


def share_said(share: float) -> str:
    """A share in per cent, as it is said."""
    return percent(round(100.0 * share))
