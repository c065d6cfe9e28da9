"""DXF → Drawing: all linework, words, symbols and dimensions as drawn, and what was noticed."""

from takeoff.readers.dxf.dxf_drawing import read

__all__ = ["read"]
