"""The scale of a sheet, decided from evidence or given."""

from takeoff.recognise.scale.scale_deciding import decide_scale, findings_at_scale, parse_scale, scale_decided

__all__ = ["decide_scale", "findings_at_scale", "parse_scale", "scale_decided"]
