"""Coating systems: what a square metre and a metre of corner take, as data.

A system is one JSON file, in ``resources/systems`` or in a folder of the user's own. Consumption rates in it
are the maker's or the contractor's own; each carries a ``rule`` that says where it comes from. The program
holds no rate of its own. A job keeps a copy of the system that was chosen for it.
"""

from __future__ import annotations

from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Annotated, Any, Literal

import msgspec
from msgspec import Meta

from takeoff.errors import InputError, OutputError
from takeoff.files.atomic import make_folder, write_bytes
from takeoff.files.paths import own_data_folder, resource, resource_names, state_folder
from takeoff.language import language, tr
from takeoff.plan.model import Job
from takeoff.units.currencies import CURRENCIES

FOLDER = "systems"
LARGEST_BYTES = 1 << 20
DEMO = "demo-lime-foam"
USUAL = "usual-system.txt"
FORMER = {"demo-cork-skim": "demo-coat-b"}
"""Ids that systems of the program had in earlier versions, which jobs may still hold."""

Rate = Annotated[float, Meta(ge=0, le=1e6)]
"""A consumption; zero switches it off."""
Positive = Annotated[float, Meta(gt=0, le=1e6)]
Name = Annotated[str, Meta(min_length=1, max_length=200)]
Key = Annotated[str, Meta(pattern=r"^[a-z0-9][a-z0-9_-]{0,59}$")]
Percent = Annotated[float, Meta(ge=0, le=200)]
Supplier = Annotated[str, Meta(max_length=200)]
LeadDays = Annotated[int, Meta(ge=0, le=250)]


class Record(msgspec.Struct, frozen=True, forbid_unknown_fields=True, kw_only=True):
    """Base of what a system file holds: frozen, strict."""


class Pack(Record, frozen=True):
    """One size that can be bought. ``size`` is in the product's unit; ``price`` buys one pack."""

    name: Name
    size: Positive
    price: Decimal | None = None


class Product(Record, frozen=True, omit_defaults=True):
    """Something that is ordered in whole packs. Either all its packs have a price or none has.

    ``mixing``: how it is made ready, for the site sheets; ``mixing_rule``: where that comes from. ``supplier``: who
    sells it; ``lead_days``: working days from an order to the delivery, 0: nobody has said. They change no figure and
    are left out of files where they are empty.
    """

    name: Name
    unit: Literal["L", "kg", "ml", "m", "m²", "piece"]
    packs: Annotated[tuple[Pack, ...], Meta(min_length=1, max_length=8)]
    mixing: Annotated[str, Meta(max_length=400)] = ""
    mixing_rule: Annotated[str, Meta(max_length=400)] = ""
    supplier: Supplier = ""
    lead_days: LeadDays = 0


class Substrate(Record, frozen=True):
    """What the coat goes on.

    ``base_coats``: how often the base coat is applied (twice on porous ones);
    ``unevenness_mm``: the mean thickness that levelling takes beyond the coat itself.
    """

    id: Key
    name: Name
    base_coats: Annotated[int, Meta(ge=0, le=4)]
    unevenness_mm: Annotated[float, Meta(ge=0, le=50)]
    porous: bool = False


class Water(Record, frozen=True):
    """Litres of water that dry out of each litre out of the pack; 0: nobody has said. ``rule``: where that is from."""

    per_l: Annotated[float, Meta(ge=0, le=1)] = 0.0
    rule: str = ""


class Coat(Record, frozen=True):
    """The coat itself. ``pack_l_per_l``: litres out of the pack for one litre in place, dry. ``one_batch``: each face
    is to be coated out of one batch."""

    product: Product
    thickness_mm: Annotated[float, Meta(gt=0, le=100)]
    layers: Annotated[int, Meta(ge=1, le=20)]
    pack_l_per_l: Annotated[float, Meta(gt=0, le=20)]
    loss_percent: Percent
    edge_feather_mm: Rate = 0.0
    rule: str = ""
    water: Water = Water()
    one_batch: bool = False


