"""What click says of itself, out of the program's catalogue: heads of help, and what was wrong with what was typed.

click puts each of its sentences through ``_`` (gettext's) of the module that says it, or ``ngettext`` where something
is counted, and then the facts into it. gettext would want catalogues of its own kind in folders of the system; here
both names lead to the one catalogue of the program.
"""

from __future__ import annotations

from types import ModuleType

import click.core
import click.decorators
import click.exceptions
import click.formatting
import click.parser
import click.types

from takeoff.language import form_of_count, mark, mark_count, tr, tr_as

MODULES: tuple[ModuleType, ...] = (
    click.core,
    click.decorators,
    click.exceptions,
    click.formatting,
    click.parser,
    click.types,
)

SAID = (
    mark("Usage:"),
    mark("Commands"),
    mark("Show the version and exit."),
    mark("Show this message and exit."),
    mark("default: {default}"),
    mark("required"),
    mark("Missing command."),
    mark("Missing argument"),
    mark("Missing option"),
    mark("Invalid value: {message}"),
    mark("Invalid value for {param_hint}: {message}"),
    mark("No such option {name!r}."),
    mark("No such command {name!r}."),
    mark("Option {name!r} does not take a value."),
    mark("Argument {name!r} takes {nargs} values."),
    mark("Choose from:\n\t{choices}"),
    mark("{value} is not in the range {range}."),
    mark("Could not open file {filename!r}: {message}"),
    mark_count("Got unexpected extra argument ({args})", "Got unexpected extra arguments ({args})"),
    mark_count("Takes {nargs} values but 1 was given.", "Takes {nargs} values but {len} were given."),
    mark_count("Did you mean {possibility}?", "(Did you mean one of: {possibilities}?)"),
    mark_count("Option {name!r} requires an argument.", "Option {name!r} requires {nargs} arguments."),
    mark_count("{value!r} is not {choice}.", "{value!r} is not one of {choices}."),
    mark_count("{value!r} does not match the format {format}.", "{value!r} does not match the formats {formats}."),
)
"""Those of its sentences that this command can come to."""


def _said(message: str) -> str:
    # options are also treatments of a job, which other languages call otherwise
    return tr_as("head of a help page", "Options") if message == "Options" else tr(message)


def speak_through() -> None:
    """click says what it says out of the catalogue from now on, in the language of the moment."""
    for module in MODULES:
        for name, ours in (("_", _said), ("ngettext", form_of_count)):
            if hasattr(module, name):
                setattr(module, name, ours)
