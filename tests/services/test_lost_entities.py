"""One bad entity in a drawing: rooms are found all the same, and it is told as gravely as it may matter."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import pytest

from takeoff.services.opening import open_file


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


@pytest.mark.parametrize(
    ("layer", "severity"), [("TREES", "check"), ("A-ANNO", "check"), ("A-WALL", "error"), ("Q7", "error")]
)
def test_a_line_without_a_place_is_an_error_only_where_it_may_be_a_wall(
    tmp_path: Path, layer: str, severity: str
) -> None:
    opened = open_file(house(tmp_path, layer))
    assert [room.name for storey in opened.job.storeys for room in storey.rooms] == ["Kitchen"]
    (told,) = [f for f in opened.findings if f.code == "coordinates-dropped"]
    assert told.severity == severity
    assert told.where.layer == layer
