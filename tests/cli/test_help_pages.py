"""Help of the command: by the job, whole, and out of the catalogue, in a language that nobody speaks and in German."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from functools import cache
from pathlib import Path
from typing import get_args

import pytest

from takeoff.cli import commands, main
from takeoff.cli.command_groups import GROUPS
from takeoff.language import use_language
from takeoff.plan.counted_items import ITEM_KINDS, WHO
from takeoff.plan.price_terms import PRICED_ITEMS, WorkItem
from takeoff.plan.site_check import LOOKED, QUANTITIES
from takeoff.plan.work_records import CHANGE_STATES, ROOM_STAGES
from takeoff.sheets.sheet_values import PAPERS
from tests.language.pseudo import bare_of, german_words

PAGES = """
import json, sys
import click
from takeoff.cli.click_words import speak_through
from takeoff.language.catalogue import use_catalogue, use_language
from tests.language.pseudo import Bracketed
speak_through()
use_language("de") if sys.argv[1] == "de" else use_catalogue("xx", Bracketed())
from takeoff.cli.commands import takeoff
context = click.Context(takeoff, info_name="takeoff", terminal_width=100)
pages = {"": takeoff.get_help(context)}
for name, command in takeoff.commands.items():
    pages[name] = command.get_help(click.Context(command, parent=context, info_name=name, terminal_width=100))
print(json.dumps(pages))
"""

CODES = frozenset(
    {"takeoff", "json", "pdf", "ics", "dxf"}  # names and endings of files
    | {"nrm", "vob", "net", "demo"}  # conventions and systems by their ids
    | {"calendar", "workbook", "tables", "stair", "small", "high", "sanders"}  # what is asked for, and an example
)
"""What is typed as it stands: values, endings of files, ids."""


@cache
def pages(spoken: str) -> dict[str, str]:
    """The help of every command as a process prints it that speaks so from its start."""
    root = Path(__file__).parents[2]
    told = subprocess.run([sys.executable, "-c", PAGES, spoken], capture_output=True, text=True, check=True, cwd=root)
    found: dict[str, str] = json.loads(told.stdout)
    return found


def words(text: str) -> set[str]:
    """Words of a help page but for options, placeholders, choices of values, and names of the program's files."""
    for pattern in (r"--?[a-z][a-z-]*", r"\b[A-Z][A-Z|.:=-]+[a-z.]*", r"[\w-]+\.[a-z]+\b", "“[^”]*”", "„[^“]*“"):
        text = re.sub(pattern, " ", text)
    return {word.casefold() for word in re.findall(r"[^\W\d_]{3,}", text)}


def test_every_command_stands_under_one_head() -> None:
    listed = [name for _, names in GROUPS for name in names]
    assert len(listed) == len(set(listed))
    assert set(listed) <= set(commands.takeoff.commands)
    shown = re.findall(r"^  ([a-z]+)  ", pages("xx")[""].partition("⟦Measure a plan")[2], re.MULTILINE)
    assert sorted(shown) == sorted(commands.takeoff.commands)


def test_help_lists_commands_by_the_job(capsys: pytest.CaptureFixture[str]) -> None:
    assert main.run(["--help"]) == 0
    lines = capsys.readouterr().out.splitlines()
    heads = [line.rstrip(":") for line in lines if line and not line.startswith((" ", "Usage"))]
    assert heads == ["Options", *(title for title, _ in GROUPS)]
    assert not any(line.endswith("...") for line in lines if not line.startswith("Usage"))


VALUES = (
    *ROOM_STAGES,
    *CHANGE_STATES,
    *PRICED_ITEMS,
    *LOOKED,
    *QUANTITIES,
    *ITEM_KINDS,
    *WHO,
    *PAPERS,
    *get_args(WorkItem),
)
"""What is typed after an option that names what may be: "prepared", "radiators"."""


def typed(name: str) -> set[str]:
    """What a command is called by, and the values that its options can have."""
    params = commands.takeoff.commands[name].params if name else []
    choices = {value for param in params for value in getattr(param.type, "choices", ())}
    return {*CODES, *commands.takeoff.commands, *words(" ".join((*choices, *VALUES)).replace("-", " "))}


@pytest.mark.parametrize("name", ["", *sorted(commands.takeoff.commands)])
def test_help_says_nothing_that_is_not_in_the_catalogue(name: str) -> None:
    text = pages("xx")[name]
    assert words(bare_of(text)) <= typed(name)
    if name:  # the list of commands has first sentences alone
        assert text.count("⟦") == text.count("⟧") > 2  # nothing is cut off


@pytest.mark.parametrize("name", ["", *sorted(commands.takeoff.commands)])
def test_help_in_german_has_no_word_of_another_language(name: str) -> None:
    assert words(pages("de")[name]) <= typed(name) | german_words()


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (["measure", "--foo"], "Die Option '--foo' gibt es nicht."),
        (["measure"], "Es fehlt die Angabe 'FILE...'."),
        (["nonsense"], "Den Befehl 'nonsense' gibt es nicht."),
        (["sheets", "x", "--page", "B4"], "Ungültiger Wert für '--page': 'B4' ist keines von 'a4', 'a3', 'letter'."),
        (["day", "x", "--hours", "drei"], "Ungültiger Wert für '--hours': „drei“ ist keine Zahl."),
        (["form", "-o", "x.pdf", "--rooms", "two"], "Ungültiger Wert für '--rooms': „two“ ist keine ganze Zahl."),
    ],
)
def test_what_was_wrong_is_said_in_german(line: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    try:
        assert main.run(["--language", "de", *line]) == 2
    finally:
        use_language("en")
    assert capsys.readouterr().err == f"takeoff: {said}\n"


def test_number_may_have_a_comma() -> None:
    context = commands.takeoff.commands["day"].make_context("day", ["x.json", "--hours", "3,5"])
    assert context.params["hours"] == 3.5
