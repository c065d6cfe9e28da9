"""What rooms and storeys are called on a sheet, and the rooms as the rows of its tables."""

from __future__ import annotations

from takeoff.errors import OutputError
from takeoff.language import tr
from takeoff.measure.takeoff import Takeoff
from takeoff.plan.model import Job, Storey
from takeoff.sheets.printed_figures import room_figures
from takeoff.sheets.sheet_tables import RoomRow
from takeoff.sheets.texts import Texts
from takeoff.sheets.wall_names import opening_names, place_words


def room_labels(job: Job, texts: Texts) -> dict[tuple[str, str], str]:
    """A name for every room by (storey, room), never empty and unique within its storey."""
    numbers = {(str(s.id), str(r.id)): r.number for s in job.storeys for r in s.rooms}
    names = {(str(s.id), str(r.id)): r.name for s in job.storeys for r in s.rooms}
    labels: dict[tuple[str, str], str] = {}
    taken: set[tuple[str, str]] = set()
    for key, name in names.items():
        number = numbers.get(key, "")
        first = " ".join(" ".join((number, name)).split()) or _unnamed(key[1], texts)
        label, again = first, 2
        while (key[0], label) in taken:
            label, again = f"{first} ({again})", again + 1
        taken.add((key[0], label))
        labels[key] = label
    return labels


def _unnamed(room: str, texts: Texts) -> str:
    """ "Room 3" for the room that recognition calls r3, in a second drawing d2/r3."""
    number = room.rpartition("/")[2].removeprefix("r")
    return texts.words["numbered_room"].format(number=number if number.isdecimal() else room)


def storey_name(storey: Storey, texts: Texts) -> str:
    return storey.name or texts.words["unnamed_storey"]


def room_rows(job: Job, takeoff: Takeoff, labels: dict[tuple[str, str], str], texts: Texts) -> tuple[RoomRow, ...]:
    """Times come from the job, where room and storey have them apart."""
    storeys = {str(storey.id): storey for storey in job.storeys}
    rooms = {(str(storey.id), str(room.id)): room for storey in job.storeys for room in storey.rooms}
    names = {storey: opening_names(of.openings, of.rooms) for storey, of in storeys.items()}
    own: dict[str, dict[str, str]] = {storey: {} for storey in storeys}
    for (at, room_id), label in labels.items():
        own[at][room_id] = label
    rows = []
    for found in takeoff.rooms:
        key = (found.storey, found.room)
        if key not in rooms:
            raise OutputError(
                tr(
                    "Room {room} was measured but is not in the job: measure the job again.",
                    room=found.name or found.room,
                )
            )
        room, storey = rooms[key], storeys[found.storey]
        rows.append(
            RoomRow(
                room=found,
                label=labels[key],
                figures=room_figures(found),
                storey=storey_name(storey, texts),
                times=room.times,
                storey_times=storey.times,
                places=place_words(room, storey.openings, storey.rooflights, own[found.storey], names[found.storey]),
            )
        )
    return tuple(rows)
