"""Photos, pictures to trace and logos of a job that another program or an older one kept, without what was noted beside
them: place, person, device. Looked at wherever a job is opened, so that no copy or file written here holds any."""

from __future__ import annotations

import base64
import binascii
import contextlib

import msgspec

from takeoff.errors import Finding, InputError
from takeoff.findings import noticed
from takeoff.language import tr, tr_count
from takeoff.plan.model import Job, Logo
from takeoff.storage.content import Attachment, Content, KeptState, attachment, kept_state


def with_bare_pictures(content: Content, file: str) -> tuple[Content, tuple[Finding, ...]]:
    """The same content with nothing but the picture in every picture, and what was noticed; the content itself where
    nothing was noted beside any.

    Pictures keep their pixels and how they are turned; what speaks of them follows their new digests. One that cannot
    be shown stays as it is and is told, since it may be all that there is of a photo. ``file`` is for messages. States
    that were sent follow: their logos are bare and their photos found by the new digests, all else in them stays.
    """
    findings: list[Finding] = []
    bare: dict[str, Attachment] = {}
    for picture in content.pictures:
        try:
            made = _bare(picture)
        except InputError as error:
            findings.append(
                noticed("picture-notes/unknown", picture=_called(content.job, picture), why=error, file=file)
            )
            continue
        if made is not picture:
            bare[picture.sha256] = made
    job = _with_bare_logo(content.job)
    logos = _noted_logos(content)
    count = len(bare) + len(logos)
    if not count:
        return content, tuple(findings)
    said = tr_count("one picture", "{count} pictures", count)
    findings.append(noticed("picture-notes", file=file, pictures=said))
    digests = {old: made.sha256 for old, made in bare.items()}
    # two that differed in their notes alone are one now
    kept = {one.sha256: one for one in (bare.get(picture.sha256, picture) for picture in content.pictures)}
    states = tuple(_state_following(state, digests | logos) for state in content.states)
    changed = msgspec.structs.replace(
        content, job=_following(job, digests), pictures=tuple(kept.values()), states=states
    )
    return _drawn_over(changed, digests), tuple(findings)


def _bare(picture: Attachment) -> Attachment:
    """The picture without notes; itself where it has none. Raises InputError for what cannot be shown."""
    from takeoff.readers.picture import without_notes

    data = without_notes(picture.data, f"{picture.sha256[:12]}{picture.suffix}")
    if data == picture.data:
        return picture
    # what is neither JPEG nor PNG is written anew as PNG
    return attachment(data, ".png" if data.startswith(b"\x89PNG") else picture.suffix)


def _with_bare_logo(job: Job) -> Job:
    logo = job.details.logo
    made = None if logo is None else _bare_logo(logo.data)
    if logo is None or made is None:
        return job
    kept = Logo(data=made, width_px=logo.width_px, height_px=logo.height_px)
    return msgspec.structs.replace(job, details=msgspec.structs.replace(job.details, logo=kept))


def _bare_logo(data: str) -> str | None:
    """A logo as a job has it, without notes; None where it has none or is no picture: nothing prints it then, and the
    sheets say so."""
    from takeoff.readers.picture import without_notes

    try:
        held = base64.b64decode(data, validate=True)
        made = without_notes(held, tr("The logo"))
    except (binascii.Error, ValueError, InputError):
        return None
    return None if made == held else base64.b64encode(made).decode()


class _LogoOnly(msgspec.Struct):
    data: str = ""


class _DetailsOnly(msgspec.Struct):
    logo: _LogoOnly | None = None


class _JobOnly(msgspec.Struct):
    details: _DetailsOnly = msgspec.field(default_factory=_DetailsOnly)


class _StateOnly(msgspec.Struct):
    """What of a state holds a picture, whatever else a newer program wrote there."""

    job: _JobOnly = msgspec.field(default_factory=_JobOnly)


def _noted_logos(content: Content) -> dict[str, str]:
    """The logos of the job and of the states that were sent which have notes, and what they are without."""
    logos = [content.job.details.logo.data] if content.job.details.logo is not None else []
    for state in content.states:
        with contextlib.suppress(msgspec.MsgspecError):  # one that cannot be read is told where it is looked at
            held = msgspec.json.decode(state.data, type=_StateOnly).job.details.logo
            logos += [held.data] if held is not None else []
    return {logo: made for logo in dict.fromkeys(logos) if (made := _bare_logo(logo)) is not None}


def _state_following(state: KeptState, instead: dict[str, str]) -> KeptState:
    """The state with other logos and digests in place of these, and no other byte changed."""
    data = state.data
    for old, new in instead.items():
        for way in (old, old.replace("/", "\\/")):  # JSON may write a stroke either way
            data = data.replace(f'"{way}"'.encode(), f'"{new}"'.encode())
    return state if data == state.data else kept_state(state.number, data)


def _following(job: Job, digests: dict[str, str]) -> Job:
    """The job whose photos and drawings speak of their pictures by the new digests."""
    photos = tuple(
        msgspec.structs.replace(photo, sha256=digests[photo.sha256]) if photo.sha256 in digests else photo
        for photo in job.photos
    )
    drawings = tuple(
        msgspec.structs.replace(ref, picture=msgspec.structs.replace(ref.picture, sha256=digests[ref.picture.sha256]))
        if ref.picture is not None and ref.picture.sha256 in digests
        else ref
        for ref in job.drawings
    )
    return msgspec.structs.replace(job, photos=photos, drawings=drawings)


def _drawn_over(content: Content, digests: dict[str, str]) -> Content:
    """The content whose drawings that lie on a picture know it by its new digest."""
    drawings = {
        key: msgspec.structs.replace(
            drawing, picture=msgspec.structs.replace(drawing.picture, sha256=digests[drawing.picture.sha256])
        )
        if drawing.picture is not None and drawing.picture.sha256 in digests
        else drawing
        for key, drawing in content.drawings.items()
    }
    return msgspec.structs.replace(content, drawings=drawings)


def _called(job: Job, picture: Attachment) -> str:
    """What the photo's file was called, or the first letters of the digest."""
    names = (photo.name for photo in job.photos if photo.sha256 == picture.sha256)
    return next((name for name in names if name), f"{picture.sha256[:12]}{picture.suffix}")
