"""Sets Qt up for tests before anything imports it, and gives a window to act in."""

from __future__ import annotations

import gc
import os
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from hands import Hands
from PySide6.QtCore import QCoreApplication, QEvent, QLocale
from PySide6.QtPrintSupport import QPrinter
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from takeoff.ui import messages
from takeoff.ui.app import application
from takeoff.ui.document import Document
from takeoff.ui.settings import Settings
from takeoff.ui.window.main_window import MainWindow

PATIENCE_MS = 60_000
CHECKOUT = Path(__file__).parents[2]


class Told:
    """Stands in for the user: answers from ``answers``, ``paths`` and keeps what was told."""

    def __init__(self) -> None:
        self.sentences: list[str] = []
        self.questions: list[str] = []
        self.answers: list[str] = []
        self.paths: list[Path | None] = []

    def tell(self, parent: QWidget | None, sentence: str, details: str = "") -> None:
        self.sentences.append(sentence)

    def ask(self, parent: QWidget | None, sentence: str, answers: Sequence[tuple[str, str]]) -> str:
        self.questions.append(sentence)
        return self.answers.pop(0) if self.answers else answers[-1][0]

    def file_to_open(self, parent: QWidget | None, title: str, kinds: str) -> Path | None:
        return self.paths.pop(0)

    def files_to_open(self, parent: QWidget | None, title: str, kinds: str) -> tuple[Path, ...]:
        paths, self.paths = self.paths, []
        return tuple(path for path in paths if path is not None)

    def file_to_save(self, parent: QWidget | None, title: str, kinds: str, name: str) -> Path | None:
        return self.paths.pop(0)

    def folder(self, parent: QWidget | None, title: str) -> Path | None:
        return self.paths.pop(0)

    def printer(self, parent: QWidget | None, printer: QPrinter) -> bool:
        """Prints into the next of ``paths``; None thinks better of it."""
        path = self.paths.pop(0)
        if path is not None:
            printer.setOutputFormat(printer.OutputFormat.PdfFormat)
            printer.setOutputFileName(str(path))
        return path is not None


@pytest.fixture(scope="session")
def qapp() -> object:
    QLocale.setDefault(QLocale(QLocale.Language.English, QLocale.Country.UnitedKingdom))
    return application()


@pytest.fixture(scope="session")
def lasting(qapp: object) -> None:
    """What is loaded by now stays until the end: it need not be looked through after each test."""
    gc.collect()
    gc.freeze()


@pytest.fixture(autouse=True)
def let_go(lasting: None) -> Iterator[None]:
    """What a test has closed is let go of before the next one, by the thread that has made it: a widget
    that another thread collects can take the process with it."""
    gc.disable()
    yield
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
    gc.collect()
    gc.enable()


class Patient(QtBot):
    """Waits long for what must come: on a computer that does other things too, seconds say nothing."""

    def waitUntil(self, callback, *, timeout: int = 0):
        return super().waitUntil(callback, timeout=max(timeout, PATIENCE_MS))

    def waitSignal(self, signal, *, timeout: int = 0, **others):
        return super().waitSignal(signal, timeout=max(timeout, PATIENCE_MS), **others)

    def waitExposed(self, widget, *, timeout: int = 0):
        return super().waitExposed(widget, timeout=max(timeout, PATIENCE_MS))


@pytest.fixture
def qtbot(qapp, request) -> QtBot:
    return Patient(request)


@pytest.fixture
def told() -> Iterator[Told]:
    fake = Told()
    before = messages.use(fake)
    yield fake
    messages.use(before)


@pytest.fixture
def window(qtbot, told: Told, tmp_path: Path) -> MainWindow:
    """An empty window at 1366 × 768, in which everything happens in order."""
    made = MainWindow(Settings(tmp_path / "window.json"), in_order=True)
    qtbot.addWidget(made, before_close_func=lambda _: told.answers.append("discard"))
    made.resize(1366, 768)
    made.show()
    qtbot.waitExposed(made)
    return made


@pytest.fixture
def sample(window: MainWindow) -> MainWindow:
    """The window with the sample job of two storeys."""
    window.files.open(CHECKOUT / "sample_plans" / "terrace.job.json")
    return window


@pytest.fixture
def doc(sample: MainWindow) -> Document:
    """The document of the sample job."""
    return sample.document


@pytest.fixture
def hands(sample: MainWindow) -> Hands:
    """A user's hands on the sample job."""
    return Hands(sample)
