"""What to type where a part of the program is not installed. No package of this name is on an index: parts are
installed from the program's own folder."""

from __future__ import annotations

import sys


def install_command(extra: str) -> str:
    """ "python -m pip install ".[ifc]"" with the python that runs now, as it works in the program's folder in a shell
    of Linux, macOS and Windows (only double quotes mean the same in all of them)."""
    python = f'"{sys.executable}"' if " " in sys.executable else sys.executable
    return f'{python} -m pip install ".[{extra}]"'
