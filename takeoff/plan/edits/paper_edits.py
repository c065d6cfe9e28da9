"""What the sheets say besides what is measured, photos pinned to parts of the plan, the picture under it."""

from __future__ import annotations

import math
from decimal import Decimal, InvalidOperation
from typing import Any

import msgspec

from takeoff.errors import InputError
from takeoff.language import number, tr
from takeoff.plan.edits.lookup import changed, fresh_number, opening_of, room_of, side_place
from takeoff.plan.job_drawings import drawing_called, with_drawing
from takeoff.plan.model import DrawingId, Job, Logo, OpeningId, Photo, PlacedPicture, RoomId, SideId

replace = msgspec.structs.replace

LONGEST_TEXT = 400
"""Characters of one detail: more is no address but a letter."""
LONGEST_TERMS = 4000
"""Characters of a contractor's terms: about a page."""
LARGEST_PRICE = Decimal(1_000_000)
MOST_PRICE_PLACES = 4


def rename_job(job: Job, name: str) -> Job:
    """The job under another name."""
    return changed(job, name=_text(name))


def set_details(job: Job, **texts: str) -> Job:
    """Client, site, contractor, address, terms, reference, date, currency and the three prices, each where given.

    Raises InputError for a price that is none and for a text far too long.
    """
    fields = {
        name: price_text(text)
        if name.startswith("price_")
        else _text(text, LONGEST_TERMS if name == "terms" else LONGEST_TEXT)
        for name, text in texts.items()
    }
    return changed(job, details=changed(job.details, **fields))


def set_logo(job: Job, logo: Logo | None) -> Job:
    """The contractor's logo on the papers; None for none."""
    return changed(job, details=changed(job.details, logo=logo))


def set_order_prices(job: Job, shown: bool) -> Job:
    """Whether the order says what the goods cost."""
    return changed(job, details=changed(job.details, order_prices=shown))


def set_system(job: Job, system: str, copy: dict[str, Any]) -> Job:
    """The coating system of the order, by its id, and as it is now: what was worked out with it does not move
    with its file."""
    return job if (job.system, job.system_copy) == (system, copy) else replace(job, system=system, system_copy=copy)


def set_convention(job: Job, convention: str, copy: dict[str, Any] | None = None) -> Job:
    """The measuring convention of the bill, by its id, and as it is now, so that what was billed once does not move
    with its file; the order stays net."""
    return changed(job, convention=convention, convention_copy=copy)


def set_drawing_number(
    job: Job, number: str | None = None, revision: str | None = None, drawing: DrawingId | None = None
) -> Job:
    """What a drawing (None: the first) calls itself, each where given. Raises InputError where the job has
    no such drawing."""
    if not job.drawings:
        raise InputError(tr("This job has no drawing, so it has no number: give the job a reference instead."))
    ref = drawing_called(job, drawing if drawing is not None else job.drawings[0].id)
    if ref is None:
        raise InputError(tr("The job has no drawing “{drawing}”: select one that it has.", drawing=drawing))
    if number is not None:
        ref = changed(ref, number=_text(number))
    if revision is not None:
        ref = changed(ref, revision=_text(revision))
    return job if ref in job.drawings else with_drawing(job, ref)


def price_text(text: str) -> str:
    """ "48.50" for "48,50", " 48.5 " as "48.5"; "" for nothing. Raises InputError for what is no price.

    A comma is a decimal comma where it is the only mark and not before three figures; thousands are
    told from it in no other way, so they are refused.
    """
    plain = text.strip().replace(" ", "").replace("\u00a0", "")
    if not plain:
        return ""
    if plain.count(",") == 1 and "." not in plain and len(plain.partition(",")[2]) != 3:
        plain = plain.replace(",", ".")
    try:
        price = Decimal(plain)
    except InvalidOperation:
        price = Decimal("NaN")
    if not price.is_finite() or not 0 <= price < LARGEST_PRICE or not plain.replace(".", "").isdecimal():
        raise InputError(
            tr(
                "“{text}” is not a price: type it like {example}, without thousands marks.",
                text=text.strip()[:40],
                example=number(Decimal("48.50")),
            )
        )
    shown = f"{price:f}"
    if len(shown.partition(".")[2]) > MOST_PRICE_PLACES:
        raise InputError(tr("“{text}” has too many decimals for money: type at most four.", text=text.strip()[:40]))
    return shown


def pin_photo(
    job: Job, sha256: str, name: str, room: RoomId, side: SideId | None = None, opening: OpeningId | None = None
) -> Job:
    """The job with a photo more, pinned to a room, or to a face or an opening of it."""
    _place(job, room, side, opening)
    own = fresh_number([photo.id for photo in job.photos], "p")
    photo = Photo(id=own, sha256=sha256, room=room, side=side, opening=opening, name=name[:LONGEST_TEXT])
    return replace(job, photos=(*job.photos, photo))


def move_photo(
    job: Job, photo_id: str, room: RoomId, side: SideId | None = None, opening: OpeningId | None = None
) -> Job:
    """The photo pinned elsewhere."""
    _place(job, room, side, opening)
    return _with_photo(job, photo_id, changed(photo_of(job, photo_id), room=room, side=side, opening=opening))


def note_photo(job: Job, photo_id: str, note: str) -> Job:
    """What the photo shows, in words."""
    return _with_photo(job, photo_id, changed(photo_of(job, photo_id), note=_text(note)))


def remove_photo(job: Job, photo_id: str) -> Job:
    """The job without that photo."""
    photo_of(job, photo_id)
    return replace(job, photos=tuple(photo for photo in job.photos if photo.id != photo_id))


def photo_of(job: Job, photo_id: str) -> Photo:
    """The photo of that id. Raises InputError when there is none."""
    for photo in job.photos:
        if photo.id == photo_id:
            return photo
    raise InputError(tr("The job has no photo “{name}”: select one that it has.", name=photo_id))


def _with_photo(job: Job, photo_id: str, new: Photo) -> Job:
    if new is photo_of(job, photo_id):
        return job
    return replace(job, photos=tuple(new if photo.id == photo_id else photo for photo in job.photos))


def _place(job: Job, room: RoomId, side: SideId | None, opening: OpeningId | None) -> None:
    """Raises InputError where there is no such room, face or opening."""
    found = room_of(job, room)
    if side is not None:
        side_place(found, side)
    if opening is not None:
        opening_of(job, opening)


def _text(text: str, most: int = LONGEST_TEXT) -> str:
    plain = " ".join(text.split())
    if len(plain) > most:
        raise InputError(tr("This is longer than {most} characters: shorten it.", most=most))
    return plain


def _same_picture(one: PlacedPicture | None, other: PlacedPicture) -> bool:
    return one is not None and (one.sha256, one.width_px, one.height_px) == (
        other.sha256,
        other.width_px,
        other.height_px,
    )


def place_picture(job: Job, placed: PlacedPicture) -> Job:
    """The job with its picture lying otherwise under the plan; rooms stay where they are. Raises
    InputError where the job has no picture, or another one."""
    traced = [ref for ref in job.drawings if ref.picture is not None]
    if not traced:
        raise InputError(tr("This job has no picture to place: open a PNG, JPEG or scanned PDF."))
    ref = next((ref for ref in traced if _same_picture(ref.picture, placed)), None)
    if ref is None:
        raise InputError(tr("That picture is not the job's: place the one that it has."))
    if not all(math.isfinite(v) for v in (*placed.matrix, placed.mm_per_px or 1.0)):
        raise InputError(tr("Those points cannot be used: pick four corners in order."))
    if placed == ref.picture:
        return job
    return with_drawing(job, replace(ref, picture=placed))
