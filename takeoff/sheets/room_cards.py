"""What the card of each room says: its walls as they were measured, its figures, its bead, what is to be read there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from takeoff.language import listed, number, tr
from takeoff.measure.elevations import Elevation, elevations, neighbours
from takeoff.measure.takeoff import Takeoff
from takeoff.plan.model import Job, OpeningId, Storey
from takeoff.sheets.printed_figures import bead_group
from takeoff.sheets.room_rows import room_labels, room_rows, storey_name
from takeoff.sheets.sheet_tables import RoomRow
from takeoff.sheets.sheet_values import CardFace, Line, RoomCard
from takeoff.sheets.texts import Texts, load
from takeoff.sheets.wall_names import OpeningName, opening_names, wall_letters
from takeoff.units.printing import shown, shown_short

_BLANK = "______"
"""Where a reading is written by hand."""


def room_cards(
    job: Job, takeoff: Takeoff, layers: int = 0, said: Mapping[str, Sequence[Line]] | None = None
) -> tuple[RoomCard, ...]:
    """A card for each measured room in the job's order, with a blank for the thickness of each of so many layers.
    ``said``: what else is to be known of a room, by its id: holds, preparation, what is closed in one go.

    No rooms give no cards. Raises what measuring raises for what cannot be drawn, as ``elevations`` does.
    """
    texts = load()
    open_ones: dict[str, list[str]] = {}
    for effect in takeoff.unsure:
        open_ones.setdefault(effect.room, []).append(effect.opening)
    rows = {(row.room.storey, row.room.room): row for row in room_rows(job, takeoff, room_labels(job, texts), texts)}
    cards = []
    for storey in job.storeys:
        names = opening_names(storey.openings, storey.rooms)
        for room, near in zip(storey.rooms, neighbours(storey.rooms), strict=True):
            row = rows.get((str(storey.id), str(room.id)))
            if row is not None:
                letters = wall_letters(room)
                drawn = elevations(job, storey, room, near)
                faces = tuple(_face(one, letters.get(one.side, ""), names) for one in drawn)
                unsure = [names[OpeningId(o)].text for o in open_ones.get(str(room.id), ()) if o in names]
                own = (said or {}).get(str(room.id), ())
                lines = (*_lines(row, texts, layers), *own, *_to_check(unsure, texts))
                cards.append(_card(job, storey, row, faces, lines, texts))
    return tuple(cards)


def _to_check(unsure: list[str], texts: Texts) -> tuple[Line, ...]:
    """The openings that were not deducted since nobody knows them."""
    if not unsure:
        return ()
    return (Line(texts.words["card_check"], tr("{openings}: not deducted.", openings=listed(unsure)), urgent=True),)


def _card(
    job: Job, storey: Storey, row: RoomRow, faces: tuple[CardFace, ...], lines: tuple[Line, ...], texts: Texts
) -> RoomCard:
    title = f"{storey_name(storey, texts)}, {row.label}" if len(job.storeys) > 1 else row.label
    return RoomCard(
        id=row.room.room,
        title=f"{title} × {row.factor}" if row.factor != 1 else title,
        figure=texts.words["to_coat"].format(area=shown(row.figures["coated_m2"], 1)),
        lines=lines,
        faces=faces,
    )


def _lines(row: RoomRow, texts: Texts, layers: int) -> tuple[Line, ...]:
    words, room = texts.words, row.room
    low, high = shown(room.height_min_mm / 1000.0), shown(room.height_max_mm / 1000.0)
    height = tr("{height} m", height=low) if low == high else tr("{low} to {high} m", low=low, high=high)
    parts = [
        f"{words[name]} {number(row.figures[key])} m²"
        for key, name in (
            ("wall_net_m2", "walls"),
            ("ceiling_m2", "ceiling"),
            ("reveal_m2", "reveals"),
            ("drop_m2", "drops"),
        )
        if row.figures[key]
    ]
    told = (tr("Height {height}.", height=height), ", ".join(parts) + "." if parts else "")
    lines = [Line(words["card_size"], " ".join(filter(None, told)))]
    bead = bead_group(room, row.places)
    if bead.lines:
        said = [f"{line.text} m {line.what}" if line.what else f"{line.text} m" for line in bead.lines]
        lines.append(Line(words["card_bead"], "; ".join(said) + "."))
    blanks = [tr("layer {number} {blank} mm", number=k, blank=_BLANK) for k in range(1, layers + 1)]
    text = tr("coldest corner or reveal {blank} °C, moisture {blank}, air {blank} °C, humidity {blank} %", blank=_BLANK)
    return (*lines, Line(words["card_readings"], ", ".join([text, *blanks])))


def _face(one: Elevation, letter: str, names: dict[OpeningId, OpeningName]) -> CardFace:
    labels = {str(key): name.label for key, name in names.items()}
    return CardFace(
        words=f"{letter}  {shown_short(one.length_mm / 1000.0, 3)} m",
        length_mm=one.length_mm,
        low_mm=one.low_mm,
        high_mm=one.high_mm,
        whole=one.whole,
        coat=one.coat,
        left_on=one.left_on,
        openings=tuple((labels.get(name, ""), rings) for name, rings in one.openings),
    )
