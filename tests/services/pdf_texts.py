"""What stands on the pages of a PDF."""

from __future__ import annotations

from pathlib import Path

import pypdfium2


def pages(path: Path) -> list[str]:
    """The text of each page in one line."""
    with pypdfium2.PdfDocument(path) as pdf:
        return [" ".join(page.get_textpage().get_text_bounded().split()) for page in pdf]
