"""How often Python looks for garbage while the command makes papers."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager

_SELDOM = (100_000, 20, 100)


@contextmanager
def seldom_collected() -> Iterator[None]:
    """Garbage in rings is looked for less often: papers are made of millions of values, which hold none, and looking
    through them again and again took a tenth of the time of a large job."""
    usual = gc.get_threshold()
    gc.set_threshold(*_SELDOM)
    try:
        yield
    finally:
        gc.set_threshold(*usual)
