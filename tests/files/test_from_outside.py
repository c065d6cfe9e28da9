"""Words and files from outside: cleaned once, refused in one sentence."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from takeoff.errors import InputError
from takeoff.files.from_outside import LONGEST_NAME, clean, name_of, undecodable, whole_file


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ("Kitchen", "Kitchen"),
        ("Küche 12,5 m²", "Küche 12,5 m²"),
        ("a\x00b\x1b[2Jc\x7f", "ab[2Jc"),
        ("one\ttwo\u2028three", "one two three"),
        ("first\nsecond", "first\nsecond"),
        ("12\xa0m", "12\xa0m"),
        ("abc\u202edef", "abcdef"),
        ("k\xfcche".encode("cp1252").decode("utf-8", "surrogateescape"), "küche"),
        ("lone \ud800 half", "lone ? half"),
    ],
)
def test_text_can_be_written_whatever_came_in(given: str, kept: str) -> None:
    assert clean(given) == kept
    assert clean(given).encode()
    assert clean(clean(given)) == kept


def test_a_long_name_is_cut_and_says_so() -> None:
    assert clean("x" * 5000, LONGEST_NAME) == "x" * (LONGEST_NAME - 1) + "…"
    assert clean("x" * LONGEST_NAME, LONGEST_NAME) == "x" * LONGEST_NAME


def test_undecodable_bytes_are_told_from_other_letters() -> None:
    assert undecodable(b"\xfc".decode("utf-8", "surrogateescape"))
    assert not undecodable("ü 日本")


@pytest.mark.skipif(sys.platform != "linux", reason="other systems have no such file names")
def test_a_file_name_that_is_no_text_is_said_all_the_same(tmp_path: Path) -> None:
    path = tmp_path / os.fsdecode(b"gr\xfcn.dxf")
    assert name_of(path) == "grün.dxf"
    with pytest.raises(InputError, match=r"grün\.dxf does not exist in"):
        whole_file(path, "DXF file", 100, "make it smaller")


def test_a_file_that_is_too_large_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "plan.dxf"
    with path.open("wb") as out:
        out.truncate(3 * 2**20)
    with pytest.raises(InputError, match="holds 3 MB and at most 2 MB can be read: make it smaller"):
        whole_file(path, "DXF file", 2 * 2**20, "make it smaller")
