"""Every command that the README prints works as it is printed, one after another on a copy of the sample job."""

from __future__ import annotations

import os
import re
import shlex
import shutil
from pathlib import Path

import pytest

from takeoff.cli.main import run

CHECKOUT = Path(__file__).parents[2]

ENDS_WITH_1 = ("holds",)
"""What ends with 1 while something holds the work up."""

NOT_HERE = ("--own", "--logo", "window")
"""What keeps something for all jobs of whoever runs it, needs a picture of his, or opens a window."""


def printed() -> tuple[list[str], list[str]]:
    """The commands in order: of the running text, and of the blocks."""
    text = (CHECKOUT / "README.md").read_text(encoding="utf-8")
    inline = re.findall(r"`(takeoff [^`]+)`", re.sub(r"```.*?```", "", text, flags=re.DOTALL))
    blocks = re.findall(r"```text\n(.*?)```", text, re.DOTALL)
    lines = [line.partition("#")[0].strip() for block in blocks for line in block.splitlines()]
    return [" ".join(one.split()) for one in inline], [one for one in lines if one.startswith("takeoff ")]


@pytest.mark.parametrize("lines", printed(), ids=["text", "blocks"])
def test_every_command_of_the_readme_works(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], lines: list[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    samples = CHECKOUT / "sample_plans"
    shutil.copy(samples / "terrace.job.json", "JOB")
    for name, sample in (
        ("PLAN.dxf", "terrace_ground"),
        ("FILE", "terrace_ground"),
        ("GROUND.dxf", "terrace_ground"),
        ("FIRST.dxf", "terrace_first"),
        ("NEW.dxf", "terrace_ground_rev_b"),
    ):
        shutil.copy(samples / f"{sample}.dxf", name)
    lines = [line for line in lines if not any(word in shlex.split(line) for word in NOT_HERE)]
    assert len(lines) > 8
    failed = []
    for line in lines:
        words = [re.sub(r"^(JOB)\.\.\.$", r"\1", word) for word in shlex.split(line)[1:]]
        words = [word for word in words if word not in ("[--json]", "[--accept]", "[--even-so]")]
        if os.path.exists("JOB.takeoff"):
            words = ["JOB.takeoff" if word == "JOB" else word for word in words]
        code = run(words)
        told = capsys.readouterr()
        if code not in ((0, 1) if words[0] in ENDS_WITH_1 else (0,)):
            failed.append((line, code, told.err))
    assert failed == []
