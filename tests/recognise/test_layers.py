"""Layers by their names."""

from __future__ import annotations

import invented
import invented_floor
import pytest
from drawn import Sheet
from test_rooms_found import area_m2

from takeoff.recognise import propose
from takeoff.recognise.walls.layer_roles import by_name, status_by_name


@pytest.mark.parametrize(
    ("name", "role"),
    [
        ("A-WALL", "wall"),
        ("A-WALL-FULL", "wall"),
        ("A-DOOR", "door"),
        ("A-GLAZ", "glazing"),
        ("A-FURN", "furniture"),
        ("A-AREA", "area"),
        ("A-AREA-IDEN", "text"),
        ("A-ANNO-DIMS", "dimension"),
        ("S-COLS", "column"),
        ("A-WALL-DEMO", "demolished"),
        ("A-WALL-PATT", "hatch"),
        ("Außenwände", "wall"),
        ("Türen", "door"),
        ("Murs porteurs", "wall"),
        ("Стены", "wall"),
        ("стены двери окна", "wall"),
        ("Παράθυρα", "glazing"),
        ("conduit", "service"),
        ("EM-WIRING", "service"),
        ("A-21----E-", "wall"),
        ("A-32----E-", "door"),
        ("A-21----T-", "text"),
        ("s003-#def-inactive-grp", "unknown"),
        ("0", "unknown"),
    ],
)
def test_layer_names_say_what_they_are_for(name: str, role: str) -> None:
    assert by_name(name)[0] == role


@pytest.mark.parametrize(
    ("name", "role"),
    [
        ("house$0$A-WALL", "wall"),
        ("a$0$b$3$Türen", "door"),
        ("ground floor|A-GLAZ", "glazing"),
        ("Wände$0$0", "unknown"),
        ("Fittings", "furniture"),
        ("A-Fitting", "furniture"),
        ("Muratura", "wall"),
        ("APERTURE", "door"),
        ("Room - WC", "area"),
        ("Bath walls", "wall"),
        ("WC", "furniture"),
        ("A-ROOM-NAME", "text"),
        ("A-210-M_Walls", "wall"),
        ("Ground Floor Plan", "unknown"),
        ("Floor", "floor"),
        ("A-G25-M", "wall"),
        ("A-(22)-M", "wall"),
        ("A-(74)-M", "furniture"),
        ("A-42B---E-", "wall"),
        ("WALL2", "wall"),
        ("MUR20", "wall"),
        ("FENETRES", "glazing"),
        ("Fenêtre", "glazing"),
        ("Garde-corps", "stair"),
        ("CLOTURE", "site"),
        ("Tabiquería", "wall"),
        ("SILLAS", "furniture"),
        ("Alvenaria", "wall"),
        ("Esquadrias", "glazing"),
        ("Binnenwanden", "wall"),
        ("Kozijnen", "glazing"),
        ("Ścianki działowe", "wall"),
        ("Příčky", "wall"),
        ("Innerväggar", "wall"),
        ("Väliseinät", "wall"),
        ("Duvarlar", "wall"),
        ("Стіни", "wall"),
        ("Стіна", "wall"),
        ("Мебель", "furniture"),
        ("建筑墙体", "wall"),
        ("幕墙", "glazing"),
        ("WALL-填充", "hatch"),
        ("間仕切壁", "wall"),
        ("建具", "door"),
        ("寸法線", "dimension"),
        ("벽체", "wall"),
        ("Balkon", "unknown"),
        ("fireplace", "unknown"),
        ("Layer1", "unknown"),
    ],
)
def test_layer_names_of_other_offices_say_what_they_are_for(name: str, role: str) -> None:
    assert by_name(name)[0] == role


@pytest.mark.parametrize(
    ("name", "status"),
    [("old$0$A-WALL-DEMO", "demolished"), ("demo|A-WALL", ""), ("撤去壁", "demolished"), ("既存壁", "existing")],
)
def test_what_a_reference_is_called_says_nothing_of_its_layers(name: str, status: str) -> None:
    assert status_by_name(name) == status


@pytest.mark.parametrize(
    ("name", "status"),
    [
        ("A-WALL-EXST", "existing"),
        ("A-WALL-NEW", "new"),
        ("A-WALL-DEMO", "demolished"),
        ("A-WALL-FULL-D", "demolished"),
        ("A-WALL-N", "new"),
        ("A-21----E-R", "demolished"),
        ("A-21----E-N", "new"),
        ("A-21----E-E", "existing"),
        ("A-21----E-", ""),
        ("Wand_Abbruch", "demolished"),
        ("Wände Bestand", "existing"),
        ("Wände neu", "new"),
        ("Murs à démolir", "demolished"),
        ("Bestaande wanden", "existing"),
        ("A-WALL", ""),
        ("Neutral", ""),
    ],
)
def test_layer_names_say_what_stands_what_is_new_and_what_goes(name: str, status: str) -> None:
    assert status_by_name(name) == status


def test_a_wall_that_goes_has_the_role_demolished_and_others_stay_walls() -> None:
    assert by_name("A-21----E-R")[0] == "demolished"
    assert [by_name(n)[0] for n in ("A-WALL-EXST", "A-WALL-N", "Wände neu")] == ["wall"] * 3


def test_columns_on_a_layer_that_says_nothing_are_told() -> None:
    plan = invented_floor.floor(0, _with_columns("Q7"))
    _, findings = propose(invented.drawing(plan))
    assert [f.where.layer for f in findings if f.code == "columns-unsaid"] == ["Q7"]


def _with_columns(layer: str) -> invented_floor.Choice:
    style = invented_floor.choose(0)
    style.columns = "free"
    style.layers = {**invented.LAYERS["aia"], "stair": "A-FLOR-STRS", "grid": "S-GRID", "column": layer}
    return style


def test_a_layer_of_pairs_alone_has_more_of_the_walls_of_a_plan_without_words() -> None:
    # Walls of 100 round two rooms of 3000 × 3000; those of the right one are on a layer whose name says nothing, and so
    # is a worktop, which has no pair.
    sheet = Sheet().box(-100, -100, 3100, 3100).box(0, 0, 3000, 3000)
    sheet.box(3100, -100, 6300, 3100, layer="M-2").box(3200, 0, 6200, 3000, layer="M-2")
    sheet.line(3200, 600, 6200, 600, "W-2")
    job, found = propose(sheet.drawing())
    assert sorted(round(area_m2(r), 2) for r in job.storeys[0].rooms) == [9.0, 9.0]
    assert [f.where.layer for f in found if f.code == "layers-inferred"] == ["M-2"]