class BaseCoat(Record, frozen=True):
    """The base coat: ``per_m2`` in its product's unit, for one coat."""

    product: Product
    per_m2: Rate
    loss_percent: Percent = 0.0
    rule: str = ""


class Drying(Record, frozen=True):
    """Hours to wait at 20 °C and 50 % relative humidity: after base, between layers, to the end."""

    after_base_h: Rate
    between_layers_h: Rate
    before_paint_h: Rate


class Stock(Record, frozen=True):
    """A length that bead is sold in. ``price`` buys one bar, or one coil."""

    name: Name
    length_mm: Annotated[float, Meta(ge=100, le=1e6)]
    price: Decimal | None = None


class BeadProfile(Record, frozen=True):
    """A profile for external corners with a void from ``angle_from_deg`` to ``angle_to_deg``.

    ``coil``: it comes rolled up, bends, and is taken by length; only such profiles are used on
    curved corners. ``proud_mm``: how far its nose stands off the substrate; where that is more
    than the coat, a strip ``feather_mm`` wide on each face is feathered out to it. ``supplier``, ``lead_days``: as of
    a product.
    """

    id: Key
    name: Name
    stock: Annotated[tuple[Stock, ...], Meta(min_length=1, max_length=8)]
    angle_from_deg: Annotated[float, Meta(ge=180, le=360)] = 185.0
    angle_to_deg: Annotated[float, Meta(ge=180, le=360)] = 360.0
    coil: bool = False
    proud_mm: Annotated[float, Meta(ge=0, le=50)] = 0.0
    feather_mm: Annotated[float, Meta(ge=0, le=2000)] = 0.0
    loss_percent: Percent = 0.0
    supplier: Supplier = ""
    lead_days: LeadDays = 0


class PerMetre(Record, frozen=True):
    """Consumption per metre of each kind of edge, in the product's unit; absent means none.

    ``coat_edge``: every one; ``corner_end``: more where coat ends in a corner with a bare surface.
    ``frame_joint``: at windows; ``lining_joint``: at doors, absent means as at windows.
    """

    wall_wall: Rate = 0.0
    wall_ceiling: Rate = 0.0
    ceiling: Rate = 0.0
    drop: Rate = 0.0
    reveal: Rate = 0.0
    new_bead: Rate = 0.0
    coat_edge: Rate = 0.0
    corner_end: Rate = 0.0
    floor_edge: Rate = 0.0
    frame_joint: Rate = 0.0
    lining_joint: Rate | None = None


class EdgeUse(Record, frozen=True):
    """A consumable taken by the metre: filler, caulk, sealant, masking."""

    id: Key
    product: Product
    per_m: PerMetre
    loss_percent: Percent = 0.0
    rule: str = ""


class AreaUse(Record, frozen=True):
    """A consumable taken by the square metre of coat: abrasives."""

    id: Key
    product: Product
    per_m2: Rate
    loss_percent: Percent = 0.0
    rule: str = ""


class CarriageStep(Record, frozen=True):
    """What carriage costs for an order of goods from that amount on."""

    order_from: Decimal
    charge: Decimal


class Carriage(Record, frozen=True):
    """How the supplier delivers: the least order of goods that he takes, and what carriage costs from which amount of
    goods on, both without tax. Below all steps carriage is free."""

    minimum_order: Decimal = Decimal(0)
    steps: Annotated[tuple[CarriageStep, ...], Meta(min_length=1, max_length=20)] = (
        CarriageStep(order_from=Decimal(0), charge=Decimal(0)),
    )

    @property
    def is_set(self) -> bool:
        """Whether it says anything that an order heeds."""
        return self.minimum_order > 0 or any(step.charge for step in self.steps)


class CoatingSystem(Record, frozen=True):
    """A coating system. ``demo``: invented figures, to be replaced before anything is ordered."""

    schema: Literal["takeoff-system/1"]
    id: Key
    name: Name
    demo: bool
    currency: Annotated[str, Meta(pattern=r"^[A-Z]{3}$")]
    substrates: Annotated[tuple[Substrate, ...], Meta(min_length=1)]
    fallback_substrate: Key
    coat: Coat
    base: BaseCoat
    drying: Drying
    beads: tuple[BeadProfile, ...] = ()
    kerf_mm: Annotated[float, Meta(ge=0, le=20)] = 0.0
    by_edge: tuple[EdgeUse, ...] = ()
    by_area: tuple[AreaUse, ...] = ()
    note: str = ""
    carriage: Carriage = Carriage()


