"""What a process of our own does first, before a library reads a file in it that may be damaged."""

from __future__ import annotations

import contextlib
import importlib


def limit_memory(most_bytes: int) -> None:
    """Lets this process take at most so much address space, where the system can limit it."""
    try:
        resource = importlib.import_module("resource")
    except ImportError:
        return  # Windows has no such limit; its memory manager refuses in its own way.
    with contextlib.suppress(ValueError, OSError):
        _, hard = resource.getrlimit(resource.RLIMIT_AS)
        limit = most_bytes if hard == resource.RLIM_INFINITY else min(most_bytes, hard)
        resource.setrlimit(resource.RLIMIT_AS, (limit, hard))
