"""An invented house as IFC: its storeys, spaces, openings and walls arrive in mm with their sizes."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from ifc_making import Model, house

from takeoff.drawing.model import Claim, Drawing, north_claimed
from takeoff.errors import Cancelled, Finding
from takeoff.readers.ifc import read
from takeoff.readers.ifc.modelling import model_drawings


def drawings_of(model: Model) -> tuple[tuple[Drawing, ...], tuple[Finding, ...]]:
    return model_drawings(model.text().encode(), "house.ifc", "", lambda share, what: None)


def claims(drawing: Drawing, kind: str) -> list[Claim]:
    return [c for c in drawing.claims if c.kind == kind]


def named(drawing: Drawing, kind: str, word: str, value: str) -> Claim:
    (found,) = [c for c in claims(drawing, kind) if dict(c.words)[word] == value]
    return found


def codes(findings: tuple[Finding, ...]) -> list[str]:
    return [f.code for f in findings]


@pytest.mark.parametrize("schema", ["IFC2X3", "IFC4", "IFC4X3", "IFC4X3_ADD2"])
@pytest.mark.parametrize("unit", ["mm", "m", "ft"])
def test_every_schema_and_unit_gives_the_same_house(schema: str, unit: str) -> None:
    (ground, upper), findings = drawings_of(house(schema, unit))
    assert (ground.unit, ground.unit_mm) == (unit, pytest.approx({"mm": 1, "m": 1000, "ft": 304.8}[unit]))
    assert [dict(claims(d, "storey")[0].words)["name"] for d in (ground, upper)] == ["Ground", "Upper"]
    assert dict(claims(upper, "storey")[0].values)["level_mm"] == pytest.approx(3000)
    kitchen = named(ground, "space", "name", "Kitchen")
    corners = sorted((round(x, 3), round(y, 3)) for x, y, _ in kitchen.ring)
    assert corners == [(300, 300), (300, 4700), (4300, 300), (4300, 4700)]
    values = dict(kitchen.values)
    assert (values["floor_mm"], values["top_mm"]) == pytest.approx((20, 2520))
    assert codes(findings) == ["unit-decided"]


def test_window_claim_has_hole_wall_and_frame() -> None:
    (ground, _), _ = drawings_of(house())
    window = named(ground, "opening", "kind", "window")
    values = dict(window.values)
    assert (values["width_mm"], values["sill_mm"], values["head_mm"]) == pytest.approx((1200, 900, 2100))
    assert values["thickness_mm"] == pytest.approx(300)
    assert (values["frame_from_mm"], values["frame_to_mm"]) == pytest.approx((100, 170))
    assert dict(window.words)["mark"] == "W1"
    assert window.ring[0][:2] == pytest.approx((1000, 0))
    assert window.ring[2][:2] == pytest.approx((2200, 300))


def test_roof_room_has_two_sloped_ceiling_planes() -> None:
    (_, upper), _ = drawings_of(house())
    guid = dict(named(upper, "space", "name", "Studio").words)["guid"]
    planes = [dict(c.values) for c in claims(upper, "ceiling") if dict(c.words)["guid"] == guid]
    # From 1200 at the eaves to 3400 over half of 4400: a slope of exactly 1.
    assert sorted(p["slope_y"] for p in planes) == pytest.approx([-1, 1])
    assert all(p["slope_x"] == pytest.approx(0) for p in planes)
    for p in planes:
        assert p["z_mm"] + p["slope_y"] * (2500 - p["at_y_mm"]) == pytest.approx(3400)


def test_cut_goes_round_openings_and_claims_go_through_them() -> None:
    (ground, _), _ = drawings_of(house())
    walls = ground.lines.segments[ground.lines.segment_layer == [layer.name for layer in ground.layers].index("walls")]
    total = np.hypot(*(walls[:, 2:] - walls[:, :2]).T).sum()
    # Outlines: 2 × (8000 + 300) twice and 2 × (4400 + 300) twice, the partition 2 × (4400 + 100);
    # each hole takes twice its width and gives two jambs of the wall's thickness.
    whole = 2 * 2 * 8300 + 2 * 2 * 4700 + 2 * 4500
    assert total == pytest.approx(whole - 2 * (1200 + 900 + 1000) + 2 * (300 + 100 + 300))
    south = [c for c in claims(ground, "wall") if sorted(round(y) for _, y, _ in c.ring) == [0, 0, 300, 300]]
    assert len(south) == 1
    assert len(south[0].ring) == 4
    assert dict(south[0].words)["external"] == "yes"


def test_labels_stand_inside_their_spaces() -> None:
    (ground, _), _ = drawings_of(house())
    (kitchen,) = [label for label in ground.labels if label.text == "Kitchen"]
    assert 300 < kitchen.x < 4300
    assert 300 < kitchen.y < 4700


def test_storeys_are_made_up_where_the_file_has_none() -> None:
    (ground, upper), findings = drawings_of(house(storeys=False))
    levels = [dict(claims(d, "storey")[0].values)["level_mm"] for d in (ground, upper)]
    assert levels == pytest.approx([20, 3000])
    assert "storeys-missing" in codes(findings)


def test_storey_whose_elevation_contradicts_its_spaces_is_read_where_they_stand() -> None:
    model = house()
    at = next(k for k, line in enumerate(model.lines) if line.startswith("IFCBUILDINGSTOREY") and "Upper" in line)
    model.lines[at] = model.lines[at].replace("3000.0", "3000000.0")
    drawings, _ = drawings_of(model)
    lifted = named(drawings[-1], "space", "name", "Studio")
    assert dict(lifted.values)["floor_mm"] == pytest.approx(3000)


def test_door_without_a_hole_says_its_own_size() -> None:
    m = house(spaces=True)
    ground = next(f"#{k}" for k, line in enumerate(m.lines, 1) if "'Ground'" in line)
    m.fill(None, "IFCDOOR", "D9", [(5000, 4690, 0, 5800, 4730, 2000)], ground, (800, 2000))
    (drawing, _), _ = drawings_of(m)
    door = named(drawing, "opening", "mark", "D9")
    assert dict(door.values)["width_mm"] == pytest.approx(800)
    assert dict(door.words)["host"] == ""


def test_hole_longer_than_its_wall_is_cut_back_and_takes_the_door_that_stands_in_it() -> None:
    m = Model()
    ground = m.storey("G", 0)
    wall = m.wall("w", (0, 0, 0, 5000, 200, 2600), ground)
    m.hole((1000, -2000, 0, 1900, 2000, 2040), wall)
    m.fill(None, "IFCDOOR", "D", [(1000, 50, 0, 1900, 90, 2040)], ground, (900, 2040))
    (drawing,), _ = drawings_of(m)
    (door,) = claims(drawing, "opening")
    assert dict(door.words)["kind"] == "door"
    values = dict(door.values)
    assert (values["width_mm"], values["thickness_mm"]) == pytest.approx((900, 200))


def test_recess_is_no_opening() -> None:
    m = Model()
    ground = m.storey("G", 0)
    wall = m.wall("w", (0, 0, 0, 5000, 300, 2600), ground)
    m.hole((1000, 0, 900, 1900, 100, 2040), wall)
    (drawing,), _ = drawings_of(m)
    assert claims(drawing, "opening") == []


def test_space_without_shape_is_told_by_name() -> None:
    m = house()
    m.space("77", "Attic", "$", "#1")
    _, findings = drawings_of(m)
    (lost,) = [f for f in findings if f.code == "space-without-shape"]
    assert lost.severity == "error"
    assert "77 Attic" in f"{lost.text} {lost.evidence}"


def test_file_without_unit_says_so() -> None:
    model = house(unit="m")
    model.lines = [line.replace("IFCSIUNIT(*,.LENGTHUNIT.", "IFCSIUNIT(*,.MASSUNIT.") for line in model.lines]
    _, findings = drawings_of(model)
    (told,) = [f for f in findings if f.code == "unit-undecided"]
    assert told.severity == "error"


def test_element_that_strays_is_left_out_and_told() -> None:
    m = house()
    m.wall("stray", (3e7, 0, 0, 3e7 + 1000, 300, 2500), None)
    (ground, _), findings = drawings_of(m)
    assert "elements-far-away" in codes(findings)
    assert ground.lines.segments.max() < 1e4


def test_reading_in_a_process_of_its_own_gives_the_same_and_can_be_stopped(tmp_path: Path) -> None:
    path = tmp_path / "house.ifc"
    path.write_text(house().text())
    shares: list[float] = []
    drawings, findings = read(path, lambda share, what: shares.append(share))
    here, told = drawings_of(house())
    assert [d.claims for d in drawings] == [d.claims for d in here]
    assert findings == told
    assert shares == sorted(shares)
    assert drawings[0].sha256

    def stop(share: float, what: str) -> None:
        raise Cancelled("stopped")

    with pytest.raises(Cancelled):
        read(path, stop)


def test_curtain_wall_is_a_window_beside_and_above_its_door() -> None:
    m = Model()
    ground = m.storey("G", 0)
    m.wall("back", (0, 4000, 0, 6000, 4200, 3000), ground)
    front = m.element("IFCCURTAINWALL", "front", "$", ground, ",$")
    panes = [
        m.element("IFCPLATE", "pane", m.boxes([(x, 0, 0, x + 2000, 100, 3000)]), None, ",$") for x in (0, 2000, 4000)
    ]
    m.add(f"IFCRELAGGREGATES('{m.guid()}',$,$,$,{front},({','.join(panes)}))")
    m.fill(None, "IFCDOOR", "D", [(2500, 20, 0, 3500, 80, 2100)], ground, (1000, 2100))
    (drawing,), _ = drawings_of(m)
    sizes = sorted(
        (words["kind"], round(v["width_mm"]), round(v["sill_mm"]), round(v["head_mm"]))
        for c in claims(drawing, "opening")
        for words, v in [(dict(c.words), dict(c.values))]
    )
    assert sizes == [("door", 1000, 0, 2100), ("window", 1000, 2100, 3000), ("window", 2500, 0, 3000),
                     ("window", 2500, 0, 3000)]  # fmt: skip
    assert {dict(c.words)["what"] for c in claims(drawing, "wall")} == {"walls", "curtain"}


def test_storey_with_doors_but_no_space_is_missed_aloud() -> None:
    m = house()
    attic = m.storey("Attic", 6000.0)
    wall = m.wall("a", (0, 0, 6000, 8000, 300, 8500), attic)
    hole = m.hole((1000, 0, 6000, 1900, 300, 8000), wall)
    m.fill(hole, "IFCDOOR", "D7", [(1000, 100, 6000, 1900, 150, 8000)], attic, (900, 2000))
    drawings, findings = drawings_of(m)
    assert len(drawings) == 2
    (told,) = [f for f in findings if f.code == "storey-without-spaces"]
    assert (told.severity, "“Attic”" in f"{told.text} {told.evidence}") == ("error", True)


def test_space_made_of_spaces_counts_by_its_parts_only_where_they_have_shapes() -> None:
    m = Model()
    ground = m.storey("G", 0)
    flat = m.space("F", "Flat", m.extruded((0, 0, 0, 6000, 4000, 2500)), ground)
    room = m.space("1", "Room", m.extruded((0, 0, 0, 3000, 4000, 2500)), None)
    m.add(f"IFCRELAGGREGATES('{m.guid()}',$,$,$,{flat},({room}))")
    hall = m.space("H", "Hall", m.extruded((7000, 0, 0, 9000, 4000, 2500)), ground)
    zone = m.space("Z", "Zone", "$", None)
    m.add(f"IFCRELAGGREGATES('{m.guid()}',$,$,$,{hall},({zone}))")
    (drawing,), findings = drawings_of(m)
    made = {dict(c.words)["number"]: dict(c.words)["made"] for c in claims(drawing, "space")}
    assert made == {"F": "whole", "1": "part", "H": ""}
    assert "space-without-shape" not in codes(findings)


@pytest.mark.parametrize("schema", ["IFC2X3", "IFC4", "IFC4X3"])
def test_stars_for_what_is_not_set_change_nothing(schema: str) -> None:
    usual = house(schema).text()
    head, data = usual.split("DATA;")
    starred = head + "DATA;" + data.replace(",$", ",*").replace("($", "(*").replace("'Kitchen'", "'Kitchen, * (*)'")
    assert starred.count("*") > usual.count("*") + 100
    told = lambda share, what: None  # noqa: E731
    (ground, upper), findings = model_drawings(starred.encode(), "house.ifc", "", told)
    (sound, sound_upper), _ = model_drawings(usual.encode(), "house.ifc", "", told)
    assert [c.ring for c in claims(ground, "opening")] == [c.ring for c in claims(sound, "opening")]
    assert len(claims(ground, "opening")) == 3
    assert upper.claims == sound_upper.claims
    assert named(ground, "space", "name", "Kitchen, * (*)").ring == named(sound, "space", "name", "Kitchen").ring
    assert codes(findings) == ["unit-decided"]


def test_an_empty_storey_just_above_a_floor_takes_no_openings_from_it() -> None:
    (sound, _), _ = drawings_of(house())
    model = house()
    model.storey("Finished floor", 100.0)
    model.storey("Slab", 500.0)
    (ground, _), findings = drawings_of(model)
    assert [c.ring for c in claims(ground, "opening")] == [c.ring for c in claims(sound, "opening")]
    assert len(claims(ground, "opening")) == 3
    assert "storeys-empty" in codes(findings)


def test_an_older_schema_is_read_and_told() -> None:
    text = house("IFC2X3").text()
    drawings, findings = model_drawings(
        text.replace("'IFC2X3'", "'IFC2X_FINAL'").encode(), "house.ifc", "", lambda share, what: None
    )
    assert len(claims(drawings[0], "opening")) == 3
    assert codes(findings) == ["schema-older", "unit-decided"]


def test_openings_below_all_storeys_with_rooms_are_left_out_and_told() -> None:
    model = house()
    cellar = model.storey("Cellar", -2600.0)
    wall = model.wall("cellar wall", (0, 0, -2600, 8000, 300, -100), cellar)
    model.hole((1000, 0, -1500, 2200, 300, -500), wall)
    (ground, _), findings = drawings_of(model)
    assert len(claims(ground, "opening")) == 3
    assert [f.evidence for f in findings if f.code == "openings-below-storeys"] == ["Openings: 1."]


@pytest.mark.parametrize("schema", ["IFC2X3", "IFC4"])
def test_door_says_how_it_works_or_its_type_does_and_where_its_axes_lie(schema: str) -> None:
    m = house(schema)
    south, ground = (
        f"#{next(k for k, line in enumerate(m.lines, 1) if line.startswith(cls) and name in line)}"
        for cls, name in (("IFCWALL", "'south'"), ("IFCBUILDINGSTOREY", "'Ground'"))
    )
    for name, x in (("D3", 0), ("D4", 5000)):
        hole = m.hole((x, 0, 0, x + 900, 300, 2040), south)
        m.fill(hole, "IFCDOOR", name, [(x, 0, 0, x + 900, 60, 2040)], ground, (900, 2040), "SINGLE_SWING_LEFT")
    claim = named(drawings_of(m)[0][0], "opening", "name", "D3")
    assert dict(claim.words)["operation"] == "SINGLE_SWING_LEFT"
    values = dict(claim.values)
    assert [values[key] for key in ("axis_x", "axis_y", "opens_x", "opens_y")] == pytest.approx([1.0, 0.0, 0.0, 1.0])
    # all stand in the place of the whole: what lies far from it says nothing of how this door hangs
    far = dict(named(drawings_of(m)[0][0], "opening", "name", "D4").values)
    assert far.keys() & {"axis_x", "axis_y", "opens_x", "opens_y"} == set()


def test_true_north_is_claimed_where_the_model_says_it() -> None:
    model = house("IFC4", "mm")
    assert all(not claims(drawing, "north") for drawing in drawings_of(model)[0])
    # 30° clockwise from up: x = sin 30°, y = cos 30°, which is 60° anticlockwise from the right
    north = model.add("IFCDIRECTION((0.5,0.8660254))")
    at = next(k for k, line in enumerate(model.lines) if "IFCGEOMETRICREPRESENTATIONCONTEXT(" in line)
    model.lines[at] = model.lines[at].replace(",$)", f",{north})")
    for drawing in drawings_of(model)[0]:
        assert north_claimed(drawing) == pytest.approx(60.0, abs=1e-4)
