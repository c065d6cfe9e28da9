"""Short functions, and a record of what the house style counts. Modules follow concepts, not a line count."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).parents[2]
LONGEST_FUNCTION = 60
VAGUE_NAMES = {"utils", "util", "helpers", "helper", "misc", "common", "manager"}


def modules() -> list[Path]:
    return sorted(p for folder in ("takeoff", "sample_plans") for p in (CHECKOUT / folder).rglob("*.py"))


def name_of(path: Path) -> str:
    return path.relative_to(CHECKOUT).as_posix()


def long_functions(source: str) -> list[str]:
    """Functions of more than the longest allowed, without counting their docstring."""
    found = []
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            first = node.body[0]
            words = isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant)
            docstring = (first.end_lineno or 0) - first.lineno + 1 if words else 0
            lines = (node.end_lineno or 0) - node.lineno + 1 - docstring
            if lines > LONGEST_FUNCTION:
                found.append(f"{node.name}: {lines} lines")
    return found


@pytest.mark.parametrize("path", modules(), ids=name_of)
def test_functions_are_short(path: Path) -> None:
    assert long_functions(path.read_text(encoding="utf-8")) == []


def test_a_long_function_is_noticed() -> None:
    body = "\n".join("    x = 1" for _ in range(LONGEST_FUNCTION))
    assert long_functions(f"def f():\n{body}\n") == ["f: 61 lines"]


def test_no_module_has_a_name_that_says_nothing() -> None:
    vague = [name_of(p) for p in modules() if VAGUE_NAMES & set(p.stem.split("_"))]
    assert vague == []


def test_every_package_and_module_says_what_it_is_for() -> None:
    sources = {name_of(p): p.read_text(encoding="utf-8") for p in modules()}
    mute = [name for name, text in sources.items() if text.strip() and not ast.get_docstring(ast.parse(text))]
    assert mute == []


def test_no_two_test_modules_have_one_name() -> None:
    """Two of one name run apart, but a run of all of them stops before its first test."""
    named: dict[str, list[str]] = {}
    for path in sorted((CHECKOUT / "tests").rglob("test_*.py")):
        named.setdefault(path.stem, []).append(name_of(path))
    assert len(named) > 100
    assert [paths for paths in named.values() if len(paths) > 1] == []


OF_EACH_FLOOR = {"__init__", "model"}
"""Names that say what they are by their folder: the model of a drawing, and that of the plan."""


def test_no_two_modules_of_the_program_have_one_name() -> None:
    """Whoever looks for one by its name finds one."""
    named: dict[str, list[str]] = {}
    for path in modules():
        if path.is_relative_to(CHECKOUT / "takeoff") and path.stem not in OF_EACH_FLOOR:
            named.setdefault(path.stem, []).append(name_of(path))
    assert [paths for paths in named.values() if len(paths) > 1] == []
