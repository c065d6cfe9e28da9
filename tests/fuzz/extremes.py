"""Values and faults that every kind of file is tried with."""

from __future__ import annotations

import random

NUMBERS = (
    "0", "-0.0", "1", "-1", "1e-9", "1e-320", "-1e-320", "5e-324", "1e-150", "1e20", "-1e20", "1e150", "1e300",
    "-1e300", "1e308", "-1.7976931348623157e308", "1e400", "nan", "inf", "-inf", "999999999", "-2147483648",
    "4294967296", "9223372036854775807", "18446744073709551616", "1" + "0" * 400, "0." + "3" * 400, "12.5",
    "250", "0.001",
)  # fmt: skip
"""As they are written in a file; not every kind of file can hold every one."""
WORDS = (
    "", " ", "x", "*", "..", "A" * 300, "A" * 20_000, "a\x00b", "\x1b[2J\x07", "Küche", "浴室", "🛁", "\u202edeh",
    "\ufeff", "%%c", "{\\H1000;x", "\\U+D800", "\\U+0000", "1:0", "1:50", "NaN m²", "-12,5 m²", "9" * 20 + " m²",
    "h=1e308", "FFL +1e9", "../../x", "CON", "=1+1", "<b>", "%s%n", "name\nname",
)  # fmt: skip
FACTORS = (1e-320, 1e-200, 1e-12, 1e-6, 1e-3, 0.5, 12.0, 1e3, 1e6, 1e12, 1e200)


def number(rng: random.Random) -> str:
    """A number as it stands in a file."""
    if rng.random() < 0.3:
        return repr(rng.choice([1, -1]) * 10 ** rng.uniform(-12, 12))
    return rng.choice(NUMBERS)


def like(value: float, rng: random.Random) -> str:
    """A number near or far from one that was there."""
    kind = rng.randrange(5)
    if kind == 0:
        return number(rng)
    if kind == 1:
        return repr(value * rng.choice(FACTORS))
    if kind == 2:
        return repr(-value)
    return repr(value + rng.choice([-1, 1]) * 10 ** rng.uniform(-9, 6))


def how_many(rng: random.Random) -> int:
    """How many changes one mutant gets: mostly one, so that what follows it is reached."""
    return rng.choice([1, 1, 1, 2, 2, 4])


def bytes_changed(data: bytes, rng: random.Random) -> bytes:
    """One to four faults of transmission: flipped, lost, doubled, foreign bytes, an end cut off."""
    for _ in range(rng.randint(1, 4)):
        if not data:
            return b"\0"
        at = rng.randrange(len(data))
        kind = rng.randrange(6)
        if kind == 0:
            data = data[:at] + bytes([data[at] ^ 1 << rng.randrange(8)]) + data[at + 1 :]
        elif kind == 1:
            data = data[:at] + rng.randbytes(rng.randint(1, 40)) + data[at + rng.randint(0, 60) :]
        elif kind == 2:
            data = data[:at] + data[at + rng.randint(1, 200) :]
        elif kind == 3:
            data = data[:at] + data[at : at + rng.randint(1, 400)] * rng.randint(2, 4) + data[at:]
        elif kind == 4:
            data = data[:at] + rng.choice([b"\xff\xfe", b"\x80\xfc", b"\0\0", b"\x1a", b"\r\r\n"]) + data[at:]
        elif rng.random() < 0.3:
            data = data[:at]
    return data
