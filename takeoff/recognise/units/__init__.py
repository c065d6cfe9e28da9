"""Which unit a drawing is in, decided from evidence; written dimensions against the drawn ones."""

from takeoff.recognise.units.unit_deciding import decide, findings_in_mm, in_mm

__all__ = ["decide", "findings_in_mm", "in_mm"]
