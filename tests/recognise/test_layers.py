"""Layers by their names."""

from __future__ import annotations

import pytest

from takeoff.recognise.walls.layers import by_name


@pytest.mark.parametrize(("name", "role"), [
    ("A-WALL", "wall"), ("A-WALL-FULL", "wall"), ("A-DOOR", "door"), ("A-GLAZ", "glazing"),
    ("A-FURN", "furniture"), ("A-AREA", "area"), ("A-AREA-IDEN", "text"), ("A-ANNO-DIMS", "dimension"),
    ("S-COLS", "column"), ("A-WALL-DEMO", "demolished"), ("A-WALL-PATT", "hatch"),
    ("Außenwände", "wall"), ("Türen", "door"), ("Murs porteurs", "wall"), ("Стены", "wall"),
    ("Παράθυρα", "glazing"), ("A-21----E-", "wall"), ("A-32----E-", "door"), ("A-21----T-", "text"),
    ("s003-#def-inactive-grp", "unknown"), ("0", "unknown"),
])
def test_layer_names_say_what_they_are_for(name: str, role: str) -> None:
    assert by_name(name)[0] == role
