"""The README's commands are the ones that are checked, and the documents name the licence."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tomllib
from pathlib import Path

from takeoff.files.installing import install_command

CHECKOUT = Path(__file__).parents[2]


def shell_lines(document: str) -> list[str]:
    blocks = re.findall(r"```sh\n(.*?)```", (CHECKOUT / document).read_text(encoding="utf-8"), re.DOTALL)
    return [line for block in blocks for line in block.splitlines() if line.strip()]


def test_readme_has_two_commands_of_one_line_each() -> None:
    lines = shell_lines("README.md")
    assert len(lines) == 2
    assert "takeoff measure sample_plans/" in lines[0]
    assert "-m pytest" in lines[1]
    assert (CHECKOUT / re.findall(r"sample_plans/\S+\.dxf", lines[0])[0]).is_file()


def test_continuous_check_runs_the_very_test_command() -> None:
    script = (CHECKOUT / ".ci" / "run").read_text(encoding="utf-8").splitlines()
    assert shell_lines("README.md")[1] in script
    assert {".venv/bin/ruff check .", ".venv/bin/mypy", ".venv/bin/lint-imports"} <= set(script)


def test_licence_is_named_in_both_documents_and_the_package() -> None:
    project = tomllib.loads((CHECKOUT / "pyproject.toml").read_text())["project"]
    assert project["license"] == "MIT"
    (licence,) = (CHECKOUT / name for name in project["license-files"])
    conditions = licence.read_text(encoding="utf-8").partition("\n\n")[2]
    assert "Permission is hereby granted, free of charge" in conditions
    readme = (CHECKOUT / "README.md").read_text(encoding="utf-8")
    quoted = "\n".join(line.removeprefix(">").strip() for line in readme.splitlines() if line.startswith(">"))
    assert quoted == conditions.strip()
    for document in ("README.md", "DEVELOPERS.md"):
        text = (CHECKOUT / document).read_text(encoding="utf-8")
        assert re.search(r"^MIT\b.*the authors of this project", text, re.MULTILINE)


def test_readme_shows_what_the_command_prints(tmp_path: Path) -> None:
    """The ten lines of its start, as they stand, from the very plan that the first command measures."""
    readme = (CHECKOUT / "README.md").read_text(encoding="utf-8")
    shown = re.findall(r"It begins so.*?```text\n(.*?)\n```", readme, re.DOTALL)[0]
    assert len([line for line in shown.splitlines() if line.strip()]) == 10
    done = subprocess.run(
        [sys.executable, "-m", "takeoff.cli.main", "measure", "sample_plans/terrace_ground.dxf", "-o", str(tmp_path)],
        cwd=CHECKOUT,
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=300,
        env=os.environ | {"PYTHONPATH": str(CHECKOUT), "PYTHONUTF8": "1", "COLUMNS": "100", "TAKEOFF_LANGUAGE": "en"},
    )
    assert done.returncode in (0, 1), done.stderr
    assert shown in done.stdout.partition("\n\n")[2][: len(shown) + 1]


def test_pictures_of_the_readme_are_there_and_small() -> None:
    readme = (CHECKOUT / "README.md").read_text(encoding="utf-8")
    named = {CHECKOUT / name for name in re.findall(r"!\[[^\]]+\]\((\S+?)\)", readme)}
    assert len(named) == 3
    assert named == set((CHECKOUT / "sample_plans" / "pictures").iterdir())
    assert sum(file.stat().st_size for file in named) < 400_000
    assert readme.index("pictures/") < readme.index("## Start") < readme.index("## Two commands")


def test_what_is_told_to_install_is_a_part_of_this_project() -> None:
    extras = tomllib.loads((CHECKOUT / "pyproject.toml").read_text())["project"]["optional-dependencies"]
    texts = [(CHECKOUT / "README.md").read_text(encoding="utf-8"), *map(install_command, ("ifc", "window"))]
    lists = [found for text in texts for found in re.findall(r"""['"]\.\[([\w,]+)\]['"]""", text)]
    told = {part for found in lists for part in found.split(",")}
    assert told == {"ifc", "window", "test"}
    assert told <= set(extras)
    for text in texts:
        assert "takeoff[" not in text


def test_each_promise_has_a_test_of_its_own() -> None:
    """By its bold words, in the order of both documents; the files are there and are collected."""
    readme = (CHECKOUT / "README.md").read_text(encoding="utf-8")
    promised = readme.partition("## What the program promises\n")[2].partition("\n## ")[0]
    promises = re.findall(r"^\* \*\*(.+?)\*\*", promised, re.MULTILINE)
    developers = (CHECKOUT / "DEVELOPERS.md").read_text(encoding="utf-8")
    table = developers.partition("## Promises and their tests\n")[2].partition("\n## ")[0]
    rows = [line.strip("|").split(" | ") for line in table.splitlines() if line.startswith("|")][2:]
    assert [row[0].strip() for row in rows] == promises
    assert len(promises) >= 8
    for promise, tests in rows:
        kept = re.findall(r"tests/\w+/test_\w+\.py", tests)
        assert kept, promise
        assert all("def test_" in (CHECKOUT / name).read_text(encoding="utf-8") for name in kept)


def test_documents_name_only_files_that_exist() -> None:
    for document in ("README.md", "DEVELOPERS.md"):
        text = (CHECKOUT / document).read_text(encoding="utf-8")
        named = re.findall(r"\b(?:sample_plans|resources|tests|takeoff/\w+)/[\w./]*\w", text)
        missing = [name for name in named if "FORMAT" not in name and not (CHECKOUT / name).exists()]
        assert missing == []
