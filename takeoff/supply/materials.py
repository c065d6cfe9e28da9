"""From a takeoff to an order: needs, whole packs, bead cutting lists."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal

import msgspec

from takeoff.errors import Finding, InputError, Where
from takeoff.findings import noticed
from takeoff.language import mark, number, quoted, tr, tr_count
from takeoff.measure.dims import profile_of
from takeoff.measure.takeoff import BeadPiece, Edge, RoomTakeoff, Takeoff
from takeoff.supply.carriage import Carried, PackNeed, with_carriage
from takeoff.supply.cutting import cut
from takeoff.supply.needs import Quantities, area_workings, base_workings, coat_workings, edge_workings, quantities
from takeoff.supply.order import At, Bar, Cut, CuttingList, Order, OrderLine, PlacedPiece, Working
from takeoff.supply.packs import choose, cost_of
from takeoff.supply.systems import (
    BeadProfile,
    CoatingSystem,
    Pack,
    Product,
    amounts_unit,
    in_words,
    products_by_line,
    profile_for_angle,
)
from takeoff.units.printing import fmt2, in_figures, printed, shown

__all__ = ["Bar", "Cut", "CuttingList", "Order", "OrderLine", "Working", "materials"]

CORNER_WORDS = {
    "room": mark("corner of the room"),
    "opening": mark("opening"),
    "drop": mark("bulkhead or boxing"),
    "ceiling": mark("between ceiling planes"),
    "low": mark("dwarf wall"),
}

AREA_TOLERANCE = 1e-6
"""Part of a room's coated area by which its surfaces may differ from it."""


def materials(takeoff: Takeoff, system: CoatingSystem) -> Order:
    """What to order for a takeoff with a coating system.

    Net areas by substrate and lengths by edge, times ``RoomTakeoff.times`` (which is room ×
    storey times); whole packs at the lowest cost; bead cut from stock. Billing conventions play
    no part. Nothing is bought for a quantity of nought; a takeoff without rooms gives an empty
    order. Findings: what the system does not know, joined bead, invented data.

    Raises InputError where a figure of the takeoff is not a number.
    """
    _finite(takeoff)
    system = in_words(system)
    found = quantities(takeoff)
    pieces, bead_findings = _pieces(takeoff, system)
    beads = tuple(cut(profile, pieces[profile.id], system.kerf_mm) for profile in system.beads)
    beads = tuple(one for one in beads if one.need_mm > 0)
    workings = tuple(_workings(system, found, beads))
    lines = (*_pack_lines(system, workings), *(_bead_line(one) for one in beads))
    lines, carriage, note = delivered(system, lines)
    goods = _total(lines)
    return Order(
        system=system.id,
        system_name=system.name,
        currency=system.currency,
        lines=lines,
        beads=beads,
        workings=workings,
        findings=(
            *_system_findings(system, lines),
            *_substrate_findings(takeoff, system),
            *bead_findings,
            *_joint_findings(beads),
        ),
        cost=None if goods is None else goods + (carriage or 0),
        carriage=carriage,
        carriage_note=note,
    )


def delivered(
    system: CoatingSystem, lines: tuple[OrderLine, ...], there: Mapping[str, float] | None = None
) -> tuple[tuple[OrderLine, ...], Decimal | None, str]:
    """The lines with their packs as goods and carriage together cost least, carriage, and a sentence about packs that
    were added for its sake. Bead stays as it was cut. ``there``: what there is already of each line, by its id.
    Carriage is None where the system says nothing of it, or a price is missing."""
    sold = products_by_line(system)
    costs = [line.cost for line in lines]
    if not system.carriage.is_set or not lines or any(cost is None for cost in costs):
        return lines, None, ""
    before = there or {}
    needs = [
        PackNeed(max(0.0, line.need - before.get(line.id, 0.0)) if line.id in sold else 0.0, _packs_of(sold, line))
        for line in lines
    ]
    fixed = sum((line.cost for line in lines if line.id not in sold and line.cost is not None), Decimal(0))
    found = with_carriage(needs, fixed, system.carriage)
    if found is None:
        return lines, None, ""
    changed = tuple(
        _repacked(line, sold[line.id], counts) if line.id in sold else line
        for line, counts in zip(lines, found.counts, strict=True)
    )
    return changed, found.charge, _carriage_note(system, found, fixed > 0)


