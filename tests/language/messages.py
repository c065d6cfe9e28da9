"""Gathers every message that a user can meet and keeps the catalogues whole.

``python -m tests.language.messages`` merges what is said now into ``resources/languages/*.po``: new messages come in
without a translation, those that nobody says any more go, what is translated stays. ``--missing de`` lists what has
no translation yet. Messages are the literals of ``tr``, ``tr_as``, ``tr_count`` and ``mark``, the sentences of
the ledger of findings, and the words of the data files that people read.
"""

from __future__ import annotations

import argparse
import ast
import json
from collections.abc import Iterator
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import NamedTuple

from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po, write_po

from takeoff.language import LANGUAGES

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "resources" / "languages"

SAYING = {"tr": (None, 0), "mark": (None, 0), "tr_as": (0, 1), "tr_count": (None, 0, 1), "mark_count": (None, 0, 1)}
"""Functions whose literals are messages: which argument is the context, then which are the forms."""

LEDGER = {"error": (None, 0), "check": (None, 0), "assumed": (None, 0), "note": (None, 0), "Rule": (None, 1)}
"""What makes a rule of the ledger of findings, in its folder alone."""


class Message(NamedTuple):
    """What is said: where, the context ("" for none), the forms (two for what is counted)."""

    path: str
    context: str
    forms: tuple[str, ...]


@cache
def said() -> tuple[Message, ...]:
    """Every message, in the order of the files."""
    return tuple(_in_code()) + tuple(_in_data())


def _in_code() -> Iterator[Message]:
    for path in sorted((ROOT / "takeoff").rglob("*.py")):
        makers = SAYING | LEDGER if path.parent.name == "findings" else SAYING
        for call in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id in makers:
                yield from _message(str(path.relative_to(ROOT)), call, makers[call.func.id])
                if call.func.id in LEDGER and makers is not SAYING:
                    yield from _named(str(path.relative_to(ROOT)), call)


def _message(path: str, call: ast.Call, places: tuple[int | None, ...]) -> Iterator[Message]:
    """The message of a call; none where what is said was marked elsewhere."""
    texts = [arg.value if isinstance(arg, ast.Constant) and isinstance(arg.value, str) else None for arg in call.args]
    first, *forms = places
    wanted = [texts[place] if place is not None and place < len(texts) else None for place in forms]
    if any(isinstance(arg, ast.JoinedStr) for arg in call.args):
        raise ValueError(f"{path}:{call.lineno}: a message has named facts, not the values themselves")
    if all(wanted):
        yield Message(path, (texts[first] or "") if first is not None else "", tuple(text for text in wanted if text))


def _named(path: str, call: ast.Call) -> Iterator[Message]:
    """The evidence and the options of a rule of the ledger."""
    for keyword in call.keywords:
        said_there = isinstance(keyword.value, ast.Constant) and isinstance(keyword.value.value, str)
        if keyword.arg in ("evidence", "options") and said_there:
            yield Message(path, "", (keyword.value.value,))


DATA = {
    "sheets": (),
    "systems": ("name", "rule", "note", "mixing", "mixing_rule"),
    "conventions": ("name", "year", "source", "notes"),
    "sitecheck": ("reason", "remedy", "unseen", "low_remedy", "high_remedy", "what_to_do", "source"),
}
"""Folders of ``resources`` whose files hold words for people, and the fields that do; () where every text does."""


def _in_data() -> Iterator[Message]:
    for folder, fields in DATA.items():
        for path in sorted((ROOT / "resources" / folder).glob("*.json")):
            for text in _texts(json.loads(path.read_text(encoding="utf-8")), fields):
                if any(letter.isalpha() for letter in text):
                    yield Message(str(path.relative_to(ROOT)), "", (text,))


def _texts(value: object, fields: tuple[str, ...], said: bool = False) -> Iterator[str]:
    """The texts of a value, of these fields alone where there are any."""
    if isinstance(value, str):
        if said or not fields:
            yield value
    elif isinstance(value, dict):
        for key, inner in value.items():
            yield from _texts(inner, fields, key in fields)
    elif isinstance(value, list):
        for inner in value:
            yield from _texts(inner, fields, said)


def merged(code: str) -> Catalog:
    """The catalogue of that language with exactly what is said now, and the translations that it had."""
    path = FOLDER / f"{code}.po"
    kept: dict[tuple[str, str | tuple[str, ...]], object] = {}
    if path.exists():
        with path.open("rb") as stream:
            for entry in read_po(stream, locale=code):
                if entry.id:
                    kept[entry.context or "", entry.id] = entry.string
    fresh = Catalog(locale=code, project="takeoff", fuzzy=False, header_comment=f"# {LANGUAGES[code]}")
    for message in said():
        name = message.forms if len(message.forms) > 1 else message.forms[0]
        fresh.add(
            name,
            kept.get((message.context, name), ("", "") if len(message.forms) > 1 else ""),
            locations=[(message.path, 0)],
            context=message.context or None,
        )
    return fresh


def written(catalog: Catalog) -> bytes:
    """The .po file: paths without lines, so that it changes only with what is said; no dates."""
    out = BytesIO()
    write_po(out, catalog, width=120, include_lineno=False, omit_header=False, sort_output=False)
    lines = out.getvalue().decode("utf-8").splitlines()
    dated = ('"POT-Creation-Date', '"PO-Revision-Date', '"Last-Translator', '"Language-Team', '"Generated-By')
    return ("\n".join(line for line in lines if not line.startswith(dated)) + "\n").encode("utf-8")


def missing(code: str) -> list[str]:
    """Messages that the language has no translation for."""
    lacks = []
    for entry in merged(code):
        forms = entry.string if isinstance(entry.string, tuple | list) else (entry.string,)
        if entry.id and not all(forms):
            lacks.append(entry.id if isinstance(entry.id, str) else entry.id[0])
    return lacks


def main() -> None:
    """Merge, or list what is missing."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--missing", metavar="CODE", help="list what that language lacks, change nothing")
    given = asked.parse_args()
    if given.missing:
        print("\n".join(missing(given.missing)))
        return
    for code in LANGUAGES:
        if code != "en":
            catalog = merged(code)
            (FOLDER / f"{code}.po").write_bytes(written(catalog))
            print(f"{code}: {len(catalog)} messages, {len(missing(code))} without a translation")


if __name__ == "__main__":
    main()
