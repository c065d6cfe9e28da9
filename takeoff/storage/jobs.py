"""A job as JSON: read strictly, written so that it reads back as the same value, and its published schema.

An older format is brought up to date step by step before it is read; a newer one is refused.
"""

from __future__ import annotations

import difflib
import json
import math
import re
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from typing import Any

import msgspec

from takeoff.errors import InputError, OutputError
from takeoff.files.from_outside import clean, undecodable, with_texts
from takeoff.language import mark, tr
from takeoff.plan.limits import refuse_unsound
from takeoff.plan.model import SCHEMA, Job

FORMAT, _, _VERSION_TEXT = SCHEMA.partition("/")
VERSION = int(_VERSION_TEXT)

Tree = dict[str, Any]
Migration = Callable[[Tree], Tree]


def _with_drawings(tree: Tree) -> Tree:
    """From one drawing per job, with storeys that repeat the name of theirs, to drawings that storeys name."""
    drawing = tree.pop("drawing", None)
    drawings = [] if drawing is None else [{"id": "d1", **drawing}]
    storeys = tree.get("storeys", [])
    told = any(storey.get("came_from") for storey in storeys)
    for storey in storeys:
        own = storey.pop("came_from", None)
        if storey.get("building") and not storey.get("building_source") and drawing is not None:
            storey["building_source"] = "drawn"
        if own is None:
            if drawing is not None and not told:
                storey["drawing"] = "d1"
            continue
        if drawing is not None and (drawing["name"], drawing.get("page")) == (own["name"], own.get("page")):
            storey["drawing"] = "d1"
            continue
        known = next((ref for ref in drawings if {**own, "id": ref["id"]} == ref), None)
        if known is None:
            known = {"id": f"d{len(drawings) + 1}", **own}
            drawings.append(known)
        storey["drawing"] = known["id"]
    if drawings:
        tree["drawings"] = drawings
    for unsettled in tree.get("unsettled", ()):
        if drawing is not None:
            unsettled["drawing"] = "d1"
    return tree


MIGRATIONS: dict[int, Migration] = {1: _with_drawings}
"""For each older version, the step from it to the next; a step may change the tree it is given.
The "schema" field is set by the caller."""


class _Twice(dict[str, Any]):
    """A record in which a name stands twice."""

    name = ""


def load(data: bytes, name: str) -> Job:
    """The job in ``data``; ``name`` is the file's, for messages.

    Raises InputError with the path of what is wrong in plain words: syntax, a missing, unknown or
    repeated field, a wrong type, a number that is none or that no building has, what is empty or stands
    twice and may not, a format that is newer or not a job's.
    """
    tree = _parsed(data, name)
    version = _version(tree, name)
    try:
        if (_UNCLEAN.search(data.decode("utf-8-sig")) or b"\\u" in data) and not _halved(tree):
            tree = with_texts(tree, clean)
            data = json.dumps(tree, ensure_ascii=False, separators=(",", ":")).encode()
        if version != VERSION:
            data = _migrated(tree, version, name)
        job = msgspec.json.decode(data.removeprefix(b"\xef\xbb\xbf"), type=Job)
    except msgspec.DecodeError as error:
        raise InputError(tr("{file}: {fault}", file=name, fault=plain_words(str(error), tree))) from error
    except RecursionError as error:
        raise _too_deep(data, name) from error
    refuse_unsound(job, name)
    return job


def dump(job: Job) -> bytes:
    """The job as indented JSON in UTF-8, fields in the order of the types.

    What is returned has been read back and compared. Raises OutputError for a job that would not
    come back the same (NaN, infinity, a value of a wrong type), naming its place.
    """
    data = encode(job)
    verify(job, data)
    return msgspec.json.format(data, indent=1) + b"\n"


def encode(job: Job) -> bytes:
    """The job as compact JSON, not yet known to read back the same: ``verify`` it before it counts.

    Raises OutputError for what has no JSON at all.
    """
    try:
        return msgspec.json.encode(job)
    except (msgspec.MsgspecError, UnicodeError, TypeError, OverflowError) as error:
        raise _unsound(job, plain_words(str(error), {})) from error


