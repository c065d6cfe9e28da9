"""A contractor who goes through the first pass by clicks and keys, and counts them."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from takeoff.ui.panels.asking_panel import AskingPanel
from takeoff.ui.panels.proposals_page import ProposalsPage
from takeoff.ui.window.first_pass_part import FirstPass
from takeoff.ui.window.main_window import MainWindow

LEFT = Qt.MouseButton.LeftButton
PLAIN, CONTROL, SHIFT = (
    Qt.KeyboardModifier.NoModifier,
    Qt.KeyboardModifier.ControlModifier,
    Qt.KeyboardModifier.ShiftModifier,
)
A_MOMENT_MS = 30


class Guided:
    """Acts in one window. ``done`` has a line for each action: a click, a key, a text with its Enter, a choice in a
    box of files."""

    def __init__(self, window: MainWindow, told) -> None:
        self.window, self._told = window, told
        self.done: list[str] = []
        window.activateWindow()
        window.plan.view.setFocus()

    @property
    def guide(self) -> FirstPass:
        found = self.window.findChild(FirstPass)
        assert found is not None
        return found

    @property
    def page(self):
        return self.guide.page

    @property
    def step(self) -> str:
        """Where the pass stands: a step of its own page, or the page that a step has led to."""
        here = self.window.sides.current
        return self.page.current if here == "first-pass" else here

    def settle_down(self) -> None:
        QTest.qWait(A_MOMENT_MS)

    def key(self, words: str, key: Qt.Key, held: Qt.KeyboardModifier = PLAIN) -> None:
        """One key, to whatever has the keys."""
        QTest.keyClick(self._focus(), key, held)
        self.done.append(words)
        self.settle_down()

    def type(self, text: str) -> None:
        """A text and Enter: one action."""
        widget = self._focus()
        QTest.keyClicks(widget, text)
        QTest.keyClick(widget, Qt.Key.Key_Return)
        self.done.append(f"types {text}")
        self.settle_down()

    def click(self, words: str, widget: QWidget) -> None:
        assert widget.isVisible(), f"{words}: it cannot be seen"
        assert widget.isEnabled(), f"{words}: it cannot be pressed"
        QTest.mouseClick(widget, LEFT)
        self.done.append(words)
        self.settle_down()

    def chooses(self, path: Path) -> None:
        """What is chosen in the next box of files: an action of its own."""
        self._told.paths.append(path)
        self.done.append(f"chooses {path.name}")

    def _focus(self) -> QWidget:
        return QApplication.focusWidget() or self.window.focusWidget() or self.window

    # -- the steps

    def opens(self, ground: Path, upper: Path) -> None:
        self.chooses(ground)
        self.key("opens a drawing", Qt.Key.Key_O, CONTROL)
        self.chooses(upper)
        self.key("adds a drawing as a storey", Qt.Key.Key_O, CONTROL | SHIFT)

    def heights(self, *metres: str) -> None:
        assert self.step == "heights"
        for text in metres:
            self.type(text)

    def names(self, called: Mapping[str, tuple[str, ...]]) -> None:
        """Types a name for each room as it is lit up, storey by storey; "" takes what stands there."""
        assert self.step == "names"
        for storey, names in called.items():
            for name in names:
                assert self.page.about.text().startswith(storey), self.page.about.text()
                self.type(name)

    def kinds(self) -> ProposalsPage:
        """The openings that are asked about, on a page of their own."""
        page = self.window.sides.page("proposals")
        assert self.step == "proposals"
        assert isinstance(page, ProposalsPage)
        return page

    def beyond(self) -> AskingPanel:
        """The runs of the outline, on the page of the coat."""
        assert self.step == "coat"
        panel = self.window.sides.page("coat").asking
        assert panel.current is not None
        return panel

    def all_as_proposed(self) -> None:
        """One key takes every opening as it is proposed."""
        self.key("takes the openings as proposed", Qt.Key.Key_Return, CONTROL | SHIFT)

    def all_outside(self) -> None:
        """One key: the house stands free."""
        self.key("all that is left is outside", Qt.Key.Key_1, CONTROL)

    def writes(self, folder: Path) -> None:
        """The end of the pass: Enter, and a folder."""
        assert self.step == ""
        self.chooses(folder)
        self.key("writes the sheets", Qt.Key.Key_Return)
