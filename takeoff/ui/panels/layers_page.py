"""The Drawing page: what was read, and its layers: shown, dimmed or left out."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QFrame, QGridLayout, QScrollArea, QVBoxLayout, QWidget

from takeoff.ui.canvas.linework import LayerShow
from takeoff.ui.canvas.plan import Plan
from takeoff.ui.document import Document
from takeoff.ui.panels.steps import source_of
from takeoff.ui.panels.words import empty, label, set_text

_SHOWS: tuple[tuple[LayerShow, str], ...] = (("on", "shown"), ("dimmed", "dimmed"), ("off", "left out"))


class LayersPage(QWidget):
    """Only what is seen changes here, never a figure."""

    def __init__(self, document: Document, plan: Plan) -> None:
        super().__init__()
        self._document, self._plan = document, plan
        self.setProperty("part", "page")
        self.about = label("", "grey", wrap=True)
        self.boxes: dict[int, QComboBox] = {}
        inner = QWidget()
        inner.setProperty("part", "page")
        self._grid = QGridLayout(inner)
        self._grid.setContentsMargins(0, 0, 4, 0)
        self._grid.setColumnStretch(0, 1)
        scroll = QScrollArea()
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setWidgetResizable(True)
        scroll.setWidget(inner)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 16, 10, 12)
        layout.addWidget(label("Drawing", "title"))
        layout.addWidget(self.about)
        layout.addWidget(scroll, 1)
        document.opened.connect(self.start_anew)
        self.start_anew()

    def start_anew(self) -> None:
        """List the layers of another drawing."""
        drawing = self._document.drawing
        empty(self._grid)
        self.boxes.clear()
        if drawing is None:
            source = source_of(self._document)
            set_text(self.about, f"Measured from {source}; its linework is not in this job." if source
                     else "No drawing. Open one, or drop one on the window.")
            return
        set_text(self.about, f"{drawing.name}, in {drawing.unit}, {len(drawing.lines)} lines.")
        for number, layer in enumerate(drawing.layers):
            box = QComboBox()
            box.setAccessibleName(f"Layer {layer.name}")
            for show, words in _SHOWS:
                box.addItem(words, show)
            box.setCurrentIndex(box.findData(self._plan.linework.shows.get(number, "on")))
            box.activated.connect(partial(self._show, number))
            self._grid.addWidget(label(layer.name, "name"), number, 0)
            self._grid.addWidget(box, number, 1)
            self.boxes[number] = box
        self._grid.setRowStretch(len(drawing.layers), 1)
        self._grid.setAlignment(Qt.AlignmentFlag.AlignTop)

    def _show(self, layer: int, index: int) -> None:
        del index
        self._plan.linework.show_layers({layer: self.boxes[layer].currentData()})
