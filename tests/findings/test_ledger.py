"""The ledger of findings: what the program notices stands in it, what stands in it is noticed."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules

import pytest

from takeoff import findings
from takeoff.errors import Finding, Where
from takeoff.findings import RULES, fault_of, may_accept, noticed, once, options_for, reading, recognising

PACKAGE = Path(__file__).parents[2] / "takeoff"


@cache
def calls_by_name() -> dict[str, list[tuple[str, ast.Call]]]:
    """Every call of a function or class by its bare name, with "module:line"."""
    found: dict[str, list[tuple[str, ast.Call]]] = {}
    for path, tree in modules():
        for node in ast.walk(tree):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
                found.setdefault(node.func.id, []).append((f"{path}:{node.lineno}", node))
    return found


SPEAKS = re.compile(r"\b(?:noticed|Finding)\b|[\"'](?:" + "|".join(map(re.escape, RULES)) + r")[\"']")
"""What a module has that notices something; the others need not be parsed."""


@cache
def modules() -> tuple[tuple[str, ast.Module], ...]:
    """(path within the package, its tree) of every module outside the ledger that notices something."""
    paths = sorted(path for path in PACKAGE.rglob("*.py") if path.parent.name != "findings")
    texts = ((str(path.relative_to(PACKAGE)), path.read_text(encoding="utf-8")) for path in paths)
    return tuple((path, ast.parse(text)) for path, text in texts if SPEAKS.search(text))


def keys_of(node: ast.expr) -> Iterator[str]:
    """Patterns of the keys that an argument may be: literals, one of two, put together."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield re.escape(node.value)
    elif isinstance(node, ast.IfExp):
        yield from keys_of(node.body)
        yield from keys_of(node.orelse)
    elif isinstance(node, ast.JoinedStr):
        yield "".join(re.escape(v.value) if isinstance(v, ast.Constant) else ".+" for v in node.values)


def test_every_key_that_is_noticed_stands_in_the_ledger() -> None:
    found = [(at, key) for at, call in calls_by_name()["noticed"] if call.args for key in keys_of(call.args[0])]
    assert len(found) >= 15
    missing = [(at, key) for at, key in found if not any(re.fullmatch(key, known) for known in RULES)]
    assert missing == []


def test_every_key_of_the_ledger_is_noticed_somewhere() -> None:
    literals = {node.value for _, tree in modules() for node in ast.walk(tree) if isinstance(node, ast.Constant)}
    patterns = {key for _, call in calls_by_name()["noticed"] for key in keys_of(call.args[0])}
    unused = [k for k in RULES if k not in literals and not any(re.fullmatch(p, k) for p in patterns)]
    assert unused == []


def test_every_call_gives_the_facts_that_its_sentence_names() -> None:
    wrong = []
    for at, call in calls_by_name()["noticed"]:
        if any(keyword.arg is None for keyword in call.keywords):
            continue
        given = {str(keyword.arg) for keyword in call.keywords} - {"where", "severity"}
        for key in keys_of(call.args[0]):
            if ".+" in key:
                continue
            wrong += [(at, k) for k, rule in RULES.items() if re.fullmatch(key, k) and rule.facts != given]
    assert wrong == []


def test_findings_are_worded_in_the_ledger_only() -> None:
    assert [at for at, _ in calls_by_name().get("Finding", [])] == []


class Named(str):
    """A fact that is printed by its name, whatever way its sentence prints it."""

    def __format__(self, spec: str) -> str:
        return str(self)


def test_no_key_stands_in_two_tables() -> None:
    parts = [import_module(f"takeoff.findings.{found.name}") for found in iter_modules(findings.__path__)]
    assert len(RULES) == sum(len(part.RULES) for part in parts if hasattr(part, "RULES"))


@pytest.mark.parametrize("key", sorted(RULES))
def test_every_sentence_is_whole_and_is_filled(key: str) -> None:
    rule = RULES[key]
    facts = {fact: Named(f"the {fact}") for fact in rule.facts}
    for severity in rule.severities:
        finding = noticed(key, Where(room="r1"), severity, **facts)
        assert finding.code == key.partition("/")[0]
        assert finding.severity == severity
        told = f"{finding.text} {finding.evidence}"
        assert all(str(fact) in told or str(fact)[1:] in told for fact in facts.values())
        assert "{" not in told
        assert bool(finding.evidence) == bool(rule.evidence)
    # of an error only what reading and recognition left out can be looked at and found to be nothing
    may_be_accepted = key in reading.RULES or key in recognising.RULES
    assert rule.settled_by == "mending" or "error" not in rule.severities or may_be_accepted


def test_evidence_stands_beside_the_sentence() -> None:
    told = noticed("scale-decided", file="a.pdf", scale="1:100", why="3 of 3 dimensions agree", more="")
    assert told.text == "a.pdf is drawn at 1:100."
    assert told.evidence == "3 of 3 dimensions agree."
    assert noticed("demo-system", system="Demo").evidence == ""


