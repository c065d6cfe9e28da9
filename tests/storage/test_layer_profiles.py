"""What was said of layers is kept between runs, the latest last, and never stands in the way."""

from __future__ import annotations

from pathlib import Path

import pytest

from takeoff.errors import OutputError
from takeoff.recognise.walls.layer_roles import Profile
from takeoff.storage import layer_profiles
from takeoff.storage.layer_profiles import FILE, MOST, load, remember

OURS = Profile(("a-wall", "equipment"), (("equipment", "wall"),))
THEIRS = Profile(("türen", "wände"), (("türen", "frame"),))


def test_what_is_remembered_comes_back_the_latest_last(tmp_path: Path) -> None:
    folder = tmp_path / "not" / "there" / "yet"
    assert load(folder) == ((), ())
    remember(folder, OURS)
    remember(folder, THEIRS)
    remember(folder, Profile(OURS.layers, (("a-wall", "frame"),)))
    assert load(folder) == ((THEIRS, Profile(OURS.layers, (("a-wall", "frame"),))), ())


def test_an_office_without_choices_is_forgotten(tmp_path: Path) -> None:
    remember(tmp_path, OURS)
    remember(tmp_path, Profile(OURS.layers, ()))
    assert load(tmp_path) == ((), ())


def test_the_oldest_gives_way(tmp_path: Path) -> None:
    for number in range(MOST + 1):
        remember(tmp_path, Profile((f"layer {number}",), ((f"layer {number}", "wall"),)))
    kept, _ = load(tmp_path)
    assert (len(kept), kept[0].layers, kept[-1].layers) == (MOST, ("layer 1",), (f"layer {MOST}",))


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"{",
        b"\xff\xfe",
        b'{"profiles": 3}',
        b'{"profiles": [{"layers": ["a"]}]}',
        b'{"profiles": [{"layers": [], "roles": [["a", "walls"]]}]}',
        b"[" * 10_000,
    ],
)
def test_a_damaged_file_is_told_and_left_aside(tmp_path: Path, data: bytes) -> None:
    (tmp_path / FILE).write_bytes(data)
    kept, (finding,) = load(tmp_path)
    assert kept == ()
    assert (finding.code, finding.severity) == ("layers-not-remembered", "check")
    assert "\n" not in finding.text
    remember(tmp_path, OURS)
    assert load(tmp_path) == ((OURS,), ())


def test_a_file_far_too_large_is_not_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    remember(tmp_path, OURS)
    monkeypatch.setattr(layer_profiles, "LARGEST_BYTES", 10)
    assert [f.code for f in load(tmp_path)[1]] == ["layers-not-remembered"]


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "state").write_text("a file")
    with pytest.raises(OutputError):
        remember(tmp_path / "state", OURS)