def verify(job: Job, data: bytes, known: Job | None = None) -> None:
    """Raises OutputError, naming the place, unless ``data``, encoded from ``job``, reads back as this job.

    ``known``: a job that did so before; the rooms and openings that both share are not read again,
    which makes saving after an edit cost what the edit changed.
    """
    try:
        same = _reads_back(job, data, Job) if known is None else _rest_reads_back(job, known)
    except (msgspec.MsgspecError, UnicodeError, TypeError, OverflowError) as error:
        raise _unsound(job, plain_words(str(error), {})) from error
    if not same:
        raise _unsound(job, tr("it would not read back the same."))


def _reads_back(value: msgspec.Struct, data: bytes, kind: type) -> bool:
    return bool(msgspec.json.decode(data, type=kind) == value)


def _rest_reads_back(job: Job, known: Job) -> bool:
    """Whether all that is not the very same object in ``known`` reads back, piece by piece."""
    shared = {id(piece) for storey in known.storeys for piece in (*storey.rooms, *storey.openings)}
    pieces: list[msgspec.Struct] = [
        piece for storey in job.storeys for piece in (*storey.rooms, *storey.openings) if id(piece) not in shared
    ]
    bare = tuple(msgspec.structs.replace(storey, rooms=(), openings=()) for storey in job.storeys)
    pieces.append(msgspec.structs.replace(job, storeys=bare))
    return all(_reads_back(piece, msgspec.json.encode(piece), type(piece)) for piece in pieces)


def _unsound(job: Job, otherwise: str) -> OutputError:
    return OutputError(tr("The job cannot be saved: {fault}", fault=_first_unsound(job) or otherwise))


def _parsed(data: bytes, name: str) -> Tree:
    if not data.strip():
        raise InputError(tr("{file} is empty: choose a job file.", file=name))
    unsound: list[str] = []

    def record(pairs: list[tuple[str, Any]]) -> Tree:
        made = dict(pairs)
        if len(made) == len(pairs):
            return made
        repeated = _Twice(made)
        names = [key for key, _ in pairs]
        repeated.name = next(key for key in names if names.count(key) > 1)
        unsound.append(repeated.name)
        return repeated

    def no_number(word: str) -> float:
        unsound.append(word)
        return math.nan

    try:
        tree = json.loads(data.decode("utf-8-sig"), object_pairs_hook=record, parse_constant=no_number)
    except UnicodeDecodeError as error:
        raise InputError(tr("{file} is not text in UTF-8, so it is no job file: choose another.", file=name)) from error
    except json.JSONDecodeError as error:
        where = tr("line {line}, column {column}", line=error.lineno, column=error.colno)
        raise InputError(
            tr("{file} is no complete JSON: {msg} at {where}.", file=name, msg=error.msg, where=where)
        ) from error
    except RecursionError as error:
        raise _too_deep(data, name) from error
    except ValueError as error:
        raise InputError(tr("{file} holds a number with thousands of digits: correct it.", file=name)) from error
    if unsound:
        raise InputError(tr("{file}: {fault}", file=name, fault=_first_unsound(tree)))
    if not isinstance(tree, dict):
        raise InputError(
            tr('{file} is JSON but no job: it must be a record with "schema": "{schema}".', file=name, schema=SCHEMA)
        )
    return tree


def _too_deep(data: bytes, name: str) -> InputError:
    """What to say of JSON that nests beyond reading, with the field in which it does so."""
    place = _known_part(_path_down(data.decode("utf-8-sig"), MOST_LEVELS))
    if not place:
        return InputError(tr("{file} is nested far deeper than any job: it is no job file.", file=name))
    return InputError(
        tr(
            "{file}: {place} is nested far deeper than any job: take out what it holds, or choose another file.",
            file=name,
            place=place_in_words(place),
        )
    )


