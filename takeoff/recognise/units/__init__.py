"""Which unit a drawing is in, decided from evidence; written dimensions against the drawn ones."""

from takeoff.recognise.units.unit_deciding import decide, decide_with_rooms, findings_in_mm, in_mm

__all__ = ["decide", "decide_with_rooms", "findings_in_mm", "in_mm"]