def load(system_id: str) -> CoatingSystem:
    """The coating system of that id, of those that come with the program or of the user's own.

    Raises InputError when there is none (the text lists those there are) or it cannot be read.
    """
    system_id = FORMER.get(system_id, system_id)
    if system_id in available():
        return read(resource(f"{FOLDER}/{system_id}.json").read_bytes(), f"{system_id}.json")
    mine = own_systems()
    if system_id not in mine:
        known = ", ".join((*available(), *mine))
        raise InputError(tr("There is no coating system “{name}”: choose one of {known}.", name=system_id, known=known))
    return read_file(mine[system_id])


def available() -> tuple[str, ...]:
    """The ids of the coating systems that come with the program, in alphabetical order."""
    return resource_names(FOLDER, ".json")


def own_folder() -> Path:
    """Where the user's own systems lie, one file each; it need not exist yet."""
    return own_data_folder() / FOLDER


def own_systems() -> dict[str, Path]:
    """The files of the user's own systems by their ids (the names of the files), in alphabetical order."""
    try:
        files = sorted(path for path in own_folder().iterdir() if path.suffix == ".json")
    except OSError:
        return {}
    return {path.stem: path for path in files if path.stem not in available()}


def read_file(path: Path) -> CoatingSystem:
    """The coating system in a file. Raises InputError that names the file and what is wrong with it."""
    try:
        if path.stat().st_size > LARGEST_BYTES:
            raise InputError(tr("{file} is far too large for a coating system: choose another file.", file=path.name))
        return read(path.read_bytes(), path.name)
    except OSError as error:
        why = error.strerror or error
        raise InputError(tr("“{path}” could not be read: {why}. Choose another file.", path=path, why=why)) from error


def chosen(name: str) -> CoatingSystem:
    """The system that a user names: a file, or the id of one that is known. Raises InputError."""
    is_file = name.endswith(".json") or "/" in name or "\\" in name
    return read_file(Path(name)) if is_file else load(name)


def of_job(job: Job) -> CoatingSystem:
    """The system of a job: its own copy where it has one, else the one of its id. Raises InputError where
    the copy is damaged or there is no such system."""
    if job.system_copy is None:
        return load(job.system)
    return _checked(job.system_copy, tr("The coating system in the job"))


def remove_own(system_id: str) -> None:
    """Take a system away from the user's own. Raises OutputError where its file cannot be removed."""
    path = own_systems().get(system_id)
    try:
        if path is not None:
            path.unlink(missing_ok=True)
    except OSError as error:
        why = error.strerror or error
        raise OutputError(tr("“{path}” could not be removed: {why}. Remove it by hand.", path=path, why=why)) from error


def usual_system() -> CoatingSystem:
    """The system of a new job: the one that the user works with, as he said last, else the demo one."""
    try:
        return load((state_folder() / USUAL).read_text(encoding="utf-8").strip())
    except (OSError, UnicodeError, InputError):
        return load(DEMO)


def use_from_now_on(system_id: str) -> None:
    """New jobs are made with this system. Raises InputError where there is none of that id, OutputError where
    that cannot be written down."""
    load(system_id)
    make_folder(state_folder())
    write_bytes(state_folder() / USUAL, system_id.encode())


def moved_on(job: Job) -> str:
    """Whether the system that a job was made with is another by now: *gone* where there is none of its id any
    more, *changed* where its file says something else, "" where it is the same or the job has no copy."""
    if job.system_copy is None:
        return ""
    try:
        known = load(job.system)
    except InputError:
        return "gone"
    try:
        # an older copy lacks the fields that came later, and means what they are by themselves
        kept = _checked(job.system_copy, known.name)
        same = _figures_of(msgspec.to_builtins(kept)) == _figures_of(msgspec.to_builtins(known))
        return "" if same else "changed"
    except InputError:
        return "changed"


