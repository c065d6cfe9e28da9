"""What the window shows of a comparison: a row for each changed room, in words and figures, and what it says of it."""

from __future__ import annotations

from decimal import Decimal

import msgspec

from takeoff.language import percent, tr, tr_count
from takeoff.revise.difference import RoomDifference
from takeoff.services.changed.comparing import Comparison
from takeoff.sheets.variation_tables import SHOWN, room_said
from takeoff.units.printing import shown


class ChangeRow(msgspec.Struct, frozen=True):
    """One changed room: its id and storey, what became of it, its figures, a line each. Rows of one ``alike`` are the
    same change: of rooms that stay, with the same figures."""

    room: str
    storey: str
    words: str
    figures: str
    alike: str = ""


class LieRow(msgspec.Struct, frozen=True):
    """How one new storey lies: its place in the list as text, what it is called, how well it fits. ``storey``: of the
    job, "" where it replaces none."""

    key: str
    words: str
    fit: str
    storey: str


def change_rows(done: Comparison) -> tuple[ChangeRow, ...]:
    """Every changed room, in the order of the variation."""
    return tuple(
        ChangeRow(room.room, room.storey, room_said(room), _figures(room), _alike(room))
        for room in done.compared.difference.changed
    )


def lie_rows(done: Comparison) -> tuple[LieRow, ...]:
    """Every new storey, in the order of the new drawings."""
    rows = []
    for number, one in enumerate(done.compared.placed):
        file = done.drawn[one.drawn].file
        if one.storey is None:
            words, fit = tr("{storey}, new", storey=one.title), tr("It lies over no storey of the job.")
        else:
            words = one.title
            fit = tr(
                "{rooms} of the storey's rooms fit, {walls} of its walls lie over walls.",
                rooms=percent(round(100.0 * one.fit)),
                walls=percent(round(100.0 * one.walls)),
            )
        rows.append(LieRow(str(number), f"{words} ({file})", fit, str(one.storey or "")))
    return tuple(rows)


def _alike(room: RoomDifference) -> str:
    """Rooms that are altered are alike by their figures, all others by what became of them."""
    return f"{room.change} {_figures(room)}" if room.change == "altered" else room.change


def _figures(room: RoomDifference) -> str:
    parts = []
    for key, name, unit in SHOWN:
        q = room.printed[key]
        if key != "coated_m2" and q.changed:
            parts.append(tr("{what} {signed} {unit}", what=tr(name), signed=_signed(q.added, q.omitted), unit=unit))
    return "\n".join(parts) if parts else tr("no figure has changed")


def _signed(added: Decimal, omitted: Decimal) -> str:
    said = [f"+{shown(added)}"] if added else []
    said += [f"−{shown(omitted)}"] if omitted else []
    return " ".join(said)


def said_of(done: Comparison) -> tuple[str, ...]:
    """What is to be looked at, and how many changes there are."""
    count = len(done.compared.difference.changed)
    if count:
        first = tr_count("{count} room has changed.", "{count} rooms have changed.", count)
    else:
        first = tr("Nothing changes.")
    return (first, *(f.text for f in done.findings if f.severity == "check"))
