"""Make the pictures of the README from the samples: ``python sample_plans/pictures.py [FOLDER]``.

Needs the extra ``window``; no screen. Writes the window, a plan with its coat and the first page of a client scope as
PNG into ``sample_plans/pictures``, or into the folder named as first argument.
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from io import BytesIO
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import pypdfium2
from PIL import Image
from PySide6.QtCore import QBuffer, QIODevice
from PySide6.QtWidgets import QWidget

from takeoff.language import use_language, use_region
from takeoff.services.measured.job_result import measure_job
from takeoff.services.opened.opening import open_file
from takeoff.services.written.writing import document, write_everything
from takeoff.ui.app import application
from takeoff.ui.document import Ref
from takeoff.ui.settings import Settings
from takeoff.ui.window.main_window import MainWindow

HERE = Path(__file__).parent
DATE = "2031-05-20"
COLOURS = 200
"""So many colours keep every letter and every dot of the coat, and make small files."""

PAGE_PX = 660
"""Width of the page."""


def opened(name: str, folder: Path) -> MainWindow:
    """The window at 1366 × 768 with a sample, in which everything happens in order."""
    window = MainWindow(Settings(folder / f"{name}.settings"), in_order=True)
    window.resize(1366, 768)
    window.show()
    # a copy: who has the sample open elsewhere is not asked about it
    window.files.open(Path(shutil.copy(HERE / name, folder)))
    return window


def grabbed(widget: QWidget) -> Image.Image:
    """A widget as it stands on the screen."""
    app = application()
    for _ in range(3):  # pages and labels find their places in the second turn
        app.processEvents()
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    widget.grab().save(buffer, "PNG")
    return Image.open(BytesIO(buffer.data().data())).convert("RGB")


def window_picture(folder: Path) -> Image.Image:
    """The sample job with a room selected, its walls below and its figures at the right."""
    window = opened("terrace.job.json", folder)
    window.document.choose((Ref("room", str(window.document.job.storeys[0].rooms[1].id)),))
    picture = grabbed(window)
    window.document.stack.setClean()
    window.close()
    return picture


def plan_picture(folder: Path) -> Image.Image:
    """A drawing as it was sent, with the coat along its walls."""
    window = opened("terrace_ground.dxf", folder)
    window.document.choose(())
    view = window.plan.view
    view.setParent(None)
    view.resize(560, 620)
    view.show()
    application().processEvents()
    window.plan.fit()
    picture = grabbed(view)
    window.document.stack.setClean()
    window.close()
    return picture


def scope_picture(folder: Path) -> Image.Image:
    """The first page of the client scope of the sample job."""
    measured = measure_job(open_file(HERE / "terrace.job.json"))
    write_everything(measured, document(measured, DATE), folder / "out")
    with pypdfium2.PdfDocument(folder / "out" / "scope.pdf") as pdf:
        page = pdf[0]
        return page.render(scale=PAGE_PX / page.get_width()).to_pil().convert("RGB")


def save(picture: Image.Image, file: Path) -> None:
    """As a small PNG."""
    small = picture.quantize(COLOURS, dither=Image.Dither.NONE)
    small.save(file, optimize=True)
    print(f"{file.name}: {file.stat().st_size // 1024} kB")


def main(into: Path) -> None:
    """Write the three pictures."""
    application()
    use_language("en")
    use_region("GB")
    into.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as scratch:
        for name, make in (("window", window_picture), ("plan", plan_picture), ("scope", scope_picture)):
            save(make(Path(scratch)), into / f"{name}.png")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE / "pictures")
