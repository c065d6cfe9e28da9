"""Options that several subcommands share, and how their values are read."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

import click

from takeoff.errors import InputError
from takeoff.units.lengths import parse_length

if TYPE_CHECKING:
    from takeoff.recognise.settings import Settings

Command = TypeVar("Command", bound=Callable[..., Any])

UNITS = ("mm", "cm", "dm", "m", "in", "ft", "yd", "us_ft")

LONGEST_MM = 100_000.0
"""No storey, opening or reveal is a hundred metres high, wide or deep; such a number has a wrong unit."""


class Length(click.ParamType):
    """A length in mm: "2400", "2.4 m", "8'". ``zero``: whether nought makes sense."""

    name = "length"

    def __init__(self, zero: bool = False) -> None:
        self.zero = zero

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """The length in mm; click's usage error where it cannot be one."""
        try:
            length_mm = parse_length(str(value), "mm")
        except InputError as error:
            self.fail(str(error), param, ctx)
        if not (0.0 if self.zero else 1.0) <= length_mm <= LONGEST_MM:
            self.fail(f"“{value}” is {length_mm:g} mm, which cannot be: give its unit too, such as 2.4 m.",
                      param, ctx)
        return length_mm


class Date(click.ParamType):
    """A date as YYYY-MM-DD."""

    name = "date"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> datetime.date:
        """The date; click's usage error where there is no such day."""
        if isinstance(value, datetime.date):
            return value
        try:
            return datetime.date.fromisoformat(str(value))
        except ValueError:
            self.fail(f"“{value}” is no date: write it as 2031-05-20.", param, ctx)


class Layers(click.ParamType):
    """Layer names with commas between them."""

    name = "layers"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[str, ...]:
        """The names without blanks around them; usage error where there is none."""
        if isinstance(value, tuple):
            return value
        names = tuple(name.strip() for name in str(value).split(",") if name.strip())
        if not names:
            self.fail("no layer is named: write --layers WALLS,DOORS.", param, ctx)
        return names


LENGTH, DEPTH, DATE, LAYERS = Length(), Length(zero=True), Date(), Layers()

_DRAWING_OPTIONS = (
    click.option("--storey-height", "storey_height_mm", type=LENGTH, metavar="MM",
                 help="Floor to ceiling; 2400 is assumed if not given. Lengths may carry a unit: 2.4 m, 8'."),
    click.option("--unit", type=click.Choice(UNITS), help="Unit of the drawing, whatever it says itself."),
    click.option("--door-head", "door_head_mm", type=LENGTH, metavar="MM", help="Height of door heads."),
    click.option("--window-sill", "window_sill_mm", type=DEPTH, metavar="MM", help="Height of window sills."),
    click.option("--window-head", "window_head_mm", type=LENGTH, metavar="MM",
                 help="Height of window heads."),
    click.option("--reveal", "reveal_mm", type=DEPTH, metavar="MM", help="Depth of window reveals."),
    click.option("--layers", type=LAYERS, metavar="A,B", help="Take only these layers for linework."),
)


def drawing_options(command: Command) -> Command:
    """The command with the options that say what a drawing leaves open."""
    for option in reversed(_DRAWING_OPTIONS):
        command = option(command)
    return command


def settings_from(given: dict[str, Any]) -> Settings:
    """Settings with what the user gave; the rest keeps its default and counts as assumed.

    Raises click's usage error where a window would end below its sill.
    """
    from takeoff.recognise.settings import Settings

    said = {name: value for name, value in given.items() if value is not None}
    settings = Settings(**said, given=frozenset(said))
    if settings.window_head_mm <= settings.window_sill_mm:
        raise click.UsageError(
            f"The window head ({settings.window_head_mm:g} mm) is not above its sill "
            f"({settings.window_sill_mm:g} mm): give --window-sill and --window-head that fit.")
    return settings
