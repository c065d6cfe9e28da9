"""Openings in walls: where they lie, what they are, how sure that is."""