def _path_down(text: str, levels: int) -> tuple[str | int, ...]:
    """The steps to the first value that lies so many levels down in JSON that cannot be read whole; to the deepest
    open one where the text ends before."""
    steps: list[str | int] = []
    word = ""
    for found in _TOKEN.finditer(text):
        token = found[0]
        if token in ("{", "["):
            if len(steps) == levels:
                break
            steps.append("" if token == "{" else 0)
        elif token in ("}", "]"):
            del steps[-1:]
        elif token == ":" and steps:
            steps[-1] = word
        elif token == "," and steps and isinstance(steps[-1], int):
            steps[-1] += 1
        else:
            word = _unquoted(token)
    return tuple(steps)


def _unquoted(token: str) -> str:
    try:
        text = str(json.loads(token))
    except json.JSONDecodeError:
        text = token.strip('"')
    return _as_said(text)


def _as_said(field: str) -> str:
    """The name of a field that nobody here gave, as it may stand in a sentence."""
    return " ".join(clean(field, 60).split())


def _known_part(steps: tuple[str | int, ...]) -> tuple[str | int, ...]:
    """The steps as far as a job may be nested there, and the field that ends it; empty where it begins with none."""
    if not steps or isinstance(steps[0], int):
        return ()
    for count in range(1, len(steps)):
        nodes = _nodes_at(place_in_words(steps[:count]))
        if not any(node.keys() & {"properties", "items", "prefixItems"} for node in nodes):
            return steps[:count]
    return steps


MOST_LEVELS = 60
"""A job has a dozen levels; what lies as deep as this is sought where JSON nests beyond reading."""

_TOKEN = re.compile(r'"(?:[^"\\]|\\.)*"|[{}\[\]:,]', re.DOTALL)

_UNCLEAN = re.compile("[\x7f-\x9f\xad\u200b-\u200f\u2028-\u202f\u205f-\u206f\ufeff\ufff9-\ufffb]")
"""Letters that nobody sees and that turn or break what is printed: other programs leave them in names."""


def _halved(tree: Any) -> bool:
    """Whether a text holds half a letter, which is refused further on."""
    return any(isinstance(value, str) and undecodable(value) for _, value in _walk(tree))


def _first_unsound(tree: Any) -> str:
    """What JSON readers let pass, with its place: NaN and Infinity, and a name that stands twice.

    "" when there is none of them.
    """
    for place, value in _walk(tree):
        if isinstance(value, float) and not math.isfinite(value):
            return tr("{place}: the number is not finite: write a length.", place=place_in_words(place))
        if isinstance(value, _Twice):
            return tr(
                "{place}: the field “{name}” is there twice: keep one.", place=place_in_words(place), name=value.name
            )
    return ""


def _walk(tree: Any) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    """Every value of a tree or a job with its place, in the order of the file."""
    stack: list[tuple[tuple[str | int, ...], Any]] = [((), tree)]
    while stack:
        place, value = stack.pop()
        yield place, value
        if isinstance(value, msgspec.Struct):
            value = msgspec.structs.asdict(value)
        inside: Iterable[tuple[str | int, Any]] = ()
        if isinstance(value, dict):
            inside = value.items()
        elif isinstance(value, list | tuple):
            inside = enumerate(value)
        stack.extend(reversed([((*place, step), item) for step, item in inside]))


def _version(tree: Tree, name: str) -> int:
    schema = tree.get("schema")
    if schema is None:
        raise InputError(
            tr('{file}: the field “schema” is missing: start with "schema": "{schema}".', file=name, schema=SCHEMA)
        )
    match = re.fullmatch(rf"{re.escape(FORMAT)}/(\d{{1,6}})", schema) if isinstance(schema, str) else None
    if match is None:
        raise InputError(
            tr(
                '{file}: the field “schema” says {schema}, but a job says "{expected}".',
                file=name,
                schema=repr(schema)[:60],
                expected=SCHEMA,
            )
        )
    version = int(match[1])
    if version > VERSION:
        raise InputError(
            tr(
                "{file} was saved by a newer version of the program (format {version}, here up to {newest}): install "
                "the newer version, or {what} is lost.",
                file=name,
                version=version,
                newest=VERSION,
                what=_new_in(tree),
            )
        )
    return version


