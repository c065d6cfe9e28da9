"""The command: what a user types becomes calls of services, and what went wrong becomes an exit code."""

from __future__ import annotations

import os
import re
import sys
import traceback
from collections.abc import Sequence
from contextlib import suppress

import click

from takeoff.cli import outlet
from takeoff.cli.spoken import speak
from takeoff.errors import TakeoffError
from takeoff.language import tr

DONE = 0
COULD_NOT = 2
INTERRUPTED = 130
"""As shells count a process that was ended by Ctrl-C: 128 + SIGINT."""

TRACEBACK_VARIABLE = "TAKEOFF_TRACEBACK"


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command with the given arguments (or the process's) and leave with its exit code."""
    sys.exit(run(arguments))


def run(arguments: Sequence[str] | None = None) -> int:
    """The exit code: 0 done, 1 done with findings of severity error, 2 could not, 130 interrupted."""
    outlet.prepare()
    try:
        code = _invoke(speak(sys.argv[1:] if arguments is None else arguments))
        sys.stdout.flush()
        outlet.refuse_lost()
    except click.ClickException as error:
        return _could_not(re.sub(r"\((.*\?)\)$", r"\1", error.format_message()))  # its own question, as a sentence
    except TakeoffError as error:
        return _could_not(str(error))
    except (KeyboardInterrupt, click.Abort):
        click.echo(f"takeoff: {tr('stopped before it was done; no file was left half written.')}", err=True)
        return INTERRUPTED
    except BrokenPipeError:
        outlet.give_up()  # whoever read us (head, less) has seen enough
        return DONE
    except outlet.UnprintedError as error:
        outlet.give_up()
        return _could_not(outlet.unprinted(error))
    except MemoryError:
        return _could_not(tr("there is not enough memory: close other programs and try again."))
    except Exception as error:  # noqa: BLE001 - the last resort, so that no traceback meets a user
        return _fault(error)
    return code


def _invoke(arguments: list[str]) -> int:
    """The exit code of the subcommand; without arguments the window opens, or help where it cannot.

    Not ``takeoff.main``, which prints on Ctrl-C. The commands come in when the language is known, since
    their help is made then.
    """
    from takeoff.cli.commands import takeoff

    if not arguments:
        from takeoff.ui.screen import lacks

        arguments = ["--help"] if lacks() else ["window"]
    try:
        with takeoff.make_context("takeoff", arguments) as context:
            code = takeoff.invoke(context)
    except click.exceptions.Exit as leaving:
        return leaving.exit_code
    return code if isinstance(code, int) else DONE


def _could_not(sentence: str) -> int:
    with suppress(OSError):  # where nobody can be told, the exit code says it
        click.echo(f"takeoff: {' '.join(sentence.split())}", err=True)
    return COULD_NOT


def _fault(error: Exception) -> int:
    """An error of the program itself: said in one sentence, with its traceback where asked for."""
    if os.environ.get(TRACEBACK_VARIABLE):
        traceback.print_exception(error)
    frames = traceback.extract_tb(error.__traceback__)
    ours = [frame for frame in frames if "takeoff" in frame.filename] or frames
    return _could_not(
        tr(
            "the program itself has failed ({error} in {place}). {files} Please report it with the file and what "
            "{variable}=1 prints.",
            error=type(error).__name__,
            place=ours[-1].name,
            files=outlet.said_of_files(),
            variable=TRACEBACK_VARIABLE,
        )
    )


if __name__ == "__main__":
    main()