def _packs_of(sold: Mapping[str, Product], line: OrderLine) -> tuple[Pack, ...]:
    return sold[line.id].packs if line.id in sold else ()


def _repacked(line: OrderLine, product: Product, counts: Sequence[int]) -> OrderLine:
    """The line with other packs."""
    bought = tuple((pack.name, n) for pack, n in zip(product.packs, counts, strict=True) if n)
    supplied = math.fsum(n * pack.size for pack, n in zip(product.packs, counts, strict=True))
    if bought == line.packs:
        return line
    return msgspec.structs.replace(
        line, packs=bought, pack=packs_in_words(bought), supplied=supplied, cost=cost_of(tuple(counts), product.packs)
    )


def _carriage_note(system: CoatingSystem, found: Carried, bars: bool) -> str:
    """Why packs were added; ``bars``: bead is in the order, which is cut for itself and not for carriage."""
    if found.goods and found.goods < system.carriage.minimum_order:
        return tr(
            "Goods of {goods} are less than the supplier's least order of {least}.",
            goods=number(found.goods),
            least=number(system.carriage.minimum_order),
        )
    if not found.raised:
        return ""
    facts = {"goods": number(found.goods), "charge": number(found.charge)}
    if not found.proved:
        return tr(
            "Packs were added so that the goods come to {goods}, with carriage of {charge}: an order that costs less "
            "is not ruled out.",
            **facts,
        )
    if bars:
        return tr(
            "Packs were added so that the goods come to {goods}: with carriage of {charge} and bars as they are cut, "
            "no order costs less.",
            **facts,
        )
    return tr(
        "Packs were added so that the goods come to {goods}: with carriage of {charge} no order costs less.", **facts
    )


def _workings(system: CoatingSystem, found: Quantities, beads: Iterable[CuttingList]) -> Iterator[Working]:
    """Every working in the order of the lines."""
    yield from base_workings(system, found)
    yield from coat_workings(system, found, {one.profile: one.need_mm / 1000 for one in beads})
    for use in system.by_edge:
        yield from edge_workings(use, found)
    yield from area_workings(system, found)


def _pack_lines(system: CoatingSystem, workings: Sequence[Working]) -> Iterator[OrderLine]:
    """One line per product that is needed, with its packs."""
    for key, product in products_by_line(system).items():
        of_item = [one for one in workings if one.item == key]
        need = math.fsum(one.amount for one in of_item)
        if need > 0:
            yield _pack_line(key, product, need, of_item)


def _pack_line(key: str, product: Product, need: float, workings: Sequence[Working]) -> OrderLine:
    counts = choose(need, product.packs)
    bought = tuple((pack.name, n) for pack, n in zip(product.packs, counts, strict=True) if n)
    return OrderLine(
        id=key,
        item=product.name,
        need=need,
        unit=product.unit,
        packs=bought,
        pack=packs_in_words(bought),
        supplied=math.fsum(n * pack.size for pack, n in zip(product.packs, counts, strict=True)),
        cost=cost_of(counts, product.packs),
        working=_sum_text(workings, product.unit),
    )


def _sum_text(workings: Sequence[Working], unit: str) -> str:
    """The one working with its result; of several, all of them and the sum of what they print."""
    unit = amounts_unit(unit)
    texts = [in_figures(f"{one.text} = {printed(one.amount)} {unit}") for one in workings]
    if len(texts) == 1:
        return texts[0]
    results = [printed(one.amount) for one in workings]
    total = in_figures(f"{' + '.join(map(str, results))} = {sum(results)} {unit}")
    return "; ".join([*(f"{one.what}: {text}" for one, text in zip(workings, texts, strict=True)), total])


def packs_in_words(bought: Sequence[tuple[str, int]]) -> str:
    """ "2 × 6 L tub + 3 × 22 L bucket"; "" of nothing."""
    return " + ".join(f"{count} × {name}" for name, count in bought)


