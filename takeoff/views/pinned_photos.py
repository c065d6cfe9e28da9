"""Photos of a job: taken in, found by what they are pinned to, put into words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Literal

import msgspec

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.plan.model import Job, OpeningId, Photo, Room
from takeoff.services.opened.opening import Progress
from takeoff.sheets.wall_names import OpeningName, opening_names, wall_letters
from takeoff.storage.content import Attachment, attachment
from takeoff.units.printing import shown
from takeoff.views.naming import labels

LARGEST_JOB_BYTES = 500 * 2**20
"""All photos of one job together."""

Kind = Literal["room", "side", "opening"]


class TakenPhoto(msgspec.Struct, frozen=True):
    """A photo that was read, or in one sentence why it was not."""

    name: str
    kept: Attachment | None = None
    refused: str = ""


class Pinned(msgspec.Struct, frozen=True):
    """Where a photo hangs: what it is pinned to, as it can be chosen, and in words.

    What is gone is passed over: an opening for its face or room, a face for its room. ``kind`` None: its
    room is gone too.
    """

    kind: Kind | None
    id: str = ""
    room: str = ""
    storey: str = ""
    words: str = ""


def take_photos(paths: tuple[Path, ...], progress: Progress) -> tuple[TakenPhoto, ...]:
    """Every photo read, or refused; importable by name, so that it can run in a process of its own."""
    from takeoff.readers.picture import read_photo

    taken = []
    for number, path in enumerate(paths):
        progress(number / len(paths), tr("Reading {name}", name=path.name))
        try:
            kept = read_photo(path)
            taken.append(TakenPhoto(path.name, attachment(kept.data, kept.suffix)))
        except InputError as error:
            taken.append(TakenPhoto(path.name, refused=str(error)))
    return tuple(taken)


def refuse_too_many(held: Mapping[str, Attachment], job: Job, taken: tuple[TakenPhoto, ...]) -> None:
    """Raises InputError where a job would come to hold more photos than it may."""
    digests = {photo.sha256 for photo in job.photos}
    sizes = {digest: len(held[digest].data) for digest in digests if digest in held}
    sizes |= {one.kept.sha256: len(one.kept.data) for one in taken if one.kept is not None}
    total = sum(sizes.values())
    if total > LARGEST_JOB_BYTES:
        raise InputError(
            tr(
                "The photos of this job would come to {total} MB, more than {most} MB: "
                "remove some, or keep these with another job.",
                total=shown(total / 2**20, 0),
                most=LARGEST_JOB_BYTES // 2**20,
            )
        )


def pinned(job: Job, photos: Sequence[Photo]) -> tuple[Pinned, ...]:
    """What photos are pinned to now, in their order."""
    if not photos:
        return ()
    names = labels(job)
    rooms = {str(room.id): (storey, room) for storey in job.storeys for room in storey.rooms}
    openings = {str(o.id): o for storey in job.storeys for o in storey.openings}
    called: dict[str, Mapping[OpeningId, OpeningName]] = {}

    def place(photo: Photo) -> Pinned:
        found = rooms.get(str(photo.room))
        if found is None:
            return Pinned(None, words=tr("Its room is gone"))
        storey, room = found
        base = {"room": str(room.id), "storey": str(storey.id)}
        name = names[str(storey.id), str(room.id)]
        opening = openings.get(str(photo.opening))
        if opening is not None:
            if str(storey.id) not in called:
                called[str(storey.id)] = opening_names(storey.openings, storey.rooms)
            known = called[str(storey.id)].get(opening.id)
            what = known.text if known else opening.title
            return Pinned("opening", str(opening.id), words=f"{name}, {what}", **base)
        side = str(photo.side or "")
        if side and _has_side(room, side):
            return Pinned(
                "side", side, words=tr("{room}, wall {letter}", room=name, letter=wall_letters(room)[side]), **base
            )
        return Pinned("room", str(room.id), words=name, **base)

    return tuple(place(photo) for photo in photos)


def photos_of(job: Job, kind: str, thing: str, room: str) -> tuple[Photo, ...]:
    """The photos of a thing: of a room all in it, of a face or an opening its own."""
    found = zip(job.photos, pinned(job, job.photos), strict=True)
    if kind == "room":
        return tuple(photo for photo, at in found if at.room == thing)
    return tuple(photo for photo, at in found if (at.kind, at.id, at.room) == (kind, thing, room))


def photo_title(photo: Photo) -> str:
    """What stands under a photo: its note, else its file's name."""
    return photo.note or photo.name or tr("Photo")


def _has_side(room: Room, side: str) -> bool:
    return any(known.id == side for known in room.sides)
