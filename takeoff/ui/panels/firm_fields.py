"""The firm's logo, and what is kept of the firm for new jobs."""

from __future__ import annotations

import base64

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QPixmap
from PySide6.QtWidgets import QHBoxLayout, QLabel, QPushButton, QVBoxLayout, QWidget

from takeoff.language import tr
from takeoff.plan.model import Logo
from takeoff.ui.panels.page_parts import label

_LARGEST = QSize(220, 56)


class FirmLogo(QWidget):
    """The logo as it stands on the papers, with what can be done about it; ``show_logo`` shows another."""

    to_choose = Signal()
    to_remove = Signal()
    to_keep = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.picture = QLabel()
        self.picture.setAccessibleName(tr("Your logo"))
        self.picture.setAlignment(Qt.AlignmentFlag.AlignLeft)
        self.choose_button, self.remove_button = QPushButton(tr("Choose logo…")), QPushButton(tr("Remove"))
        self.choose_button.setToolTip(tr("A PNG, JPEG or TIFF; a small copy of it stands on every paper"))
        self.remove_button.setToolTip(tr("Papers without your logo"))
        self.keep_button = QPushButton(tr("Keep for new jobs"))
        self.keep_button.setToolTip(tr("New jobs begin with your firm, address, terms and logo; no client is kept"))
        self.choose_button.clicked.connect(self.to_choose)
        self.remove_button.clicked.connect(self.to_remove)
        self.keep_button.clicked.connect(self.to_keep)
        down, row = QVBoxLayout(self), QHBoxLayout()
        down.setContentsMargins(0, 0, 0, 0)
        down.setSpacing(4)
        row.setSpacing(8)
        row.addWidget(self.choose_button, 2)
        row.addWidget(self.remove_button, 1)
        down.addWidget(label(tr("Your logo"), "grey"))
        down.addWidget(self.picture)
        down.addLayout(row)
        down.addWidget(self.keep_button)
        self._shown: Logo | None = None
        self.show_logo(None)

    def show_logo(self, logo: Logo | None) -> None:
        """Show a job's logo; None for a job that has none."""
        self.remove_button.setVisible(logo is not None)
        self.picture.setVisible(logo is not None)
        if logo is None or logo == self._shown:
            self._shown = logo
            return
        self._shown = logo
        pixels = QPixmap()
        pixels.loadFromData(base64.b64decode(logo.data))
        if not pixels.isNull():
            keep, smooth = Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.SmoothTransformation
            self.picture.setPixmap(pixels.scaled(_LARGEST, keep, smooth))
