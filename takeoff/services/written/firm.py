"""The contractor's own details: kept among what is this user's, put on every new job, and never with a client's."""

from __future__ import annotations

import base64
import binascii
from pathlib import Path

import msgspec

from takeoff.errors import InputError, OutputError
from takeoff.files.atomic import make_folder, write_bytes
from takeoff.files.paths import own_data_folder
from takeoff.language import tr
from takeoff.plan.model import Job, Logo
from takeoff.sheets.sheet_values import Letterhead, LogoPicture

FILE = "firm.json"
LARGEST_BYTES = 1 << 20


class Firm(msgspec.Struct, frozen=True, omit_defaults=True):
    """What a firm puts on its papers, whoever they are for. Unknown fields of other versions are passed over."""

    contractor: str = ""
    address: str = ""
    terms: str = ""
    logo: Logo | None = None


def firm_of(job: Job) -> Firm:
    """The firm's own details of a job: nothing of its client, its site or its prices."""
    details = job.details
    return Firm(details.contractor, details.address, details.terms, details.logo)


def kept_firm() -> Firm:
    """The firm that new jobs are made with; an empty one where none was kept or its file cannot be read."""
    path = own_data_folder() / FILE
    try:
        if path.stat().st_size > LARGEST_BYTES:
            return Firm()
        return msgspec.json.decode(path.read_bytes(), type=Firm)
    except (OSError, msgspec.DecodeError, UnicodeDecodeError):
        return Firm()


def keep_firm(firm: Firm) -> Path:
    """Keep the firm for the jobs to come; one with nothing set is forgotten. Raises OutputError where it cannot be
    written."""
    path = own_data_folder() / FILE
    if firm == Firm():
        try:
            path.unlink(missing_ok=True)
        except OSError as error:
            why = error.strerror or error
            raise OutputError(
                tr("“{path}” could not be removed: {why}. Remove it by hand.", path=path, why=why)
            ) from error
        return path
    make_folder(path.parent)
    write_bytes(path, msgspec.json.encode(firm))
    return path


def with_firm(job: Job, firm: Firm | None = None) -> Job:
    """A new job with the firm's details, those that were kept without ``firm``."""
    own = kept_firm() if firm is None else firm
    if own == Firm():
        return job
    details = msgspec.structs.replace(
        job.details, contractor=own.contractor, address=own.address, terms=own.terms, logo=own.logo
    )
    return msgspec.structs.replace(job, details=details)


def logo_in(file: Path) -> Logo:
    """The logo in a picture file, as a job keeps it. Raises InputError, one sentence, for what is none."""
    from takeoff.readers.picture import read_logo

    kept = read_logo(file)
    return Logo(data=base64.b64encode(kept.data).decode(), width_px=kept.width_px, height_px=kept.height_px)


def letterhead_of(job: Job) -> Letterhead:
    """Who writes the papers of a job. Raises InputError for a logo that somebody damaged in the job's file."""
    details = job.details
    logo = None if details.logo is None else picture_of(details.logo)
    return Letterhead(details.contractor, details.address, logo)


def picture_of(logo: Logo) -> LogoPicture:
    """The logo's picture, known to be whole. Raises InputError for one that is damaged."""
    from takeoff.readers.picture import is_logo

    try:
        data = base64.b64decode(logo.data, validate=True)
    except (binascii.Error, ValueError):
        data = b""
    if not is_logo(data, logo.width_px, logo.height_px):
        raise InputError(tr("The logo in this job is damaged: remove it or choose it again."))
    return LogoPicture(data, logo.width_px, logo.height_px)
