"""What the coating system says to those who work with it: coats, thickness, mixing, and how long each dries."""

from __future__ import annotations

from takeoff.language import tr, tr_count
from takeoff.sheets.sheet_values import Line, Notes
from takeoff.supply.systems import CoatingSystem, Product, in_words, products
from takeoff.units.printing import shown_short


def system_notes(system: CoatingSystem) -> Notes:
    """Mixing and drying of a system as the site sheets say them; what the system is silent about is said to be."""
    system = in_words(system)
    drying = system.drying
    coats = tr_count(
        "{product}: {count} layer, {thickness} mm in all.",
        "{product}: {count} layers, {thickness} mm in all.",
        system.coat.layers,
        product=system.coat.product.name,
        thickness=shown_short(system.coat.thickness_mm),
    )
    base = tr("{product} first, as many coats as the substrate asks for.", product=system.base.product.name)
    dry = tr(
        "{base} h after the base coat, {layers} h between layers, {paint} h before decoration; more if cold or damp.",
        base=shown_short(drying.after_base_h),
        layers=shown_short(drying.between_layers_h),
        paint=shown_short(drying.before_paint_h),
    )
    return Notes(
        id="mixing",
        title=tr("Mixing and drying"),
        lines=(Line(tr("Coats"), f"{base} {coats}"), *_mixing(system), Line(tr("Drying"), dry)),
        papers=("site",),
    )


def _mixing(system: CoatingSystem) -> tuple[Line, ...]:
    """A line for each product that has notes on mixing, with where they come from; one that says so where none has."""
    noted = {one.name: one for one in products(system) if one.mixing.strip()}
    if not noted:
        return (Line(tr("Mixing"), tr("As the manufacturer's instructions say: the system has no notes on mixing.")),)
    return tuple(Line(tr("Mixing"), _note(one)) for one in noted.values())


def _note(product: Product) -> str:
    rule = f" ({product.mixing_rule.strip()})" if product.mixing_rule.strip() else ""
    return f"{product.name}: {product.mixing.strip()}{rule}"
