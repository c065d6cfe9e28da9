"""The help of the command: its subcommands in the order of a job, each with its whole first sentence."""

from __future__ import annotations

import click

from takeoff.language import mark, tr

GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (mark("Measure a plan"), ("window", "measure", "check", "compare")),
    (mark("Order"), ("systems", "lots")),
    (mark("On site"), ("form", "holds", "items")),
    (mark("Price and days"), ("price", "options", "days")),
    (
        mark("After the order"),
        ("send", "states", "supply", "stage", "day", "change", "defect", "account", "handover", "consumption"),
    ),
    (mark("Files"), ("sheets", "firm", "job", "schema")),
)
"""Heads and the names under them; a command that stands in none is listed with the files."""

_WHOLE = 1000
"""No first sentence has so many letters: none is cut."""


class JobCommands(click.Group):
    """A group of commands whose help lists them by what they are for."""

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Every command under its head."""
        listed = {name for _, names in GROUPS for name in names}
        rest = tuple(name for name in self.list_commands(ctx) if name not in listed)
        for title, names in GROUPS:
            under = names if title != GROUPS[-1][0] else (*names, *rest)
            rows = [(name, self.commands[name].get_short_help_str(_WHOLE)) for name in under if name in self.commands]
            with formatter.section(tr(title)):
                formatter.write_dl(rows)
