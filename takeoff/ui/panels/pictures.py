"""Kept pictures as they are shown: small and large, turned upright; what cannot be shown is None."""

from __future__ import annotations

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QSize, Qt
from PySide6.QtGui import QImage, QImageReader


def picture_within(data: bytes, size: QSize) -> QImage | None:
    """The picture in ``data``, no larger than ``size`` in device pixels; None where it is damaged."""
    held = QByteArray(data)
    buffer = QBuffer(held)
    buffer.open(QIODevice.OpenModeFlag.ReadOnly)
    reader = QImageReader(buffer)
    reader.setAutoTransform(True)
    whole = reader.size()
    if whole.isValid() and (whole.width() > 2 * size.width() or whole.height() > 2 * size.height()):
        # a JPEG that is read at a fraction of its size takes a fraction of the time
        reader.setScaledSize(whole.scaled(size * 2, Qt.AspectRatioMode.KeepAspectRatio))
    image = reader.read()
    if image.isNull():
        return None
    if image.width() > size.width() or image.height() > size.height():
        image = image.scaled(size, Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.SmoothTransformation)
    return image
