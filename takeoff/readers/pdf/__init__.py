"""PDF → Drawing: the vector lines and the text of one page, mm on paper, and what was noticed."""

from takeoff.readers.pdf.pdf_drawing import pages, read, render

__all__ = ["pages", "read", "render"]