def _bead_line(one: CuttingList) -> OrderLine:
    return OrderLine(
        id=f"bead-{one.profile}",
        item=one.name,
        need=one.need_mm / 1000,
        unit="m",
        packs=one.bought,
        pack=packs_in_words(one.bought),
        supplied=one.bought_mm / 1000,
        cost=one.cost,
        working=_bead_working(one),
    )


def _bead_working(one: CuttingList) -> str:
    cuts = [piece for bar in one.bars for piece in bar.cuts] or list(one.coil_cuts)
    facts = {"need": fmt2(one.need_mm / 1000), "bought": fmt2(one.bought_mm / 1000), "status": one.status}
    if one.joints:
        joints = tr_count("{count} joint", "{count} joints", one.joints)
        return tr_count(
            "{count} piece with {joints}, {need} m, from {bought} m; {status}",
            "{count} pieces with {joints}, {need} m, from {bought} m; {status}",
            len(cuts),
            joints=joints,
            **facts,
        )
    return tr_count(
        "{count} piece, {need} m, from {bought} m; {status}",
        "{count} pieces, {need} m, from {bought} m; {status}",
        len(cuts),
        **facts,
    )


def _pieces(takeoff: Takeoff, system: CoatingSystem) -> tuple[dict[str, list[BeadPiece]], tuple[Finding, ...]]:
    """The pieces by profile, each as often as its room, with findings for what does not fit.

    A piece keeps its profile if the system has it, and makes it for the angle of the corner or a person chose
    it. Otherwise the angle decides, else the system's first straight profile.
    """
    pieces: dict[str, list[BeadPiece]] = {profile.id: [] for profile in system.beads}
    findings: dict[Finding, None] = {}
    for room in takeoff.rooms:
        edges = {str(e.id): e for e in room.edges if e.cls == "external"}
        for piece in room.bead_pieces:
            edge = edges.get(piece.where)
            profile, finding = _profile(piece, edge, system, room)
            if finding is not None:
                findings[finding] = None
            if profile is not None:
                pieces[profile.id] += _copies(piece, edge, room)
    return pieces, tuple(findings)


def _place(piece: BeadPiece, edge: Edge | None, room: RoomTakeoff) -> str:
    """Where a piece goes, in words: "Kitchen: opening, head".

    Beside the kind of corner stand the words of its surfaces that say more than their kind does.
    """
    name = room.name or room.room
    if edge is None:
        return piece.where if name in piece.where else f"{name}: {piece.where}"
    if edge.kind != "opening":
        # a part is called by its name: "Kitchen: boxing" says more than that it is some bulkhead
        own = [s.what for s in room.surfaces if s.id in edge.surfaces and s.what not in ("", s.kind, "drop face")]
        said = list(dict.fromkeys(tr(what) for what in own)) or [tr(CORNER_WORDS.get(edge.kind, edge.kind))]
    else:
        own = [s.what for s in room.surfaces if s.id in edge.surfaces and s.what not in ("", s.kind)]
        said = [tr(CORNER_WORDS["opening"]), *dict.fromkeys(tr(what) for what in own)]
    return f"{name}: {', '.join(said)}"


def _copies(piece: BeadPiece, edge: Edge | None, room: RoomTakeoff) -> Iterator[PlacedPiece]:
    place, kind = _place(piece, edge, room), edge.kind if edge else ""
    for which in range(1, room.times + 1):
        copy = tr("{number} of {count}", number=which, count=room.times) if room.times > 1 else ""
        at = At(room.storey, room.room, piece.where, kind, copy)
        text = f"{place}, {copy}" if copy else place
        yield PlacedPiece(piece.length_mm, piece.profile, text, at)