def _new_in(tree: Tree) -> str:
    """What this program would lose of a job of a newer one: the first field that it does not know."""
    try:
        msgspec.convert({**tree, "schema": SCHEMA}, Job)
    except (msgspec.MsgspecError, UnicodeError, TypeError, OverflowError, RecursionError) as error:
        match = _PLACE.fullmatch(str(error))
        unknown = re.fullmatch("Object contains unknown field `(.*)`", match["what"], re.DOTALL) if match else None
        if match and unknown:
            place = (match["place"] or "").removeprefix(".")
            return tr("the field {place}", place=f"{place}.{_as_said(unknown[1])}".removeprefix("."))
    return tr("what is new in it")


def _migrated(tree: Tree, version: int, name: str) -> bytes:
    while version < VERSION:
        step = MIGRATIONS.get(version)
        if step is None:
            raise InputError(
                tr(
                    "{file} has format {version}, from which no way leads to format {newest}.",
                    file=name,
                    version=version,
                    newest=VERSION,
                )
            )
        try:
            tree = step(tree)
        except (KeyError, TypeError, ValueError, AttributeError, IndexError) as error:
            said = tr(
                "{file} is no sound job of format {version}: {fault} is wrong in it.",
                file=name,
                version=version,
                fault=repr(error),
            )
            raise InputError(said) from error
        version += 1
        tree["schema"] = f"{FORMAT}/{version}"
    try:
        return json.dumps(tree, allow_nan=False).encode()
    except ValueError as error:
        raise InputError(tr("{file}: a number in it is not finite: write a length.", file=name)) from error


_KINDS = {
    "str": mark("text"), "int": mark("a whole number"), "float": mark("a number"), "bool": mark("true or false"),
    "array": mark("a list"), "object": mark("a record"), "null": "null",
}  # fmt: skip

_STEPS = re.compile(r"([^.\[\]]+)(?=[.\[]|$)|\[(\d+)\]")
_PLACE = re.compile(r"(?P<what>.*?)(?: - at `\$?(?P<place>[^`]*)`)?", re.DOTALL)


def place_in_words(place: Iterable[str | int]) -> str:
    """("storeys", 0, "height_mm") as "storeys[0].height_mm"; the whole job for an empty place."""
    text = "".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in place)
    return text.removeprefix(".") or tr("the job")


def plain_words(message: str, tree: Any) -> str:
    """A message of the decoder as "storeys[0].rooms[2].name: must be text, but is a whole number."

    ``tree`` is the decoded JSON, to show the value that is wrong; an empty record where there is none.
    """
    match = _PLACE.fullmatch(message)
    what = match["what"] if match else message
    place = (match["place"] or "").removeprefix(".") if match else ""
    said = _what(what, place, tree)
    return f"{place or tr('the job')}: {said}" + ("" if said.endswith("?") else ".")


def _what(message: str, place: str, tree: Any) -> str:
    if match := re.fullmatch(r"Object contains unknown field `(.*)`", message, re.DOTALL):
        record = _value_at(tree, place)
        there = record if isinstance(record, dict) else {}
        # What stands beside the field that it resembles is no slip of the pen.
        others = [field for field in fields_at(place) or field_names() if field not in there]
        near = difflib.get_close_matches(match[1], others, 1, MOST_LIKE)
        if near:
            return tr("the field “{name}” is not known: is it “{near}”?", name=match[1][:60], near=near[0])
        return tr(
            "the field “{name}” is not known; a newer program may have written it: open the file there, or take the "
            "field out and lose {value}",
            name=_as_said(match[1]),
            value=_held(there[match[1]]) if match[1] in there else tr("what it holds"),
        )
    if match := re.fullmatch(r"Object missing required field `(.*)`", message):
        return tr("the field “{name}” is missing: add it", name=match[1])
    if match := re.fullmatch(r"Expected `([^`]*)`, got `([^`]*)`", message):
        return tr("must be {right}, but is {wrong}", right=_kinds(match[1]), wrong=_kinds(match[2]))
    if message.startswith("Invalid enum value"):
        allowed = ", ".join(allowed_words(place))
        return tr(
            "{value} is none of the words allowed here ({allowed})",
            value=repr(_value_at(tree, place))[:60],
            allowed=allowed,
        )
    if match := re.fullmatch(r"Expected `array` of length (\d+)(?:, got (\d+))?", message):
        return tr("must be a list of {count}", count=match[1])
    if message.startswith("Number out of range"):
        return tr("the number is too large: write a length")
    if message.startswith(("Input data was truncated", "JSON is malformed")):
        return tr("a text holds half a character (a lone \\\\ud800 to \\\\udfff): write it again")
    return message[:1].lower() + message[1:]


