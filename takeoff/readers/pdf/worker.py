"""The worker: a process of its own that lets PDFium read a file, since a damaged file can make
PDFium crash or never return. One request comes in, progress and one result go out."""

from __future__ import annotations

import os
import sys
import traceback
from typing import BinaryIO

from takeoff.errors import InputError
from takeoff.files.ends_with_starter import end_with_starter
from takeoff.files.from_outside import limit_memory
from takeoff.language import tr
from takeoff.readers.pdf.pdf_messages import Broken, Progress, Refused, Reply, receive_request, send

MOST_MEMORY = 1_900_000_000
"""Bytes of address space, where the system can limit it."""


def main() -> None:
    """Serves the one request on standard input."""
    end_with_starter()
    out = _own_output()
    request = receive_request(sys.stdin.buffer)
    if request is None:
        return
    limit_memory(MOST_MEMORY)
    reply: Reply
    try:
        from takeoff.readers.pdf.serving import serve

        reply = serve(request, lambda share, what: send(out, Progress(share, what)))
    except InputError as error:
        reply = Refused(str(error))
    except MemoryError:
        reply = Refused(
            tr("{file} is too large for the memory: print the page of the plan as a new PDF.", file=request.name)
        )
    except Exception:  # noqa: BLE001 - handed on, and raised where the reader waits
        reply = Broken(traceback.format_exc())
    send(out, reply)
    out.close()
    # Whatever a damaged document does on its way out no longer matters.
    os._exit(0)


def _own_output() -> BinaryIO:
    """The pipe to the reader; whatever else writes to standard output goes to the bin."""
    pipe = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    with open(os.devnull, "wb") as bin_file:
        os.dup2(bin_file.fileno(), sys.stdout.fileno())
    return pipe


if __name__ == "__main__":
    main()
