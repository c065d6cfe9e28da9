"""What is offered back after a crash: recovery copies whose program no longer runs."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import msgspec

from takeoff.errors import Finding, InputError, TakeoffError
from takeoff.files.from_outside import newer_field
from takeoff.findings import noticed
from takeoff.language import date_text, quoted, tr, tr_count
from takeoff.storage import container, jobfile
from takeoff.storage.content import Content, content_of, heavy_parts
from takeoff.storage.processes import Owner, is_running
from takeoff.storage.recovery import ABOUT, COPY, OWNER, About, digest_of, remove, slots_folder

DAY_S = 86_400.0


class Offer(msgspec.Struct, frozen=True):
    """Work that can be taken back. ``path``: the job's file, None when it was never saved.

    ``newer_by_s``: by how much the copy is newer than that file by the clock (negative: older), None when
    the file is not there. ``file_same``: whether the file is still what it was when the copy was written,
    None where that is not known: it goes before the clock. ``number``: later copies have higher ones.
    """

    slot: Path
    path: Path | None
    name: str
    written_s: float
    newer_by_s: float | None
    file_same: bool | None = None
    number: int = 0

    @property
    def older(self) -> bool:
        """Whether the file was changed after the copy was written."""
        if self.newer_by_s is None:
            return False
        return self.newer_by_s < 0 if self.file_same is None else not self.file_same

    @property
    def sentence(self) -> str:
        """What the user is asked."""
        what = quoted(self.name) if self.name else tr("a job that was never saved")
        head = tr("The program ended unexpectedly on {day} with {job} open.", day=_day(self.written_s), job=what)
        return f"{head} {self._asked()}"

    def _asked(self) -> str:
        if self.path is None:
            return tr("There is no file of it. Recover the work?")
        if self.newer_by_s is None:
            return tr("Its file “{file}” is gone. Recover the work?", file=self.path)
        if self.older:
            return tr("Its file was changed since and differs. Open the older copy?")
        if self.newer_by_s < 0:
            return tr("Its file was not changed since, though the clock went back. Recover the work?")
        return tr("The copy is {span} newer than its file. Recover the work?", span=_span(self.newer_by_s))


def offers(
    folder: Path | None = None, now_s: float | None = None, alive: Callable[[Owner], bool] = is_running
) -> tuple[tuple[Offer, ...], tuple[Finding, ...]]:
    """Everything that can be taken back, the newest first, and what cannot be read, with where it lies.

    Copies of programs that still run are not listed; those that hold nothing beyond the job's file
    are removed quietly, and no others, however old they look: a clock may have been wrong. No folder
    gives nothing. Raises nothing: what fails is a finding.
    """
    root, now = folder or slots_folder(), time.time() if now_s is None else now_s
    try:
        slots = sorted(path for path in root.iterdir() if path.is_dir())
    except FileNotFoundError:
        return (), ()
    except OSError as error:
        return (), (noticed("recovery-copy/folder", folder=root, why=error.strerror),)
    found: list[Offer] = []
    findings: list[Finding] = []
    for slot in slots:
        if (owner := _owner(slot)) is not None and alive(owner):
            continue
        try:
            seen = _seen(slot, now, owner)
        except (TakeoffError, OSError) as error:
            findings.append(noticed("recovery-copy/unreadable", why=error, folder=slot))
            continue
        if seen is not None:
            found.append(seen)
    return tuple(sorted(found, key=lambda offer: (-offer.number, -offer.written_s))), tuple(findings)


def restore(offer: Offer) -> Content:
    """The work in the copy. Nothing is removed: ``discard`` it once the work is safe elsewhere.

    Raises InputError; DamagedFile where only the drawing or pictures are lost: see ``restore_rest``.
    """
    content, lost = restore_rest(offer)
    if lost:
        raise jobfile.DamagedFile(lost[0].text)
    return content


def restore_rest(offer: Offer) -> tuple[Content, tuple[Finding, ...]]:
    """What is left in the copy, and a finding for each piece that is lost. Raises InputError."""
    copy = container.read(offer.slot / COPY)
    about = _about(copy, offer.slot)
    findings: list[Finding] = []
    held, lost = dict(copy.held), ""
    if about.base:
        try:
            base = container.read(offer.slot / about.base)
        except InputError as error:
            lost = str(error)
        else:
            held = {**base.held, **held}
            lost = ", ".join(base.damaged) or ("" if base.whole else tr("the list of its parts"))
    if lost:
        findings.append(noticed("recovery-copy/damaged", lost=lost))

    def forgive(what: str, error: InputError) -> None:
        findings.append(noticed("recovery-copy/part-lost", part=what, why=error))

    name = offer.name or tr("The copy")
    both = msgspec.structs.replace(copy, held=held)
    parts = jobfile.sound_parts(both, name, aside=(ABOUT,))
    return content_of(parts, name, forgive), tuple(findings)


def discard(offer: Offer) -> None:
    """Remove the copy for good. Raises OutputError."""
    remove(offer.slot)


def _seen(slot: Path, now_s: float, owner: Owner | None) -> Offer | None:
    if not (slot / COPY).exists():
        # Nothing was edited, or all was saved. One without owner may be just being made.
        if owner is not None or now_s - slot.stat().st_mtime > DAY_S:
            remove(slot)
        return None
    about = _about(container.read(slot / COPY), slot)
    path = Path(about.path) if about.path else None
    saved_s = _changed_s(path)
    newer = None if saved_s is None else about.written_s - saved_s
    same = about.file == digest_of(path) if path is not None and about.file else None
    offer = Offer(slot, path, about.name, about.written_s, newer, same, about.number)
    if path is not None and newer is not None and _nothing_more(offer, path):
        remove(slot)
        return None
    return offer


def _about(copy: container.Parts, slot: Path) -> About:
    """What a copy is of. Raises InputError where it does not say, is damaged or of a newer program."""
    try:
        about = msgspec.json.decode(copy.held.get(ABOUT, b""), type=About)
    except (msgspec.MsgspecError, UnicodeDecodeError) as error:
        if name := newer_field(error):
            raise InputError(
                tr(
                    "“{path}” has the field “{name}” of a newer program: recover the work there.",
                    path=slot / COPY,
                    name=name,
                )
            ) from error
        raise InputError(tr("“{path}” does not say what it is a copy of.", path=slot / COPY)) from error
    jobfile.sound_parts(copy, str(slot / COPY), aside=(ABOUT,))
    if Path(about.base).name != about.base:
        raise InputError(tr("“{path}” points outside its own folder.", path=slot / COPY))
    return about


def _nothing_more(offer: Offer, path: Path) -> bool:
    """Whether the job's file holds all that the copy does. What the view remembers does not count."""
    try:
        saved, copy = jobfile.load(path), restore(offer)
    except InputError:
        return False
    return saved.job == copy.job and heavy_parts(saved) == heavy_parts(copy)


def _owner(slot: Path) -> Owner | None:
    try:
        return msgspec.json.decode((slot / OWNER).read_bytes(), type=Owner)
    except (OSError, msgspec.MsgspecError, UnicodeDecodeError):
        return None


def _changed_s(path: Path | None) -> float | None:
    try:
        return path.stat().st_mtime if path else None
    except OSError:
        return None


def _day(seconds: float) -> str:
    when = datetime.fromtimestamp(seconds)
    return tr("{day} at {time}", day=date_text(when.date()), time=f"{when:%H:%M}")


def _span(seconds: float) -> str:
    if days := int(seconds // 86_400):
        return tr_count("a day", "{count} days", days)
    if hours := int(seconds // 3600):
        return tr_count("an hour", "{count} hours", hours)
    if minutes := int(seconds // 60):
        return tr_count("a minute", "{count} minutes", minutes)
    return tr("a few seconds")
