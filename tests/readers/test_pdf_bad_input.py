"""Files that cannot be read are refused in one sentence, and pages are chosen in the open."""

from __future__ import annotations

import os
import sys
import zlib
from pathlib import Path

import pytest
from pdf_making import MM, Sheet, flat, raw_pdf
from reportlab.lib.pdfencrypt import StandardEncryption
from reportlab.pdfgen.canvas import Canvas

from takeoff.errors import Cancelled, InputError
from takeoff.readers import pdf
from takeoff.readers.pdf import beziers, page_content, pdf_drawing, serving
from takeoff.readers.pdf import pdf_process as process
from takeoff.readers.pdf.pdf_messages import Request


def refusal(path: Path, page: int | None = None) -> str:
    with pytest.raises(InputError) as caught:
        pdf.read(path, page)
    sentence = str(caught.value)
    assert "\n" not in sentence
    assert sentence.endswith(".")
    return sentence


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    assert "does not exist" in refusal(tmp_path / "plan.pdf")


def test_a_folder(tmp_path: Path) -> None:
    assert "is a folder" in refusal(tmp_path)


def test_an_empty_file(tmp_path: Path) -> None:
    path = tmp_path / "plan.pdf"
    path.write_bytes(b"")
    assert "plan.pdf is empty" in refusal(path)


def test_another_kind_of_file(tmp_path: Path) -> None:
    path = tmp_path / "plan.pdf"
    path.write_bytes(b"  0\nSECTION\n")
    assert "plan.pdf is no PDF" in refusal(path)


def test_a_file_that_ends_at_once(tmp_path: Path) -> None:
    path = tmp_path / "plan.pdf"
    path.write_bytes(b"%PDF-1.4\n")
    assert "plan.pdf is damaged or no PDF" in refusal(path)


def test_a_file_locked_by_a_password(tmp_path: Path) -> None:
    canvas = Canvas(str(tmp_path / "locked.pdf"), encrypt=StandardEncryption("open", "own"))
    canvas.line(0, 0, 100, 100)
    canvas.save()
    assert refusal(tmp_path / "locked.pdf") == ("locked.pdf is locked by a password: ask for an unlocked copy.")


def test_a_file_that_only_forbids_copying_is_read(tmp_path: Path) -> None:
    canvas = Canvas(str(tmp_path / "plan.pdf"), encrypt=StandardEncryption("", "own", canCopy=0))
    canvas.line(0, 0, 100, 100)
    canvas.save()
    assert len(pdf.read(tmp_path / "plan.pdf")[0].lines) == 1


def test_a_page_that_is_not_there(tmp_path: Path) -> None:
    path = raw_pdf(tmp_path / "plan.pdf", b"0 0 m 9 9 l S")
    assert refusal(path, 2) == "plan.pdf has no page 2: choose one from 1 to 1."


def test_a_blank_page_and_one_of_text_alone(tmp_path: Path) -> None:
    assert "shows no lines" in refusal(raw_pdf(tmp_path / "blank.pdf", b""))
    canvas = Canvas(str(tmp_path / "letter.pdf"))
    canvas.drawString(100, 100, "Dear neighbour")
    canvas.save()
    assert "only text or small images" in refusal(tmp_path / "letter.pdf")


def test_too_large_a_file_is_refused_before_it_is_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = raw_pdf(tmp_path / "plan.pdf", b"0 0 m 9 9 l S")
    monkeypatch.setattr(pdf_drawing, "MOST_BYTES", 100)
    monkeypatch.setattr(pdf_drawing, "ask", None)
    assert "plan.pdf holds 0 MB and at most 0 MB can be read" in refusal(path)


def test_a_page_with_too_many_lines_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = raw_pdf(tmp_path / "plan.pdf", b"0 0 m 9 9 l 0 9 l 9 0 l S")
    monkeypatch.setattr(serving, "MOST_SIDES", 3)
    with pytest.raises(InputError, match=r"Page 1 of plan.pdf has 4 lines, more than"):
        serving.serve(Request(str(path), path.name), lambda share, what: None)