MOST_LIKE = 0.75
"""From here on, of 1, a field's name is taken for a known one that was mistyped."""


def _held(value: Any) -> str:
    """A value in a word or two: what a list or a record holds may nest without end."""
    if isinstance(value, dict | list):
        return tr("a list") if isinstance(value, list) else tr("a record")
    return repr(value)[:40] if isinstance(value, str) else json.dumps(value)[:40]


def _kinds(names: str) -> str:
    told = [tr(_KINDS.get(name.strip(), name.strip())) for name in names.split("|")]
    return tr("{one} or {other}", one=", ".join(told[:-1]), other=told[-1]) if len(told) > 1 else told[0]


def _value_at(tree: Any, place: str) -> Any:
    for name, index in _STEPS.findall(place):
        try:
            tree = tree[int(index)] if index else tree[name]
        except (KeyError, IndexError, TypeError):
            return None
    return tree


def allowed_words(place: str) -> tuple[str, ...]:
    """The words that the field at ``place`` ("storeys[0].rooms[1].confidence") may hold."""
    words = [word for node in _nodes_at(place) for word in node.get("enum", [node.get("const")])]
    return tuple(str(word) for word in words if word is not None)


def fields_at(place: str) -> tuple[str, ...]:
    """The fields that the object at ``place`` may have, sorted; "" is the job itself."""
    return tuple(sorted({name for node in _nodes_at(place) for name in node.get("properties", {})}))


def _nodes_at(place: str) -> list[dict[str, Any]]:
    nodes = _alternatives(_resolved(_schema()))
    for name, index in _STEPS.findall(place):
        found = (_item(n, int(index)) if index else n.get("properties", {}).get(name, {}) for n in nodes)
        nodes = [node for part in found for node in _alternatives(part)]
    return nodes


def _alternatives(node: dict[str, Any]) -> list[dict[str, Any]]:
    return [_resolved(part) for part in node.get("anyOf", [node])]


def _item(node: dict[str, Any], index: int) -> dict[str, Any]:
    fixed: list[dict[str, Any]] = node.get("prefixItems", [])
    if index < len(fixed):
        return fixed[index]
    items = node.get("items")
    return items if isinstance(items, dict) else {}


def _resolved(node: dict[str, Any]) -> dict[str, Any]:
    if "$ref" not in node:
        return node
    definition: dict[str, Any] = _schema()["$defs"][node["$ref"].rpartition("/")[2]]
    return definition


@cache
def _schema() -> dict[str, Any]:
    return msgspec.json.schema(Job)


def field_names() -> tuple[str, ...]:
    """Every field name that a job file knows, sorted."""
    definitions = _schema()["$defs"].values()
    return tuple(sorted({name for d in definitions for name in d.get("properties", {})}))


DIALECT = "https://json-schema.org/draft/2020-12/schema"


def json_schema(kind: type, name: str) -> dict[str, Any]:
    """The JSON Schema of ``kind``; ``name`` is its format and version ("takeoff-job/1").

    A field "schema" is always required in a file, although the type has a default for it.
    """
    schema = msgspec.json.schema(kind)
    definitions = schema.get("$defs", {})
    root = definitions.get(schema.get("$ref", "").rpartition("/")[2], schema)
    if "schema" in root.get("properties", {}):
        root["required"] = sorted({"schema", *root.get("required", [])})
    urn = "urn:" + name.replace("/", ":")
    return {"$schema": DIALECT, "$id": urn, "title": name, **schema}


def job_schema() -> dict[str, Any]:
    """The JSON Schema of a job file."""
    return json_schema(Job, SCHEMA)
