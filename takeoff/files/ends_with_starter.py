"""A process that another of ours has started ends with it, however that one ends."""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
from contextlib import suppress

_LOOK_S = 1.0
"""How often it is looked after the starter where the system does not tell of its end."""
_PR_SET_PDEATHSIG = 1
"""The call of Linux that asks for a signal at the end of the thread that started this process (prctl(2))."""


def end_with_starter() -> None:
    """Called first by a process that works for another. Linux ends it also while a library holds the interpreter;
    elsewhere a thread looks whether the process has been handed to another."""
    starter = os.getppid()
    if sys.platform.startswith("linux"):
        with suppress(OSError, AttributeError):
            import ctypes

            ctypes.CDLL(None).prctl(_PR_SET_PDEATHSIG, signal.SIGKILL)
    threading.Thread(target=_watch, args=(starter,), daemon=True).start()


def _watch(starter: int) -> None:
    while os.getppid() == starter:
        time.sleep(_LOOK_S)
    os._exit(1)