def test_a_page_with_too_many_points_of_clip_paths_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each of two lines lies in a viewport of four sides, which PDFium gives five points."""
    clips = b"0 0 9 9 re W n "
    path = raw_pdf(tmp_path / "plan.pdf", clips + b"0 0 m 9 9 l S 0 9 m 9 0 l S")
    monkeypatch.setattr(page_content, "MOST_CLIP_POINTS", 10)
    told: list[float] = []
    assert serving.serve(Request(str(path), path.name), lambda share, what: told.append(share))
    assert told == sorted(told)
    monkeypatch.setattr(page_content, "MOST_CLIP_POINTS", 9)
    with pytest.raises(InputError, match=r"Page 1 of plan.pdf has clip paths of more than"):
        serving.serve(Request(str(path), path.name), lambda share, what: None)


def test_the_page_with_most_lines_is_read_and_the_others_are_named(tmp_path: Path) -> None:
    sheet = Sheet(tmp_path / "set.pdf", 50.0)
    sheet.on_paper(50, 200, "Drawing list")
    sheet.canvas.showPage()
    flat(sheet)
    sheet.canvas.showPage()
    for i in range(25):
        sheet.canvas.line(0, i * MM, 100, i * MM)
    drawing, found = pdf.read(sheet.done())
    assert dict(drawing.claims[0].values)["page"] == 2.0
    chosen = next(f for f in found if f.code == "page-chosen")
    assert chosen.where.page == 2
    assert "Page 2" in f"{chosen.text} {chosen.evidence}"
    assert "3 (50 lines)" in f"{chosen.text} {chosen.evidence}"
    third, found = pdf.read(tmp_path / "set.pdf", page=3)
    assert len(third.lines) == 25
    assert all(f.code != "page-chosen" for f in found)


def test_a_scan_is_called_a_picture(tmp_path: Path) -> None:
    from PIL import Image

    canvas = Canvas(str(tmp_path / "scan.pdf"), pagesize=(210 * MM, 297 * MM))
    Image.new("L", (300, 400), 200).save(tmp_path / "scan.png")
    canvas.drawImage(str(tmp_path / "scan.png"), 0, 0, 210 * MM, 297 * MM)
    canvas.save()
    drawing, found = pdf.read(tmp_path / "scan.pdf")
    assert drawing.picture is not None
    assert not len(drawing.lines)
    assert [f.code for f in found if f.severity == "error"] == ["page-is-picture"]
    page = pdf.render(tmp_path / "scan.pdf", 1, dpi=50.0)
    assert (page.width_px, page.height_px) == (413, 585)
    assert page.rgb[:3] == bytes([200, 200, 200])


def test_a_scan_with_a_drawn_stamp_is_read_and_the_picture_is_told(tmp_path: Path) -> None:
    from PIL import Image

    canvas = Canvas(str(tmp_path / "scan.pdf"), pagesize=(210 * MM, 297 * MM))
    Image.new("L", (300, 400), 200).save(tmp_path / "scan.png")
    canvas.drawImage(str(tmp_path / "scan.png"), 0, 0, 210 * MM, 297 * MM)
    for k in range(50):
        canvas.line(20, 20 + k, 200, 20 + k)
    canvas.save()
    drawing, found = pdf.read(tmp_path / "scan.pdf")
    assert drawing.picture is None
    (told,) = [f for f in found if f.code == "picture-on-page"]
    assert "Images cover 100%" in told.text


def test_a_stream_that_unpacks_to_a_gigabyte_is_a_sentence_in_little_memory(tmp_path: Path) -> None:
    """A packed megabyte of blanks, a thousand times in a row: a few hundred kilobytes of file."""
    packer = zlib.compressobj(9)
    first = packer.compress(b" " * 2**20) + packer.flush(zlib.Z_FULL_FLUSH)
    again = packer.compress(b" " * 2**20) + packer.flush(zlib.Z_FULL_FLUSH)
    data = first + again * 1000 + packer.flush()
    body = b"<< /Length %d /Filter /FlateDecode >>\nstream\n" % len(data) + data + b"\nendstream"
    path = raw_pdf(tmp_path / "bomb.pdf", b"")
    whole = path.read_bytes()
    at = whole.index(b"4 0 obj\n") + len(b"4 0 obj\n")
    path.write_bytes(whole[:at] + body + whole[whole.index(b"\nendobj", at) :])
    sentence = refusal(path)
    assert "bomb.pdf" in sentence or "Page 1" in sentence


def test_a_crash_while_reading_is_a_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = raw_pdf(tmp_path / "plan.pdf", b"0 0 m 9 9 l S")
    crasher = tmp_path / "crash.sh"
    crasher.write_text("#!/bin/sh\nkill -SEGV $$\n")
    crasher.chmod(0o755)
    monkeypatch.setattr(sys, "executable", str(crasher))
    assert "broke down" in refusal(path)


def test_a_reader_that_hangs_is_ended(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = raw_pdf(tmp_path / "plan.pdf", b"0 0 m 9 9 l S")
    sleeper = tmp_path / "sleep.sh"
    number = tmp_path / "number"
    sleeper.write_text(f"#!/bin/sh\necho $$ > '{number}'\nexec sleep 600\n")
    sleeper.chmod(0o755)
    monkeypatch.setattr(sys, "executable", str(sleeper))
    with pytest.raises(InputError, match=r"could not be read in 1 seconds"):
        process.ask(Request(str(path), path.name), lambda share, what: None, silence_s=1.0)
    with pytest.raises(ProcessLookupError):
        os.kill(int(number.read_text()), 0)


def test_reading_can_be_cancelled(tmp_path: Path) -> None:
    def stop(share: float, what: str) -> None:
        raise Cancelled("stopped")

    with pytest.raises(Cancelled):
        pdf.read(raw_pdf(tmp_path / "plan.pdf", b"0 0 m 9 9 l S"), progress=stop)


def test_progress_only_grows(tmp_path: Path) -> None:
    told: list[float] = []
    path = raw_pdf(tmp_path / "plan.pdf", b"0 0 m 9 9 l S")
    pdf.read(path, progress=lambda share, what: told.append(share))
    assert told == sorted(told)
    assert told[-1] == 1.0


def test_curves_are_counted_before_they_are_cut_into_chords(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = raw_pdf(tmp_path / "plan.pdf", b"0 0 m 700 900 -700 -900 300 300 c S 0 0 m 9 9 l 0 9 l S")
    monkeypatch.setattr(beziers, "MOST_PIECES", 20)
    assert "Page 1 of plan.pdf has curves of" in refusal(path)