def _profile(
    piece: BeadPiece, edge: Edge | None, system: CoatingSystem, room: RoomTakeoff
) -> tuple[BeadProfile | None, Finding | None]:
    named = next((one for one in system.beads if one.id == piece.profile), None)
    curved = edge is not None and edge.curved
    where = Where(storey=room.storey, room=room.room)
    fits = profile_for_angle(system, edge.angle_deg, curved) if edge is not None else None
    if named is not None and (named.coil or not curved):
        if edge is None or fits is None or not _only_by_angle(piece, edge) or _holds(named, edge):
            return named, None
        why = tr("is not made for a corner of {angle}°", angle=shown(edge.angle_deg, 0))
        return fits, noticed("bead-profile-replaced", where, asked=quoted(piece.profile), why=why, taken=fits.name)
    taken = fits
    if taken is None:
        taken = next((one for one in system.beads if one.coil == curved), None)
    if taken is None:
        place = _place(piece, edge, room)
        return None, noticed("bead-not-in-system", where, system=system.name, place=place)
    if not piece.profile:
        return taken, None
    curved_one = tr("is straight and the corner is curved")
    why = curved_one if named is not None else tr("is not in {system}", system=system.name)
    return taken, noticed("bead-profile-replaced", where, asked=quoted(piece.profile), why=why, taken=taken.name)


def _only_by_angle(piece: BeadPiece, edge: Edge) -> bool:
    """Whether a piece has the profile that its angle alone gives: measuring knows no system's ranges."""
    return piece.profile == profile_of(edge.angle_deg, edge.curved)


def _holds(profile: BeadProfile, edge: Edge) -> bool:
    return profile.angle_from_deg <= edge.angle_deg <= profile.angle_to_deg


def _system_findings(system: CoatingSystem, lines: Sequence[OrderLine]) -> Iterator[Finding]:
    if lines and system.demo:
        yield noticed("demo-system", system=system.name)


def _substrate_findings(takeoff: Takeoff, system: CoatingSystem) -> Iterator[Finding]:
    """Substrates that the system does not know, and rooms whose surfaces do not add up."""
    known = {one.id for one in system.substrates}
    fallback = next(one for one in system.substrates if one.id == system.fallback_substrate)
    unknown = {s.substrate for room in takeoff.rooms for s in room.surfaces if s.net_m2 > 0} - known
    for substrate in sorted(unknown):
        yield noticed("unknown-substrate", system=system.name, substrate=substrate, fallback=fallback.name)
    for room in takeoff.rooms:
        net = math.fsum(surface.net_m2 for surface in room.surfaces)
        if abs(net - room.coated_m2) > AREA_TOLERANCE * max(1.0, room.coated_m2):
            yield noticed(
                "areas-do-not-close",
                Where(storey=room.storey, room=room.room),
                room=room.name or room.room,
                surfaces_m2=shown(net),
                coated_m2=shown(room.coated_m2),
            )


def _joint_findings(beads: Iterable[CuttingList]) -> Iterator[Finding]:
    """One note per profile, however many of its pieces are joined."""
    for one in beads:
        joined: dict[str, int] = {}
        where = Where()
        for piece in (piece for bar in one.bars for piece in bar.cuts if piece.part):
            if not joined and piece.at:
                where = Where(storey=piece.at.storey, room=piece.at.room)
            joined[piece.where] = joined.get(piece.where, 0) + 1
        first = next(iter(joined), "")
        if len(joined) > 1:
            yield noticed("bead-joined/several", where, count=len(joined), bead=one.name, place=first)
        elif joined:
            yield noticed("bead-joined/one", where, bead=one.name, place=first, parts=joined[first])


def _total(lines: Sequence[OrderLine]) -> Decimal | None:
    costs = [line.cost for line in lines if line.cost is not None]
    return sum(costs, Decimal(0)) if len(costs) == len(lines) else None


def _finite(takeoff: Takeoff) -> None:
    """Refuses a takeoff with a figure that is not a number, naming room and figure."""
    for room in takeoff.rooms:
        for key, value in msgspec.structs.asdict(room).items():
            values = value.values() if isinstance(value, dict) else (value,)
            if any(isinstance(one, float) and not math.isfinite(one) for one in values):
                raise InputError(
                    tr(
                        "A figure of {room} ({figure}) is not a number: check that room.",
                        room=room.name or room.room,
                        figure=key,
                    )
                )
        for surface in room.surfaces:
            if not math.isfinite(surface.net_m2):
                raise InputError(
                    tr(
                        "The area of “{surface}” in {room} is not a number: check that room.",
                        surface=surface.what,
                        room=room.name or room.room,
                    )
                )