_NO_FIGURES = ("mixing", "mixing_rule", "supplier", "lead_days")
"""Fields that change nothing in what is needed or bought."""


def _figures_of(value: Any) -> Any:
    """What a system says without what changes no figure."""
    if isinstance(value, dict):
        return {key: _figures_of(inner) for key, inner in value.items() if key not in _NO_FIGURES}
    return [_figures_of(inner) for inner in value] if isinstance(value, list | tuple) else value


def as_copy(system: CoatingSystem) -> dict[str, Any]:
    """The system as a job keeps it: as its file has it, every field there."""
    made: dict[str, Any] = msgspec.json.decode(msgspec.json.encode(system))
    return made


def encoded(system: CoatingSystem) -> bytes:
    """The system as the bytes of its file, to be edited."""
    return msgspec.json.format(msgspec.json.encode(system), indent=2) + b"\n"


def save_own(system: CoatingSystem) -> Path:
    """Write a system into the user's own folder under its id; a file of that id is replaced. The file.

    Raises InputError for a system that would not read back or has the id of one that comes with the program,
    OutputError where it cannot be written.
    """
    if system.id in available():
        raise InputError(
            tr("“{name}” comes with the program and stays as it is: give your system an id of its own.", name=system.id)
        )
    path = own_folder() / f"{system.id}.json"
    data = encoded(system)
    read(data, path.name)
    make_folder(path.parent)
    write_bytes(path, data)
    return path


def read(data: bytes, name: str) -> CoatingSystem:
    """The coating system in a file's bytes, checked.

    Raises InputError that names the file, the field and what is wrong with it.
    """
    try:
        tree = msgspec.json.decode(data)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
        raise InputError(
            tr("{file} is not a coating system: {why}. Correct that entry.", file=name, why=error)
        ) from error
    return _checked(tree, name)


def _checked(tree: Any, name: str) -> CoatingSystem:
    try:
        system = msgspec.convert(tree, CoatingSystem)
    except (msgspec.ValidationError, RecursionError) as error:
        raise InputError(
            tr("{file} is not a coating system: {why}. Correct that entry.", file=name, why=error)
        ) from error
    for problem in _problems(system):
        raise InputError(tr("{file}: {problem}.", file=name, problem=problem))
    return system


_SAID = ("name", "rule", "note", "mixing", "mixing_rule")
"""Fields that people read; ids and units are keys."""


def in_words(system: CoatingSystem) -> CoatingSystem:
    """The system with its names, rules and note in the user's language: those that the catalogue has. A user's own
    are as he wrote them. For what is shown and ordered, never for what is saved."""
    return system if language() == "en" else _in_words(system, language())


@cache
def _in_words(system: CoatingSystem, spoken: str) -> CoatingSystem:
    return msgspec.convert(_said(msgspec.to_builtins(system)), CoatingSystem)


def _said(value: Any) -> Any:
    if isinstance(value, dict):
        return {
            key: tr(inner) if key in _SAID and isinstance(inner, str) else _said(inner) for key, inner in value.items()
        }
    return [_said(inner) for inner in value] if isinstance(value, list | tuple) else value


def unit_words(unit: str) -> str:
    """The unit of a product as people say it of one: "L", "piece"."""
    return tr("piece") if unit == "piece" else unit


def amounts_unit(unit: str) -> str:
    """The unit of a product as people say it after a figure: "L", "pieces"."""
    return tr("pieces") if unit == "piece" else unit


def products(system: CoatingSystem) -> tuple[Product, ...]:
    """Every product of a system that is ordered in packs: coat, base, then the consumables."""
    uses = tuple(use.product for use in system.by_edge) + tuple(use.product for use in system.by_area)
    return (system.coat.product, system.base.product, *uses)


