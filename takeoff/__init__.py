"""Floor-plan takeoff for thin thermal coats on walls, ceilings and reveals."""

__version__ = "0.1.0"
