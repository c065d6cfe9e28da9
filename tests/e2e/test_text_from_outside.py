"""Names from other programs and other alphabets: cleaned once, told where they cannot be shown."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from takeoff.errors import InputError
from takeoff.storage import jobs

CORNERS = ((0.0, 0.0), (3000.0, 0.0), (3000.0, 2000.0), (0.0, 2000.0))


def tree(name: str, **room: Any) -> dict[str, Any]:
    sides = [{"id": f"s{k}", "x_mm": x, "y_mm": y} for k, (x, y) in enumerate(CORNERS)]
    rooms = [{"id": "r", "name": name, "outline": sides, **room}]
    return {"schema": "takeoff-job/2", "name": name, "storeys": [{"id": "s0", "rooms": rooms}]}


def test_a_file_whose_name_is_not_utf_8_is_measured(takeoff, samples: Path, tmp_path: Path) -> None:
    """As a client's old computer packs it: “Küche” in Western European letters."""
    path = Path(os.fsdecode(os.fsencode(tmp_path) + b"/K\xfcche.dxf"))
    path.write_bytes((samples / "terrace_ground.dxf").read_bytes())
    done = takeoff("measure", path, "-o", tmp_path / "out")
    assert done.returncode == 0, done.stderr
    assert json.loads((tmp_path / "out" / "result.json").read_text())["source"] == "Küche.dxf"
    (ref,) = jobs.load((tmp_path / "out" / "job.json").read_bytes(), "job").drawings
    assert ref.name == "Küche.dxf"


@pytest.mark.parametrize("ascii_only", [True, False])
def test_letters_that_nobody_sees_are_left_out_of_a_job(ascii_only: bool) -> None:
    text = "Kit\x00\x1b[31mch\u202een \u200bK\u00fcche\u2028zwei\nlinien"
    data = json.dumps(tree(text), ensure_ascii=ascii_only)
    (room,) = jobs.load(data.encode(), "job").storeys[0].rooms
    assert room.name == "Kit[31mchen Küche zwei\nlinien"


def test_a_clean_job_is_not_touched() -> None:
    data = json.dumps(tree("Küche “2”, 3 m²"), ensure_ascii=False).encode()
    (room,) = jobs.load(data, "job").storeys[0].rooms
    assert room.name == "Küche “2”, 3 m²"


def test_letters_that_the_font_lacks_are_told(takeoff, tmp_path: Path) -> None:
    (tmp_path / "job.json").write_text(json.dumps(tree("台所 🙂")))
    done = takeoff("measure", tmp_path / "job.json", "-o", tmp_path / "out")
    assert done.returncode == 0
    assert "lacks 台所🙂: “\ufffd” stands there" in done.stderr
    assert "\ufffd" in pypdfium2.PdfDocument(tmp_path / "out" / "site.pdf")[0].get_textpage().get_text_range()
    (tmp_path / "plain.json").write_text(json.dumps(tree("Küche")))
    assert "lacks" not in takeoff("measure", tmp_path / "plain.json", "-o", tmp_path / "out").stderr


def test_a_field_that_only_a_newer_program_knows_is_said_to_be_one() -> None:
    with pytest.raises(InputError) as told:
        jobs.load(json.dumps(tree("Hall", ventilated_by="fan")).encode(), "job.json")
    assert str(told.value) == (
        "job.json: storeys[0].rooms[0]: the field “ventilated_by” is not known; a newer program may have written it: "
        "open the file there, or take the field out and lose 'fan'."
    )
    with pytest.raises(InputError, match=r"is it “number”\?"):
        jobs.load(json.dumps(tree("Hall", numbr="3")).encode(), "job.json")


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"ceiling": {"planes": []}}, "storeys[0].rooms[0].ceiling.planes holds no planes"),
        ({"inner": [[{"id": "s0", "x_mm": 1.0, "y_mm": -1e308}]]}, "storeys[0].rooms[0]"),
        ({"number": 3}, "storeys[0].rooms[0].number"),
    ],
)
def test_what_cannot_be_is_refused_with_file_and_field(change: dict[str, Any], says: str) -> None:
    with pytest.raises(InputError) as told:
        jobs.load(json.dumps(tree("Hall", **change)).encode(), "job.json")
    assert str(told.value).startswith("job.json: ")
    assert says in str(told.value)
