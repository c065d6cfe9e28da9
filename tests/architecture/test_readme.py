"""The README's commands are the ones that are checked, and the documents name the licence."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

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
    assert project["license"]["text"] == "MIT"
    for document in ("README.md", "DEVELOPERS.md"):
        text = (CHECKOUT / document).read_text(encoding="utf-8")
        assert re.search(r"^MIT\b.*the authors of this project", text, re.MULTILINE)


def test_documents_name_only_files_that_exist() -> None:
    for document in ("README.md", "DEVELOPERS.md"):
        text = (CHECKOUT / document).read_text(encoding="utf-8")
        named = re.findall(r"\b(?:sample_plans|resources|tests|takeoff/\w+)/[\w./]*\w", text)
        missing = [name for name in named if "FORMAT" not in name and not (CHECKOUT / name).exists()]
        assert missing == []
