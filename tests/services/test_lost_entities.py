"""One bad entity in a drawing: rooms are found all the same, and it is told as gravely as it may matter."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest

from takeoff.errors import InputError
from takeoff.services.opened.opening import open_file


def house(folder: Path, layer: str) -> Path:
    """A room of two faces with a name, and a line on another layer whose end is no number."""
    doc = ezdxf.new("R2010")
    doc.header["$INSUNITS"] = 4
    space = doc.modelspace()
    for x, y, w, h in ((0, 0, 4000, 3000), (-200, -200, 4400, 3400)):
        ring = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
        space.add_lwpolyline(ring, close=True, dxfattribs={"layer": "A-WALL"})
    space.add_text("Kitchen", dxfattribs={"insert": (1500, 1500), "height": 200, "layer": "A-ANNO"})
    space.add_line((77777, 0), (1, 0), dxfattribs={"layer": layer})
    path = folder / "plan.dxf"
    doc.saveas(path)
    path.write_bytes(path.read_bytes().replace(b"77777.0", b"nan"))
    return path


@pytest.mark.parametrize("layer", ["TREES", "A-ANNO", "A-FURN"])
def test_a_line_without_a_place_that_is_no_wall_is_left_out_and_told(tmp_path: Path, layer: str) -> None:
    opened = open_file(house(tmp_path, layer))
    assert [room.name for storey in opened.job.storeys for room in storey.rooms] == ["Kitchen"]
    (told,) = [f for f in opened.findings if f.code == "coordinates-dropped"]
    assert told.severity == "check"
    assert told.where.layer == layer


@pytest.mark.parametrize("layer", ["A-WALL", "Q7"])
def test_one_that_may_be_a_wall_is_refused_until_the_user_says_that_it_is_none(tmp_path: Path, layer: str) -> None:
    path = house(tmp_path, layer)
    with pytest.raises(InputError, match=f"layer {layer}"):
        open_file(path)
    opened = open_file(path, said=(("Q7", "furniture"),)) if layer == "Q7" else None
    assert opened is None or not [f for f in opened.findings if f.severity == "error" and f.where.layer == layer]
