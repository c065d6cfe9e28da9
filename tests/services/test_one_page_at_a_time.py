"""Pages are drawn by one thread at a time: the library that draws them ends the program where two use it at once."""

from __future__ import annotations

import io
import threading

from reportlab.pdfgen.canvas import Canvas

from takeoff.services.written.preview import PagePicture, opened_pdf, page_picture


def test_a_second_thread_waits_until_the_first_has_closed_its_document() -> None:
    kept = io.BytesIO()
    canvas = Canvas(kept, pagesize=(200, 100))
    canvas.showPage()
    canvas.save()
    drawn: list[PagePicture] = []
    other = threading.Thread(target=lambda: drawn.append(page_picture(kept.getvalue(), 0, 100)), daemon=True)
    with opened_pdf(kept.getvalue()) as pdf:
        other.start()
        other.join(0.3)
        assert other.is_alive()
        assert len(pdf) == 1
    other.join(30.0)
    assert [(p.width_px, p.height_px) for p in drawn] == [(100, 50)]
