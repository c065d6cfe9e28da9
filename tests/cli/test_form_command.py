"""The command that writes the blank form."""

from pathlib import Path

import pypdfium2
import pytest

from takeoff.cli import main


def test_the_form_is_written_and_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "form.pdf"
    assert main.run(["form", "-o", str(path), "--rooms", "2", "--page", "A3", "--name", "Invented Lane"]) == 0
    assert capsys.readouterr().out == f"Written: {path}\n"
    made = pypdfium2.PdfDocument(path)
    assert (len(made), round(made[0].get_width())) == (4, 842)  # each room: its outline, then the readings of the site
    made.close()


def test_a_folder_that_is_not_there_is_said(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main.run(["form", "-o", str(tmp_path / "none" / "form.pdf")]) == 2
    told = capsys.readouterr().err
    assert told.startswith("takeoff: ")
    assert told.count("\n") == 1


def test_no_rooms_are_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main.run(["form", "-o", str(tmp_path / "form.pdf"), "--rooms", "0"]) == 2
    assert "1 to 200" in capsys.readouterr().err
