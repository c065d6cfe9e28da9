"""A progress bar for long work: on a terminal only, and only once it has been long."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from takeoff.language import tr

Tell = Callable[[float, str], None]

PATIENCE_S = 0.7
"""Work that ends sooner shows no bar."""

LARGE_BYTES = 2_000_000
"""Files beyond this show the bar at once, since reading them is silent for seconds."""


@contextmanager
def progress_on_terminal(file: Path) -> Iterator[Tell | None]:
    """What to call with the part done (0 to 1) and what is being done; None where nobody watches."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

    # the spinner and the clock go on while a library reads a large file without a word
    bar = Progress(
        SpinnerColumn(),
        TextColumn(file.name, markup=False),
        BarColumn(),
        TimeElapsedColumn(),
        TextColumn("{task.description}", markup=False),
        console=Console(stderr=True),
        transient=True,
    )
    task = bar.add_task(tr("Reading"), total=1.0)
    begun, shown = time.monotonic(), file.is_file() and file.stat().st_size > LARGE_BYTES
    if shown:
        bar.start()

    def tell(part: float, text: str) -> None:
        nonlocal shown
        bar.update(task, completed=part, description=text)
        if not shown and time.monotonic() - begun > PATIENCE_S:
            shown = True
            bar.start()

    try:
        yield tell
    finally:
        if shown:
            bar.stop()
