"""The language and region that a command speaks, known before anything of it is said, its help included."""

from __future__ import annotations

import os
from collections.abc import Sequence

import click

from takeoff.cli.click_words import speak_through
from takeoff.language import LANGUAGES, tr, use_language, use_region
from takeoff.language.catalogue import VARIABLE as LANGUAGE
from takeoff.language.regions import VARIABLE as REGION

OPTIONS = {"--language": LANGUAGE, "--region": REGION}
"""Options of every command, and the variable that each stands for."""


def speak(arguments: Sequence[str]) -> list[str]:
    """Speak what ``--language`` and ``--region`` say, else what the environment does, else English; the other
    arguments are returned.

    Raises UsageError for a language that has no catalogue and for a region that the language has no form for.
    """
    speak_through()
    asked = {name: os.environ.get(variable, "") for name, variable in OPTIONS.items()}
    rest = []
    given = iter(arguments)
    for argument in given:
        name, equals, value = argument.partition("=")
        if name not in OPTIONS:
            rest.append(argument)
            continue
        asked[name] = value if equals else next(given, "")
    code, _, place = asked["--language"].replace("-", "_").partition("_")
    try:
        use_language(code.lower() or "en")
        if not code:
            del os.environ[LANGUAGE]  # nobody said it, so that the window speaks as it is set
    except LookupError:
        known = ", ".join(f"{code} ({name})" for code, name in LANGUAGES.items())
        raise click.UsageError(
            tr("“{code}” is not a language of this program: use {known}.", code=code, known=known)
        ) from None
    try:
        use_region((asked["--region"] or place).upper())
    except LookupError:
        raise click.UsageError(
            tr("“{code}” is not a region: use GB, US, IE, DE, AT …", code=asked["--region"] or place)
        ) from None
    return rest
