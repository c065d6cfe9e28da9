"""No module of the program imports itself by way of others, not even to name a type."""

from __future__ import annotations

import ast
from collections.abc import Iterator, Mapping
from pathlib import Path

CHECKOUT = Path(__file__).parents[2]

Graph = Mapping[str, set[str]]


def sources() -> dict[str, str]:
    """The text of every module by its dotted name; a package goes by its own."""
    found = {}
    for path in (CHECKOUT / "takeoff").rglob("*.py"):
        parts = path.relative_to(CHECKOUT).with_suffix("").parts
        found[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path.read_text(encoding="utf-8")
    return found


def imports(text: str, known: set[str] | dict[str, str]) -> Iterator[str]:
    """Every known module that a text imports: at its head, in a function, or for types only."""
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names if name.name in known)
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            for name in node.names:
                whole = f"{node.module}.{name.name}"
                if whole in known:
                    yield whole
                elif node.module in known:
                    yield node.module


def graph_of(texts: Mapping[str, str]) -> Graph:
    return {name: set(imports(text, set(texts))) - {name} for name, text in texts.items()}


def circles(graph: Graph) -> list[list[str]]:
    """Groups of modules of which each can be reached from each other: taken away one by one, what imports
    nothing that is left and what nothing left imports is in no circle."""
    left = {name: set(after) for name, after in graph.items()}
    while True:
        imported = {other for after in left.values() for other in after}
        free = {name for name, after in left.items() if not after or name not in imported}
        if not free:
            break
        left = {name: after - free for name, after in left.items() if name not in free}

    def reached(start: str) -> set[str]:
        seen, todo = set(), [start]
        while todo:
            for other in left[todo.pop()] - seen:
                seen.add(other)
                todo.append(other)
        return seen

    reach = {name: reached(name) for name in left}
    groups = {frozenset(b for b in reach[a] if a in reach[b]) for a in left if a in reach[a]}
    return sorted(sorted(group) for group in groups)


def test_no_module_imports_itself_by_way_of_others() -> None:
    assert circles(graph_of(sources())) == []


def test_a_circle_is_noticed_even_where_it_is_for_types_only() -> None:
    texts = {
        "p.a": "from p import b",
        "p.b": "def f():\n    import p.c",
        "p.c": "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from p.a import Name",
        "p.d": "from p.a import Name",
        "p.e": "",
    }
    assert circles(graph_of(texts)) == [["p.a", "p.b", "p.c"]]


def test_two_circles_that_are_joined_one_way_are_two() -> None:
    assert circles({"a": {"b"}, "b": {"a", "c"}, "c": {"d"}, "d": {"c"}}) == [["a", "b"], ["c", "d"]]
