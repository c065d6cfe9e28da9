"""Readings of small rooms, in mm, walked clockwise unless said."""

from takeoff.plan.model import ReadDiagonal, Readings, ReadOpening, ReadSide


def side(length_mm=None, *openings, **given):
    read = tuple(o if isinstance(o, ReadOpening) else ReadOpening(from_mm=o[0], to_mm=o[1]) for o in openings)
    return ReadSide(length_mm=length_mm, openings=read, **given)


def read(*sides, diagonals=(), **given):
    made = tuple(one if isinstance(one, ReadSide) else side(one) for one in sides)
    return Readings(
        sides=made, diagonals=tuple(ReadDiagonal(a=a, b=b, length_mm=mm) for a, b, mm in diagonals), **given
    )


def squared(*lengths, diagonals=(), left=()):
    """Every corner said to be square; ``left``: numbers of the sides at whose end the wall turns left."""
    return read(
        *(side(mm, turn="square", turn_deg=90.0 if k in left else -90.0) for k, mm in enumerate(lengths)),
        diagonals=diagonals,
    )
