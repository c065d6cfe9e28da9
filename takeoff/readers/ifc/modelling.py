"""From the bytes of a model to drawings and findings, within one process."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from typing import Any

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding, InputError
from takeoff.findings import noticed
from takeoff.language import quoted, tr, tr_count
from takeoff.language.lists import some_of
from takeoff.readers.ifc.gathering import Gathered, gather
from takeoff.readers.ifc.ifc_entities import ENTITY_FAULTS, Units, of_class, text, units
from takeoff.readers.ifc.meshes import Shaper
from takeoff.readers.ifc.storey_drawings import Sheet, drawing_of, sheets
from takeoff.units.printing import shown_short

Tell = Callable[[float, str], None]
SCHEMAS = ("IFC2X3", "IFC4", "IFC4X3")
OLDER = ("IFC2X_FINAL", "IFC2X2_FINAL", "IFC2X2_ADD1")
"""Schemas that 2x3 takes up: what bears on rooms, walls and openings is written in them as in that."""
SCHEMA_LINE = re.compile(rb"FILE_SCHEMA\s*\(\s*\(\s*'([^']*)'", re.IGNORECASE)
HEAD_BYTES = 65536
OPENED, SHAPED = 0.15, 0.9
SHOWN = 5
SMALLEST_UNIT_MM, LARGEST_UNIT_MM = 1e-3, 1e4
"""From micrometres to ten metres: models are written in millimetres to yards, and a prefix beyond is damage."""
WIDEST_MM = 2e7
"""20 km: no building is wider; a stray element or a wrong unit is."""


def model_drawings(data: bytes, name: str, digest: str, tell: Tell) -> tuple[tuple[Drawing, ...], tuple[Finding, ...]]:
    """The drawings of a model, lowest storey first, and what is worth knowing about it.

    Raises InputError for a model without shapes of walls or spaces.
    """
    tell(0.0, tr("Reading {file}", file=name))
    found: list[Finding] = []
    model = _open(data, name, found)
    unit = _unit(model, name, found)
    shaper = Shaper()
    tell(OPENED, tr("Shaping the model"))
    gathered = gather(
        model, shaper, unit.mm, lambda part: tell(OPENED + (SHAPED - OPENED) * part, tr("Shaping the model"))
    )
    gathered = _within_reach(gathered, found)
    _refuse_bare(model, gathered, shaper, name)
    tell(SHAPED, tr("Cutting the storeys"))
    drawn, empty, invented, below = sheets(model, gathered, unit.mm)
    several = len(of_class(model, "IfcBuilding")) > 1
    drawings = tuple(drawing_of(s, gathered, name, digest, unit, several) for s in drawn)
    found += _storey_findings(name, drawn, empty, invented)
    if below:
        found.append(noticed("openings-below-storeys", count=below))
    found += _without_spaces(gathered, [s.level.key for s in drawn], model)
    found += _loss_findings(name, gathered, shaper)
    tell(1.0, tr("Read"))
    return drawings, tuple(found)


def _open(data: bytes, name: str, found: list[Finding]) -> Any:
    import ifcopenshell

    said = SCHEMA_LINE.search(data[:HEAD_BYTES])
    schema = said[1].decode("ascii", errors="replace").upper() if said else ""
    if said and schema in OLDER:
        found.append(noticed("schema-older", file=name, schema=schema))
        data, schema = data[: said.start(1)] + b"IFC2X3" + data[said.end(1) :], "IFC2X3"
    if schema and not (schema in SCHEMAS or schema.startswith("IFC4X3")):
        raise InputError(
            tr(
                "{file} is written in the schema {schema}, which is not read: export it as IFC 4 or 2x3.",
                file=name,
                schema=schema[:40],
            )
        )
    if said and schema.startswith("IFC4X3"):
        # WORKAROUND: the library knows 4.3 under its last name only, and its drafts differ little.
        data = data[: said.start(1)] + b"IFC4X3_ADD2" + data[said.end(1) :]
    data = _unset(data, schema)
    try:
        model = ifcopenshell.file.from_string(data.decode("utf-8", errors="replace"))
        schema = str(model.schema)
    except (*ENTITY_FAULTS, ifcopenshell.Error) as error:
        raise InputError(
            tr("{file} is damaged and cannot be read as an IFC model: export it again.", file=name)
        ) from error
    if schema not in SCHEMAS:
        raise InputError(
            tr(
                "{file} is written in the schema {schema}, which is not read: export it as IFC 4.",
                file=name,
                schema=schema[:40],
            )
        )
    return model


_STATEMENT = re.compile(rb"=\s*(IFC\w+)\s*\(([^';]*(?:'[^']*'[^';]*)*)\)\s*;", re.IGNORECASE)
_STAR = re.compile(rb"(?<=[,(])(\s*)\*(?=\s*[,)])")
_PART = re.compile(rb"'[^']*'|[(),]|[^'(),]+")
DERIVED = ((b"IFCSIUNIT", 1), (b"IFCGEOMETRICREPRESENTATIONSUBCONTEXT", 4), (b"IFCORIENTEDEDGE", 2))
"""Where sound files have a star, and how many."""


def _unset(data: bytes, schema: str) -> bytes:
    """The model with ``$``, not set, for every ``*`` in a place that the schema does not derive: some
    programs write so, and the library then finds none of what hangs on such an attribute."""
    # Most files have only the stars that belong there, and need not be gone through.
    usual = sum(count * len(re.findall(name + rb"\s*\(", data, re.IGNORECASE)) for name, count in DERIVED)
    if len(_STAR.findall(data)) <= usual:
        return data
    import ifcopenshell

    known = ifcopenshell.schema_by_name("IFC4X3_ADD2" if schema.startswith("IFC4X3") else schema or "IFC4")
    derived: dict[bytes, tuple[bool, ...]] = {}

    def mended(statement: re.Match[bytes]) -> bytes:
        if b"*" not in statement[2]:
            return statement[0]
        name = statement[1].upper()
        if name not in derived:
            derived[name] = _derived(known, name.decode())
        values = _with_dollars(b"," + statement[2] + b",", derived[name])[1:-1]
        return (
            statement[0][: statement.start(2) - statement.start()]
            + values
            + statement[0][statement.end(2) - statement.start() :]
        )

    return _STATEMENT.sub(mended, data)


def _derived(known: Any, name: str) -> tuple[bool, ...]:
    """For each attribute of a class whether the schema derives it; none for a class it lacks."""
    try:
        return tuple(known.declaration_by_name(name).as_entity().derived())
    except (RuntimeError, AttributeError):
        return ()


def _with_dollars(values: bytes, derived: tuple[bool, ...]) -> bytes:
    """The values of a statement, between commas, with ``$`` for stars that stand for none of ``derived``."""
    at, depth, made = -1, 0, []
    for part in _PART.findall(values):
        depth += (part == b"(") - (part == b")")
        at += part == b"," and depth == 0
        belongs = depth == 0 and 0 <= at < len(derived) and derived[at]
        made.append(b"$" if part.strip() == b"*" and not belongs else part)
    return b"".join(made)


def _unit(model: Any, name: str, found: list[Finding]) -> Units:
    try:
        unit = units(model)
    except ENTITY_FAULTS:
        unit = None
    if unit is None:
        found.append(noticed("unit-undecided/model", file=name))
        return Units("m", 1000.0, {"m": 1.0, "m2": 1.0, "m3": 1.0})
    if not SMALLEST_UNIT_MM <= unit.mm <= LARGEST_UNIT_MM:
        raise InputError(
            tr(
                "{file} says that one unit of length is {length} m ({unit}), in which no building is drawn: export "
                "it again in metres or millimetres.",
                file=name,
                length=shown_short(unit.mm / 1000.0, 3),
                unit=unit.name,
            )
        )
    found.append(noticed("unit-decided/model", file=name, unit=unit.name))
    return unit


def _within_reach(gathered: Gathered, found: list[Finding]) -> Gathered:
    """What stands within 20 km of the middle of everything; the rest is left out and told."""
    boxes = [b.whole.xyz for b in gathered.bodies] + [s.mesh.xyz for s in gathered.spaces]
    if not boxes:
        return gathered
    middle = sorted(x[0, 0] for x in boxes)[len(boxes) // 2], sorted(x[0, 1] for x in boxes)[len(boxes) // 2]

    def near(xyz: Any) -> bool:
        off = max(abs(xyz[:, k] - middle[k]).max() for k in (0, 1))
        return bool(max(off, xyz[:, 2].max() - xyz[:, 2].min()) < WIDEST_MM)

    kept = Gathered(
        [b for b in gathered.bodies if near(b.whole.xyz)],
        [s for s in gathered.spaces if near(s.mesh.xyz)],
        [h for h in gathered.holes if near(h.mesh.xyz)],
        gathered.lost_spaces,
        gathered.north,
    )
    lost = sum(
        (
            len(gathered.bodies) - len(kept.bodies),
            len(gathered.spaces) - len(kept.spaces),
            len(gathered.holes) - len(kept.holes),
        )
    )
    if lost:
        found.append(noticed("elements-far-away", count=lost))
    return kept


def _refuse_bare(model: Any, gathered: Gathered, shaper: Shaper, name: str) -> None:
    if any(b.what == "walls" for b in gathered.bodies) or gathered.spaces:
        return
    count = len(of_class(model, "IfcWall")) + len(of_class(model, "IfcSpace"))
    failed = sum(shaper.failed.values()) + sum(shaper.far.values())
    if not count:
        raise InputError(tr("{file} has no walls and no spaces to measure: export the architect’s model.", file=name))
    damaged = tr_count("{count} shape is damaged", "{count} shapes are damaged", failed)
    reason = damaged if failed else tr("it holds data only")
    raise InputError(
        tr_count(
            "{file} names {count} wall or space, and it has no shape that can be measured ({reason}): export it again "
            "with geometry.",
            "{file} names {count} walls and spaces, but none has a shape that can be measured ({reason}): export it "
            "again with geometry.",
            count,
            file=name,
            reason=reason,
        )
    )


def _storey_findings(name: str, drawn: list[Sheet], empty: list[str], invented: bool) -> list[Finding]:
    found = []
    if invented:
        found.append(noticed("storeys-missing", file=name, count=len(drawn)))
    if empty:
        shown = some_of([quoted(n) for n in empty], SHOWN)
        found.append(noticed("storeys-empty", storeys=shown))
    return found


def _without_spaces(gathered: Gathered, drawn: list[int], model: Any) -> list[Finding]:
    """Storeys that doors stand in but no space, in a model whose other storeys have spaces."""
    doors = {b.place.storey for b in gathered.bodies if b.what == "doors"} - {0, *drawn}
    if not gathered.spaces or not doors:
        return []
    names = some_of([quoted(text(model.by_id(key), "Name")) for key in sorted(doors)], SHOWN)
    return [noticed("storey-without-spaces", storeys=names)]


def _loss_findings(name: str, gathered: Gathered, shaper: Shaper) -> list[Finding]:
    found = []
    if gathered.lost_spaces:
        spaces = some_of([quoted(n) for n in gathered.lost_spaces], SHOWN)
        found.append(noticed("space-without-shape", file=name, spaces=spaces))
    lost = Counter(shaper.failed)
    lost.update(shaper.far)
    lost.pop("IfcSpace", None)
    if lost:
        kinds = ", ".join(f"{n} × {k.removeprefix('Ifc')}" for k, n in lost.most_common(SHOWN))
        found.append(noticed("shapes-missing", file=name, kinds=kinds))
    return found
