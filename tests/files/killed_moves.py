"""Runs a piece of work again and again, each time in a process of its own that is killed at the next of the
system's calls that change a folder. Run by tests; ``killed_at_each`` gives back after each kill.
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Callable, Iterator, Sequence

CHANGES = ("os.rename", "os.link", "os.remove", "os.rmdir", "os.mkdir", "shutil.copyfile", "open")
"""What Python announces before it is done."""


def killed_at_each(work: Callable[[], object], moments: Sequence[int] | None = None, after: str = "") -> Iterator[int]:
    """After each kill which of the changes was about to be made, the first being 0 and ``moments`` rising; ends
    where the work came to its end before. ``after``: counted from the first change to a path that holds it.
    """
    for moment in moments if moments is not None else range(1_000_000):
        child = os.fork()
        if child == 0:
            _die_at(moment, after)
            try:
                work()
            except BaseException:  # noqa: BLE001 - what the work says is no matter of this process
                os._exit(1)
            os._exit(0)
        _, status = os.waitpid(child, 0)
        if not os.WIFSIGNALED(status):
            return
        yield moment


def _die_at(moment: int, after: str) -> None:
    left, begun = moment, False

    def about_to(event: str, arguments: tuple[object, ...]) -> None:
        nonlocal left, begun
        if event not in CHANGES or (event == "open" and not _writes(arguments)):
            return
        begun = begun or any(after in os.fsdecode(one) for one in arguments if isinstance(one, str | os.PathLike))
        if not begun:
            return
        if left == 0:
            os.kill(os.getpid(), signal.SIGKILL)
        left -= 1

    sys.addaudithook(about_to)


def _writes(arguments: tuple[object, ...]) -> bool:
    flags = arguments[2]
    return isinstance(flags, int) and bool(flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT))
