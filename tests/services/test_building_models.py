"""A building model is opened as jobs and drawings are: told by its content, measured at once."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

from takeoff.drawing.model import Claim, Drawing, Linework
from takeoff.errors import InputError
from takeoff.readers import ifc
from takeoff.recognise.presets import Settings
from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import kind_of, open_file

RING = ((0.0, 0.0, 0.0), (4000.0, 0.0, 0.0), (4000.0, 3000.0, 0.0), (0.0, 3000.0, 0.0))
VALUES = (("floor_mm", 0.0), ("top_mm", 2500.0), ("x_mm", 1.0), ("y_mm", 1.0))
DRAWING = Drawing(
    name="house.ifc",
    layers=(),
    lines=Linework(),
    unit="m",
    unit_mm=1000.0,
    sha256="ab",
    claims=(Claim("space", "test", RING, VALUES, (("guid", "g"), ("name", "Den"), ("number", "1"))),),
)


@pytest.mark.parametrize("start", [b"ISO-10303-21;\nHEADER;", b"\xef\xbb\xbf\nISO-10303-21;"])
@pytest.mark.parametrize("name", ["house.ifc", "house.dxf", "house"])
def test_model_is_told_by_its_content(tmp_path: Path, start: bytes, name: str) -> None:
    path = tmp_path / name
    path.write_bytes(start)
    assert kind_of(path) == "model"


def test_zip_with_a_model_is_a_model_and_another_zip_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "house.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("house.IFC", "ISO-10303-21;")
    assert kind_of(path) == "model"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("plan.dxf", "0")
    with pytest.raises(InputError, match="is a zip archive"):
        kind_of(path)


def test_opened_model_is_a_job_with_its_source_and_its_first_drawing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(ifc, "read", lambda path, progress: ((DRAWING,), ()))
    path = tmp_path / "house.ifc"
    path.write_bytes(b"ISO-10303-21;")
    opened = open_file(path, Settings(layers=("A",)), "mm")
    assert (opened.kind, opened.drawings) == ("drawing", {"d1": DRAWING})
    assert (opened.job.drawings[0].name, opened.job.drawings[0].unit_mm) == ("house.ifc", 1000.0)
    (told,) = [f for f in opened.findings if f.code == "option-without-effect"]
    assert "--unit and --layers" in told.text
    (room,) = measure_job(opened).takeoff.rooms
    assert (room.name, room.floor_m2) == ("Den", pytest.approx(12.0))


def test_file_that_only_begins_as_a_model_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "house.ifc"
    path.write_bytes(b"ISO-10303-21;\nHEADER;\nFILE_SCHEMA(('IFC4'));")
    with pytest.raises(InputError, match=r"house\.ifc is cut off"):
        open_file(path)
