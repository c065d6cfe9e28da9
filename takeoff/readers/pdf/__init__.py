"""PDF → Drawing: the vector lines and the text of one page, mm on paper, and what was noticed."""

from takeoff.readers.pdf.reading import read, render

__all__ = ["read", "render"]
