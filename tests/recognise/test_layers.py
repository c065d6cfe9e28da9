"""Layers by their names."""

from __future__ import annotations

import pytest

from takeoff.recognise.walls.layers import by_name, status_by_name


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


@pytest.mark.parametrize(("name", "status"), [
    ("A-WALL-EXST", "existing"), ("A-WALL-NEW", "new"), ("A-WALL-DEMO", "demolished"),
    ("A-WALL-FULL-D", "demolished"),    ("A-WALL-N", "new"), ("A-21----E-R", "demolished"),
    ("A-21----E-N", "new"), ("A-21----E-E", "existing"),
    ("A-21----E-", ""), ("Wand_Abbruch", "demolished"), ("Wände Bestand", "existing"), ("Wände neu", "new"),
    ("Murs à démolir", "demolished"), ("Bestaande wanden", "existing"), ("A-WALL", ""), ("Neutral", ""),
])
def test_layer_names_say_what_stands_what_is_new_and_what_goes(name: str, status: str) -> None:
    assert status_by_name(name) == status


def test_a_wall_that_goes_has_the_role_demolished_and_others_stay_walls() -> None:
    assert by_name("A-21----E-R")[0] == "demolished"
    assert [by_name(n)[0] for n in ("A-WALL-EXST", "A-WALL-N", "Wände neu")] == ["wall"] * 3
