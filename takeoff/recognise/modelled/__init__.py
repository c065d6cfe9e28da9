"""Rooms, openings and heights from a building model's claims."""

from takeoff.recognise.modelled.proposing import propose_modelled

__all__ = ["propose_modelled"]
