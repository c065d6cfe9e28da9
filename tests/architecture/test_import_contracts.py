"""Who may import whom: the contracts of pyproject.toml hold, and each one notices when it is broken."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).parents[2]
CONTRACTS = tomllib.loads((CHECKOUT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"]

BREACHES = {
    "downwards": ("geometry/breach.py", "import takeoff.plan.model"),
    "window": ("ui/document.py", "import takeoff.ui.window.main_window"),
    "readers": ("readers/breach.py", "import takeoff.readers.dxf"),
    "writers": ("sheets/xlsx.py", "import takeoff.sheets.pdf"),
    "ezdxf": ("recognise/breach.py", "import ezdxf"),
    "ifcopenshell": ("recognise/breach.py", "import ifcopenshell"),
    "pillow": ("sheets/breach.py", "from PIL import Image"),
    "pypdfium2": ("sheets/breach.py", "import pypdfium2"),
    "reportlab": ("sheets/breach.py", "from reportlab.pdfgen import canvas"),
    "xlsxwriter": ("sheets/breach.py", "import xlsxwriter"),
    "terminal": ("services/breach.py", "import click"),
    "qt": ("services/breach.py", "from PySide6 import QtCore"),
    "shapely": ("readers/breach.py", "import shapely"),
    "scipy": ("measure/breach.py", "import scipy.optimize"),
    "numpy": ("services/breach.py", "import numpy"),
    "revise": ("revise/breach.py", "import takeoff.price.offer"),
    "account": ("account/breach.py", "import numpy"),
}
"""For each contract a file that breaks it and the line that does."""


def lint_imports(folder: Path) -> subprocess.CompletedProcess[str]:
    """Run the contracts over the package in ``folder``, which goes before the one under test."""
    program = (
        "import sys; sys.path.insert(0, sys.argv.pop()); "
        "from importlinter.cli import lint_imports_command; lint_imports_command()"
    )
    return subprocess.run(
        [sys.executable, "-c", program, "--no-cache", str(folder)],
        cwd=folder,
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
        env={**os.environ, "PYTHONPATH": str(folder), "PYTHONIOENCODING": "utf-8", "COLUMNS": "200"},
    )


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    shutil.copytree(CHECKOUT / "takeoff", tmp_path / "takeoff", ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(CHECKOUT / "pyproject.toml", tmp_path)
    return tmp_path


def test_all_contracts_hold(copy: Path) -> None:
    done = lint_imports(copy)
    assert done.returncode == 0, done.stdout
    assert f"Contracts: {len(CONTRACTS)} kept, 0 broken." in done.stdout


def test_every_contract_has_its_breach() -> None:
    assert {contract["id"] for contract in CONTRACTS} == set(BREACHES)


@pytest.mark.parametrize("contract", CONTRACTS, ids=lambda contract: contract["id"])
def test_a_contract_notices_its_breach(copy: Path, contract: dict[str, str]) -> None:
    file, line = BREACHES[contract["id"]]
    module = copy / "takeoff" / file
    module.write_text((module.read_text() if module.exists() else "") + f"\n{line}\n")
    done = lint_imports(copy)
    assert done.returncode == 1, done.stdout + done.stderr
    assert f"{contract['name']} BROKEN" in done.stdout
