"""Options that several subcommands share, and how their values are read."""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable
from typing import TYPE_CHECKING, Any, TypeVar

import click

from takeoff.errors import InputError
from takeoff.language import tr
from takeoff.units.lengths import DEPTH, HEAD, SILL, STOREY_HEIGHT, Size, size_mm
from takeoff.units.printing import whole

if TYPE_CHECKING:
    from takeoff.plan.edits.custom_edits import Custom
    from takeoff.recognise.presets import Settings
    from takeoff.services.measured.coating import CoatSaid


class NumberTyped(click.ParamType[float]):
    """A number as people type it, with a point or a comma."""

    name = "number"

    def convert(self, value: str | float, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """The number; fails in a sentence for what is none."""
        try:
            number = float(str(value).strip().replace(",", "."))
        except ValueError:
            number = math.nan
        if not math.isfinite(number):
            self.fail(tr("“{text}” is not a number.", text=value), param, ctx)
        return number


class WholeTyped(click.ParamType[int]):
    """A whole number."""

    name = "number"

    def convert(self, value: str | int, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """The number; fails in a sentence for what is none."""
        try:
            return int(value)
        except ValueError:
            self.fail(tr("“{text}” is not a whole number.", text=value), param, ctx)


NUMBER, WHOLE = NumberTyped(), WholeTyped()


Command = TypeVar("Command", bound=Callable[..., Any])

UNITS = ("mm", "cm", "dm", "m", "in", "ft", "yd", "us_ft")

Read = Callable[[click.Context | None, click.Parameter | None, str | None], float | None]


def size(kind: Size) -> Read:
    """Reads a length of that kind in mm from "2400", "2.4" or "8'"; click's usage error where it cannot be
    one. Bare numbers are read as in the window."""

    def read(context: click.Context | None, option: click.Parameter | None, text: str | None) -> float | None:
        if text is None:
            return None
        try:
            return size_mm(text, kind)
        except InputError as error:
            raise click.BadParameter(str(error), context, option) from error

    return read


def custom(context: click.Context | None, option: click.Parameter | None, text: str | None) -> float | None:
    """The size in mm of what is kept; 0 for "off"."""
    return 0.0 if text is not None and text.strip().casefold() == "off" else size(DEPTH)(context, option, text)


def date(context: click.Context | None, option: click.Parameter | None, text: str | None) -> datetime.date | None:
    """The day written as YYYY-MM-DD, None where none was; click's usage error where there is no such day."""
    if text is None:
        return None
    from takeoff.plan.typed_days import typed_day

    try:
        return typed_day(text)
    except InputError as error:
        raise click.BadParameter(str(error), context, option) from error


def scale(context: click.Context | None, option: click.Parameter | None, text: str | None) -> str | None:
    """The scale as written; click's usage error where it is none."""
    if text is None:
        return None
    from takeoff.recognise.scale import parse_scale

    try:
        parse_scale(text)
    except InputError as error:
        raise click.BadParameter(str(error), context, option) from error
    return text


def layers(context: click.Context | None, option: click.Parameter | None, text: str | None) -> tuple[str, ...] | None:
    """Layer names between commas, without blanks around them; usage error where there is none."""
    if text is None:
        return None
    names = tuple(name.strip() for name in text.split(",") if name.strip())
    if not names:
        raise click.BadParameter(tr("No layer is named: write --layers WALLS,DOORS."), context, option)
    return names


def said_of_layers(
    context: click.Context | None, option: click.Parameter | None, texts: tuple[str, ...]
) -> tuple[tuple[str, str], ...]:
    """(layer, what it is for) of each "NAME=ROLE"; usage error where it is not written so, or the role
    is none. A name may hold "=", a role does not."""
    from takeoff.services.opened.layers import role_named

    said = []
    for text in texts:
        name, equals, role = text.rpartition("=")
        if not equals or not name.strip():
            raise click.BadParameter(
                tr("“{text}” does not name a layer and its use: write --layer A-WALL=walls.", text=text),
                context,
                option,
            )
        try:
            said.append((name.strip(), str(role_named(role))))
        except InputError as error:
            raise click.BadParameter(str(error), context, option) from error
    return tuple(said)


def answers(
    context: click.Context | None, option: click.Parameter | None, texts: tuple[str, ...]
) -> tuple[tuple[str, str], ...]:
    """(what it is said of, the answer) of each "NAME=WHAT"; an answer alone is said of all."""
    said = []
    for text in texts:
        name, _, answer = text.rpartition("=")
        if not answer.strip():
            raise click.BadParameter(
                tr("“{text}” gives no answer: write it as left=neighbour.", text=text), context, option
            )
        said.append((name.strip(), answer.strip()))
    return tuple(said)


_DRAWING_OPTIONS = (
    click.option(
        "--storey-height",
        "storey_height_mm",
        callback=size(STOREY_HEIGHT),
        metavar="MM",
        help=tr("Floor to ceiling; 2400 is assumed if not given. 2.4, 2.4 m and 8' are read too."),
    ),
    click.option("--unit", type=click.Choice(UNITS), help=tr("Unit of the drawing, whatever the file says.")),
    click.option("--door-head", "door_head_mm", callback=size(HEAD), metavar="MM", help=tr("Height of door heads.")),
    click.option(
        "--window-sill", "window_sill_mm", callback=size(SILL), metavar="MM", help=tr("Height of window sills.")
    ),
    click.option(
        "--window-head", "window_head_mm", callback=size(HEAD), metavar="MM", help=tr("Height of window heads.")
    ),
    click.option("--reveal", "reveal_mm", callback=size(DEPTH), metavar="MM", help=tr("Depth of window reveals.")),
    click.option(
        "--scale",
        metavar="1:N",
        callback=scale,
        help=tr('Scale of a PDF, such as 1:100 or 1/4" = 1\'-0", whatever the page says.'),
    ),
    click.option(
        "--page-number",
        type=click.IntRange(min=1),
        metavar="N",
        help=tr("Page of a PDF to read; the one with most lines if not given."),
    ),
    click.option("--layers", callback=layers, metavar="A,B", help=tr("Read lines of these layers only.")),
    click.option(
        "--layer",
        "said",
        callback=said_of_layers,
        multiple=True,
        metavar="NAME=ROLE",
        help=tr(
            "Use of a layer, or of a line type or colour of walls: walls, columns, doors, "
            "windows, rooms, demolished, text, furniture, stairs, above, unused. Remembered for "
            "the next drawing with the same layers. May be given often."
        ),
    ),
    click.option(
        "--system",
        metavar="FILE|ID",
        help=tr("Coating system of the order: a file, or one that `takeoff systems` lists."),
    ),
    click.option(
        "--fresh-layers",
        "--anew",
        "anew",
        is_flag=True,
        help=tr("Ignore remembered layer settings, and remember none."),
    ),
)


_COAT_OPTIONS = (
    click.option(
        "--coat",
        type=click.Choice(["outside", "walls", "all"]),
        help=tr("What is coated: outside walls only, all walls, or all walls and ceilings; without it as it stands."),
    ),
    click.option(
        "--returns",
        "returns_mm",
        callback=size(DEPTH),
        metavar="MM",
        help=tr("With --coat outside: how far the coat returns on walls that meet outside walls; 600 if not given."),
    ),
    click.option(
        "--outside-walls",
        "return_mm",
        callback=size(DEPTH),
        metavar="RETURN",
        help=tr("The same as --coat outside with --returns RETURN."),
    ),
    click.option(
        "--band",
        "--ceiling-band",
        "band_mm",
        callback=size(DEPTH),
        metavar="MM",
        help=tr("With --coat outside: a band of ceiling this wide, 0 for none; without it ceilings stay as they are."),
    ),
    click.option(
        "--whole-walls", is_flag=True, help=tr("With --coat outside: walls that are partly outside are coated whole.")
    ),
    click.option(
        "--beyond",
        callback=answers,
        multiple=True,
        metavar="RUN=WHAT",
        help=tr(
            "What stands beyond a run of the outline: lower=outside, left=neighbour, unheated, heated; or "
            "“Ground floor: left=neighbour”. May be given often."
        ),
    ),
    click.option(
        "--above",
        callback=answers,
        multiple=True,
        metavar="WHERE=WHAT",
        help=tr(
            "What lies above the ceilings of a storey or room: Kitchen=roof, heated, neighbour, same; roof "
            "alone for all. May be given often."
        ),
    ),
    click.option(
        "--stair",
        "stairs",
        callback=answers,
        multiple=True,
        metavar="ROOM=WHAT",
        help=tr(
            "Ceiling above the stair of a room: Hall=goes-on, well (less the stair's outline) or none; "
            "goes-on alone for all. May be given often."
        ),
    ),
    click.option("--roof-ceilings", is_flag=True, help=tr("Coat the ceilings under a roof, no others.")),
    click.option(
        "--skirting",
        callback=custom,
        metavar="MM|off",
        help=tr("Skirting of this height is kept everywhere, or comes off."),
    ),
    click.option(
        "--coving", callback=custom, metavar="MM|off", help=tr("Coving of this width is kept everywhere, or comes off.")
    ),
    click.option(
        "--architraves",
        callback=custom,
        metavar="MM|off",
        help=tr("Architraves of this width are kept round doors, or come off."),
    ),
    click.option(
        "--substrate",
        "substrates",
        callback=answers,
        multiple=True,
        metavar="WHERE=WHAT",
        help=tr(
            "What the coat goes on: walls=brick, ceilings=plasterboard, or Kitchen=brick for the walls of a room or "
            "storey; as the coating system names it. May be given often."
        ),
    ),
    click.option(
        "--arrises",
        type=click.Choice(["new", "existing", "none"]),
        help=tr("External corners get new bead, keep the bead that they have, or get none."),
    ),
)


def drawing_options(command: Command) -> Command:
    """The command with the options that say what a drawing leaves open, and what of it is coated."""
    for option in reversed((*_DRAWING_OPTIONS, *_COAT_OPTIONS)):
        command = option(command)
    return command


def coat_from(given: dict[str, Any]) -> CoatSaid:
    """What was said of the coat, taken out of what was given. Raises click's usage error for a part of the
    rule without the rule."""
    from takeoff.measure.outside_rule import OutsideRule
    from takeoff.services.measured.coating import CoatSaid

    coat = given.pop("coat")
    return_mm, band_mm, whole = _return_of(coat, given), given.pop("band_mm"), given.pop("whole_walls")
    if return_mm is None and (band_mm is not None or whole):
        raise click.UsageError(tr("--band and --whole-walls need --coat outside."))
    rule = None if return_mm is None else OutsideRule(return_mm, band_mm, whole)
    sizes: dict[Custom, float | None] = {
        "skirting": given.pop("skirting"),
        "coving": given.pop("coving"),
        "architrave": given.pop("architraves"),
    }
    return CoatSaid(
        given.pop("beyond"),
        given.pop("above"),
        given.pop("stairs"),
        rule,
        given.pop("roof_ceilings"),
        tuple((name, mm) for name, mm in sizes.items() if mm is not None),
        given.pop("arrises"),
        given.pop("substrates"),
        "" if coat == "outside" else coat or "",
    )


USUAL_RETURN_MM = 600.0


def _return_of(coat: str | None, given: dict[str, Any]) -> float | None:
    """The return of outside walls, taken out of what was given; None where not they alone are coated. Raises click's
    usage error for a return without them."""
    returns, older = given.pop("returns_mm"), given.pop("return_mm")
    if coat in ("walls", "all") and older is not None:
        raise click.UsageError(tr("--outside-walls is --coat outside: give one of them."))
    if coat != "outside" and older is None and returns is not None:
        raise click.UsageError(tr("--returns needs --coat outside."))
    if coat != "outside":
        return float(older) if older is not None else None
    return next((float(mm) for mm in (returns, older) if mm is not None), USUAL_RETURN_MM)


def settings_from(given: dict[str, Any]) -> Settings:
    """Settings with what the user gave; the rest keeps its default and counts as assumed.

    Raises click's usage error where a window would end below its sill.
    """
    from takeoff.recognise.presets import Settings

    said = {name: value for name, value in given.items() if value is not None}
    settings = Settings(**said, given=frozenset(said))
    if settings.window_head_mm <= settings.window_sill_mm:
        raise click.UsageError(
            tr(
                "The window head ({head} mm) is not above its sill ({sill} mm): give "
                "--window-sill and --window-head that fit.",
                head=whole(settings.window_head_mm),
                sill=whole(settings.window_sill_mm),
            )
        )
    return settings


on_paper = click.option(
    "--page",
    type=click.Choice(["A4", "A3", "Letter"], case_sensitive=False),
    help=tr("Size of the sheets; without it the usual paper of your region."),
)
on_day = click.option(
    "--date",
    callback=date,
    metavar="YYYY-MM-DD",
    help=tr("Date on the sheets; the job's own, else today, if not given."),
)
as_draft = click.option(
    "--draft",
    is_flag=True,
    help=tr("Export the client scope and tables although something is to fix: DRAFT stands across every page."),
)
"""Options that several commands share."""
