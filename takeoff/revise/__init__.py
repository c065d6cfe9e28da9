"""A job against its revision: how a new drawing lies over it, what became of each part, the difference in figures."""
