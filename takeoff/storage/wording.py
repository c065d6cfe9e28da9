"""What a strict reader finds wrong, in plain words with its place."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable
from functools import cache
from typing import Any

import msgspec

from takeoff.plan.model import Job

_KINDS = {
    "str": "text", "int": "a whole number", "float": "a number", "bool": "true or false",
    "array": "a list", "object": "a record", "null": "null",
}  # fmt: skip

_STEPS = re.compile(r"([^.\[\]]+)(?=[.\[]|$)|\[(\d+)\]")
_PLACE = re.compile(r"(?P<what>.*?)(?: - at `\$?(?P<place>[^`]*)`)?", re.DOTALL)


def place_in_words(place: Iterable[str | int]) -> str:
    """("storeys", 0, "height_mm") as "storeys[0].height_mm"; the whole job for an empty place."""
    text = "".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in place)
    return text.removeprefix(".") or "the job"


def plain_words(message: str, tree: Any) -> str:
    """A message of the decoder as "storeys[0].rooms[2].name: must be text, but is a whole number."

    ``tree`` is the decoded JSON, to show the value that is wrong; an empty record where there is none.
    """
    match = _PLACE.fullmatch(message)
    what = match["what"] if match else message
    place = (match["place"] or "").removeprefix(".") if match else ""
    said = _what(what, place, tree)
    return f"{place or 'the job'}: {said}" + ("" if said.endswith("?") else ".")


def _what(message: str, place: str, tree: Any) -> str:
    if match := re.fullmatch(r"Object contains unknown field `(.*)`", message, re.DOTALL):
        near = difflib.get_close_matches(match[1], fields_at(place) or field_names(), 1)
        advice = f"is it “{near[0]}”" if near else "take it out"
        return f"the field “{match[1][:60]}” is not known: {advice}" + ("?" if near else "")
    if match := re.fullmatch(r"Object missing required field `(.*)`", message):
        return f"the field “{match[1]}” is missing: add it"
    if match := re.fullmatch(r"Expected `([^`]*)`, got `([^`]*)`", message):
        return f"must be {_kinds(match[1])}, but is {_kinds(match[2])}"
    if message.startswith("Invalid enum value"):
        allowed = ", ".join(allowed_words(place))
        return f"{_at(tree, place)!r:.60} is none of the words allowed here ({allowed})"
    if match := re.fullmatch(r"Expected `array` of length (\d+)(?:, got (\d+))?", message):
        return f"must be a list of {match[1]}"
    if message.startswith("Number out of range"):
        return "the number is too large: write a length"
    if message.startswith(("Input data was truncated", "JSON is malformed")):
        return "a text holds half a character (a lone \\\\ud800 to \\\\udfff): write it again"
    return message[:1].lower() + message[1:]


def _kinds(names: str) -> str:
    return " or ".join(_KINDS.get(name.strip(), name.strip()) for name in names.split("|"))


def _at(tree: Any, place: str) -> Any:
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
