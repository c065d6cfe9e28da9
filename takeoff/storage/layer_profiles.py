"""What this user chose for the layers of each office's drawings, kept between runs in one small file."""

from __future__ import annotations

from pathlib import Path

import msgspec

from takeoff.errors import Finding
from takeoff.files.atomic import make_folder, write_bytes
from takeoff.findings import noticed
from takeoff.language import tr
from takeoff.recognise.walls.layer_roles import Profile

FILE = "layers.json"
MOST = 60
"""Offices that are remembered; the one not used for longest is forgotten first."""
LARGEST_BYTES = 4 << 20


class Kept(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The file: profiles, the one chosen last at the end."""

    profiles: tuple[Profile, ...] = ()
    schema: str = "takeoff-layers/1"


def load(folder: Path) -> tuple[tuple[Profile, ...], tuple[Finding, ...]]:
    """(the profiles, the latest last; a finding where the file is there and cannot be read)."""
    path = folder / FILE
    try:
        if path.stat().st_size > LARGEST_BYTES:
            return (), (_unreadable(path, tr("it is far too large")),)
        return msgspec.json.decode(path.read_bytes(), type=Kept).profiles, ()
    except FileNotFoundError:
        return (), ()
    except (OSError, msgspec.MsgspecError, RecursionError, UnicodeError) as error:
        return (), (_unreadable(path, str(error)),)


def remember(folder: Path, profile: Profile) -> None:
    """Put a profile last; one of the same layers gives way. One without roles is forgotten.

    Raises OutputError where the file cannot be written; the old one then stays.
    """
    known, _ = load(folder)
    others = tuple(p for p in known if p.layers != profile.layers)
    after = (*others, profile) if profile.roles else others
    if after == known:
        return
    make_folder(folder)
    write_bytes(folder / FILE, msgspec.json.format(msgspec.json.encode(Kept(after[-MOST:])), indent=1))


def _unreadable(path: Path, why: str) -> Finding:
    return noticed("layers-not-remembered", path=path, why=why)
