"""The Drawing page: what was read, what it leaves open, and what its layers are for."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QPushButton, QScrollArea, QVBoxLayout, QWidget

from takeoff.ui.panels.drawing_layers import LayersSection, WallsSection
from takeoff.ui.panels.drawing_pages import PagesSection
from takeoff.ui.panels.drawing_picture import PictureSection
from takeoff.ui.panels.drawing_question import QuestionSection
from takeoff.ui.panels.fields import ChoiceField
from takeoff.ui.panels.words import label, restyle, set_text


class DrawingPage(QWidget):
    """Sections one under the other, those that ask first. Who fills them connects their signals."""

    undo = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setProperty("part", "page")
        self.about = label("", "grey", wrap=True)
        self.notice, self.undo_button = label("", "urgent", wrap=True), QPushButton("Take that back")
        self.undo_button.clicked.connect(self.undo)
        self.question, self.pages, self.picture = QuestionSection(), PagesSection(), PictureSection()
        self.walls, self.layers = WallsSection(), LayersSection()
        inner = QWidget()
        inner.setProperty("part", "page")
        down = QVBoxLayout(inner)
        down.setContentsMargins(0, 0, 6, 12)
        down.setSpacing(12)
        sections = (self.notice, self.undo_button, self.question, self.pages, self.picture, self.walls, self.layers)
        for section in sections:
            down.addWidget(section)
        down.addStretch(1)
        self.area = QScrollArea()
        self.area.setFrameShape(QFrame.Shape.NoFrame)
        self.area.setWidgetResizable(True)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.area.setWidget(inner)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 16, 4, 0)
        layout.addWidget(label("Drawing", "title"))
        layout.addWidget(self.about)
        layout.addWidget(self.area, 1)
        self.say("")

    @property
    def boxes(self) -> dict[int, ChoiceField]:
        """How each layer is shown, by its number in the drawing."""
        return self.layers.shows

    def say(self, sentence: str, can_undo: bool = False) -> None:
        """A sentence above everything: what was lost, and can be undone, or what was remembered; "" for
        nothing."""
        set_text(self.notice, sentence)
        restyle(self.notice, "urgent" if can_undo else "name")
        self.notice.setVisible(bool(sentence))
        self.undo_button.setVisible(bool(sentence) and can_undo)