def products_by_line(system: CoatingSystem) -> dict[str, Product]:
    """What is sold in packs, by the id of its line in an order, in the order of the lines."""
    by_edge = {str(use.id): use.product for use in system.by_edge}
    by_area = {str(use.id): use.product for use in system.by_area}
    return {"base": system.base.product, "coat": system.coat.product, **by_edge, **by_area}


class Source(msgspec.Struct, frozen=True):
    """Who sells a line of an order, "" for nobody named, and how many working days he takes to deliver it."""

    supplier: str
    lead_days: int


def sources_by_line(system: CoatingSystem) -> dict[str, Source]:
    """Where each line of an order comes from, by its id."""
    sold = {key: Source(one.supplier, one.lead_days) for key, one in products_by_line(system).items()}
    return sold | {f"bead-{one.id}": Source(one.supplier, one.lead_days) for one in system.beads}


def profile_for_angle(system: CoatingSystem, angle_deg: float, curved: bool = False) -> BeadProfile | None:
    """The first profile whose range holds the angle of the void; None when none does.

    A curved corner takes only a profile that comes in coil.
    """
    for profile in system.beads:
        if curved and not profile.coil:
            continue
        if profile.angle_from_deg <= angle_deg <= profile.angle_to_deg:
            return profile
    return None


def _problems(system: CoatingSystem) -> list[str]:
    """What the types alone cannot see, as clauses; empty when all is well."""
    uses = [use.id for use in system.by_edge] + [use.id for use in system.by_area]
    found = [
        tr("the substrate “{name}” is given twice", name=name)
        for name in _repeated([one.id for one in system.substrates])
    ]
    found += [
        tr("the bead profile “{name}” is given twice", name=name)
        for name in _repeated([one.id for one in system.beads])
    ]
    found += [tr("the consumable “{name}” is given twice", name=name) for name in _repeated([*uses])]
    for product in products(system):
        found += [
            tr("the pack “{name}” of {product} is given twice", name=name, product=product.name)
            for name in _repeated([pack.name for pack in product.packs])
        ]
    for profile in system.beads:
        found += [
            tr("the length “{name}” of {product} is given twice", name=name, product=profile.name)
            for name in _repeated([stock.name for stock in profile.stock])
        ]
    if system.fallback_substrate not in {one.id for one in system.substrates}:
        found.append(tr("the fallback substrate “{name}” is not among the substrates", name=system.fallback_substrate))
    if system.currency not in CURRENCIES:
        found.append(
            tr("the currency “{code}” is none of ISO 4217: give its code, such as EUR or GBP", code=system.currency)
        )
    amounts = [system.carriage.minimum_order]
    amounts += [amount for step in system.carriage.steps for amount in (step.order_from, step.charge)]
    if not all(amount.is_finite() and 0 <= amount <= _MOST_MONEY for amount in amounts):
        found.append(tr("an amount of its carriage is not between 0 and 1,000,000"))
    if len({step.order_from for step in system.carriage.steps}) < len(system.carriage.steps):
        found.append(tr("two steps of its carriage begin at the same amount"))
    if system.coat.product.unit != "L":
        found.append(tr("the coat's product must be sold by the litre (unit L)"))
    priced = [(one.name, [pack.price for pack in one.packs]) for one in products(system)]
    priced += [(one.name, [stock.price for stock in one.stock]) for one in system.beads]
    for name, prices in priced:
        found += _price_problems(name, prices)
    found += [
        tr("the bead profile “{name}” starts at a larger angle than it ends", name=one.id)
        for one in system.beads
        if one.angle_from_deg > one.angle_to_deg
    ]
    return found


_MOST_MONEY = 1_000_000


def _repeated(names: list[str]) -> list[str]:
    """Names that stand more than once."""
    return sorted({name for name in names if names.count(name) > 1})


def _price_problems(name: str, prices: list[Decimal | None]) -> list[str]:
    given = [price for price in prices if price is not None]
    if given and len(given) < len(prices):
        return [tr("“{name}” has a price for some packs only: price all of them or none", name=name)]
    return [
        tr("“{name}” has the price {price}: give a number that is not negative", name=name, price=price)
        for price in given
        if not price.is_finite() or price < 0
    ]