def test_options_are_those_of_the_command() -> None:
    unsure = noticed("scale-undecided", file="a.pdf", scale="1:50", shown="it is small", others="")
    assert "--scale" not in unsure.text + unsure.evidence
    assert "--scale 1:100" in options_for(unsure)
    assert options_for(noticed("demo-system", system="Demo")) == ""


def test_facts_are_those_of_the_sentence_or_it_is_refused() -> None:
    with pytest.raises(KeyError, match="demo-system wants"):
        noticed("demo-system")
    with pytest.raises(KeyError, match="demo-system wants"):
        noticed("demo-system", system="Demo", price="1")
    with pytest.raises(KeyError, match="never of severity"):
        noticed("demo-system", severity="error", system="Demo")
    with pytest.raises(KeyError):
        noticed("no-such-thing")


def test_files_are_called_as_they_are_and_other_sentences_begin_with_a_capital() -> None:
    assert noticed("no-rooms/job", file="house.json").text.startswith("house.json holds no room")
    assert noticed("option-without-effect/job", options="a and b", named="x").text.startswith("A and b had")


def finding(code: str, severity: str = "check", **where: str) -> Finding:
    return Finding(code, severity, f"{code} {where}", Where(**where))  # type: ignore[arg-type]


def test_grave_findings_come_first_each_once() -> None:
    told = (finding("a", "note"), finding("b"), finding("a", "note"), finding("c", "error"), finding("d", "assumed"))
    assert [f.code for f in once(told)] == ["c", "b", "d", "a"]
    assert once(()) == ()


def test_fault_that_the_check_tells_is_not_told_again_wall_by_wall() -> None:
    of_room = finding("exclusion-sticks-out", room="r1")
    walls = tuple(finding("exclusion-sticks-out", room="r1", surface=f"s{n}") for n in range(4))
    assert once((of_room,), walls) == (of_room,)
    assert once((finding("exclusion-outside", "error", room="r1"),), walls)[0].code == "exclusion-outside"
    assert len(once((finding("exclusion-outside", "error", room="r1"),), walls)) == 1


def test_faults_of_other_walls_rooms_and_openings_stay() -> None:
    told = (
        finding("exclusion-sticks-out", room="r1", surface="s1"),
        finding("opening-outside-wall", room="r1", opening="o1"),
    )
    measured = (
        finding("exclusion-sticks-out", room="r1", surface="s2"),
        finding("exclusion-sticks-out", room="r2", surface="s1"),
        finding("opening-wider-than-wall", room="r1", opening="o2"),
    )
    assert len(once(told, measured)) == 5


def test_two_faults_of_one_wall_that_the_check_tells_stay_two() -> None:
    told = tuple(
        Finding("exclusion-sticks-out", "check", f"Tiles {n} stick out.", Where(room="r1", surface="s1"))
        for n in (1, 2)
    )
    assert once(told) == told


def test_room_that_recognition_doubts_is_told_by_it_alone() -> None:
    told = (finding("room-check", room="r1"), finding("room-to-check", room="r1"), finding("room-check", room="r2"))
    assert [(f.code, f.where.room) for f in once(told)] == [("room-to-check", "r1"), ("room-check", "r2")]


def test_errors_are_accepted_only_where_a_person_can_tell_that_nothing_is_missing() -> None:
    lost = noticed("block-missing", file="a.dxf", blocks="SINK")
    unsure = noticed("unit-undecided", file="a.dxf", header="says nothing", unit="mm", shown="it is small")
    assert may_accept(lost)
    assert not may_accept(unsure)
    assert not may_accept(noticed("room-without-height", room="The hall"))
    assert may_accept(noticed("demo-system", system="Demo"))


def test_fault_is_the_sentence_without_what_to_do() -> None:
    assert fault_of(noticed("room-without-height", room="the hall")) == (
        "The hall has no height between floor and ceiling"
    )
    assert fault_of(noticed("block-missing", file="a.dxf", blocks="SINK")) == (
        "a.dxf inserts blocks that it does not contain, so parts are missing"
    )


NOT_REWORDED = set(recognising.RULES)
"""Keys whose sentences are still longer."""


@pytest.mark.parametrize("key", sorted(set(RULES) - NOT_REWORDED))
def test_sentences_are_read_in_one_breath(key: str) -> None:
    words = re.sub(r"{[^{}]*}", "fact", RULES[key].sentence).split()
    assert len(words) <= 25, RULES[key].sentence


def test_no_sentence_speaks_of_options_of_the_command_but_those_of_options() -> None:
    said = {key: f"{rule.sentence} {rule.evidence}" for key, rule in RULES.items() if key not in NOT_REWORDED}
    assert [key for key, text in said.items() if "--" in text and not key.startswith("option-without-effect/")] == []
