import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import takeoff
from takeoff.errors import InputError
from takeoff.files.paths import resource, resource_names

PACKAGE = Path(takeoff.__file__).parent
ASK = (
    "import sys; sys.path.insert(0, sys.argv[1]);"
    "from takeoff.files.paths import resource;"
    "print(resource('words/hello.txt').read_text())"
)


def lay_out(root: Path, data: Path, words: str) -> None:
    for part in ("__init__.py", "errors.py", "files"):
        source = PACKAGE / part
        copy = shutil.copytree if source.is_dir() else shutil.copy
        (root / "takeoff").mkdir(parents=True, exist_ok=True)
        copy(source, root / "takeoff" / part)
    (data / "words").mkdir(parents=True, exist_ok=True)
    (data / "words" / "hello.txt").write_text(words)


def ask(root: Path) -> str:
    done = subprocess.run([sys.executable, "-I", "-c", ASK, str(root)], capture_output=True, text=True, check=True)
    return done.stdout.strip()


def test_data_is_found_inside_an_installed_package(tmp_path):
    lay_out(tmp_path, tmp_path / "takeoff" / "resources", "installed")
    assert ask(tmp_path) == "installed"


def test_data_is_found_beside_the_package_in_a_checkout(tmp_path):
    lay_out(tmp_path, tmp_path / "resources", "checkout")
    assert ask(tmp_path) == "checkout"


def test_the_installed_data_go_before_a_folder_that_lies_beside(tmp_path):
    lay_out(tmp_path, tmp_path / "takeoff" / "resources", "installed")
    (tmp_path / "resources" / "words").mkdir(parents=True)
    (tmp_path / "resources" / "words" / "hello.txt").write_text("beside")
    assert ask(tmp_path) == "installed"


OUTSIDE = ["", "../pyproject.toml", "/etc/hostname", "a/../../b", "..\\x", "none/such.json"]


@pytest.mark.parametrize("name", OUTSIDE)
def test_a_name_that_leads_nowhere_is_refused(name):
    with pytest.raises(InputError):
        resource(name)


def test_the_names_in_a_folder_come_sorted_without_their_suffix():
    names = resource_names("conventions", ".json")
    assert "net" in names
    assert names == tuple(sorted(names))
    assert not any(name.endswith(".json") for name in names)
