"""From two drawings that nobody has seen before to a scope that can be sent: one guided pass by clicks and keys, each
of them counted."""

from __future__ import annotations

from pathlib import Path

import ezdxf
import msgspec
import pytest
from ezdxf.addons.importer import Importer
from guided import CONTROL, Guided
from PySide6.QtCore import Qt

from takeoff.cli.main import run as command
from takeoff.findings import GRAVE
from takeoff.measure.outline_runs import open_runs
from takeoff.services.written.preview import opened_pdf
from takeoff.storage.jobs import load as load_job
from takeoff.supply.systems import encoded, load, save_own
from takeoff.views.system_rows import copy_under

pytestmark = pytest.mark.usefixtures("own_folder")

SAMPLES = Path(__file__).parents[2] / "sample_plans"
HOUSE = Path(__file__).parents[3] / "shared" / "plans" / "house"
MOST = 40
"""Actions for both storeys of a stranger's house together."""
MOST_NAMED = 24
"""For plans that name their rooms and show what their openings are."""


@pytest.fixture
def user(window, told) -> Guided:
    return Guided(window, told)


def own_product():
    """The contractor's own product: the figures do not matter here, but that they are his."""
    system = copy_under(load("demo-lime-foam"), "Own coat, my own", ("demo-lime-foam",))
    return msgspec.structs.replace(system, demo=False)


def words_of(pdf: Path) -> str:
    with opened_pdf(pdf.read_bytes()) as found:
        return " ".join(" ".join(page.get_textpage().get_text_bounded().split()) for page in found)


def open_questions(window) -> list[str]:
    window.document.consider_now()
    return [f.text for f in window.document.findings if GRAVE[f.severity] < GRAVE["assumed"]]


def holds_as_sent(user: Guided, folder: Path) -> None:
    """Nothing is left open, the scope is no draft, and what is assumed is said on it."""
    assert open_questions(user.window) == []
    scope = words_of(folder / "scope.pdf")
    assert "To confirm" not in scope
    assert "DRAFT" not in scope.upper()
    assert "invented" not in scope
    assert "Assumed" in scope
    assert "Windows 0.90 m above the floor" in scope or "sill" in scope.lower()


@pytest.mark.skipif(not HOUSE.is_dir(), reason="../shared/plans is not beside this checkout")
def test_house_nobody_has_seen_becomes_a_scope_without_an_open_question(user: Guided, told, tmp_path) -> None:
    save_own(own_product())
    user.opens(HOUSE / "ground.dxf", HOUSE / "upper.dxf")
    job = user.window.document.job
    assert [len(storey.rooms) for storey in job.storeys] == [8, 6]
    user.heights("2.6", "2.5")
    ground = ("Porch", "WC", "Bathroom", "Kitchen", "Hall", "Stairs", "Bedroom 1", "Living room")
    upper = ("Balcony room", "Bedroom 2", "Bedroom 3", "Landing", "Bedroom 4", "Study")
    user.names({"Ground": ground, "Upper": upper})
    page = user.kinds()
    # two of the proposals are looked at and said one by one, the rest is as it is proposed
    assert page.current.title == "5 windows, 0.62 to 0.68 m wide"
    user.key("five are windows", Qt.Key.Key_W)
    assert page.current.title == "Window, 1.44 m wide"
    user.key("one is a window", Qt.Key.Key_Return)
    user.all_as_proposed()
    panel = user.beyond()
    assert panel.current.parts != ()
    user.key("the first is outside on both storeys", Qt.Key.Key_1)
    user.all_outside()
    assert open_runs(user.window.document.job) == ()
    assert user.step == "stairs"
    user.key("the ceiling does not go on over the stair", Qt.Key.Key_2)
    assert user.step == "looks"
    assert "5.9 m²" in user.page.about.text()
    user.key("the printed area is rounded otherwise", Qt.Key.Key_1)
    assert user.step == "customs"
    user.key("skirting, coving and architraves come off", Qt.Key.Key_Return)
    assert user.step == "substrates"
    user.key("plaster and plasterboard", Qt.Key.Key_Return)
    assert user.step == "product"
    user.key("orders with the own product", Qt.Key.Key_1)
    user.writes(tmp_path / "sheets")
    assert told.sentences[-1].startswith("Exported to")
    holds_as_sent(user, tmp_path / "sheets")
    job = user.window.document.job
    assert [room.name for room in sorted(job.storeys[0].rooms, key=lambda r: ground.index(r.name))] == list(ground)
    assert [storey.height_mm for storey in job.storeys] == [2600.0, 2500.0]
    assert all(o.confidence == "sure" for storey in job.storeys for o in storey.openings)
    assert len(user.done) <= MOST, user.done


def test_terrace_of_two_drawings_becomes_a_scope_without_an_open_question(user: Guided, told, tmp_path) -> None:
    system = tmp_path / "own.json"
    system.write_bytes(encoded(own_product()))
    user.opens(SAMPLES / "terrace_ground.dxf", SAMPLES / "terrace_first.dxf")
    user.heights("2.55", "2.45")
    # rooms and openings are told by the drawings: the walls come at once
    panel = user.beyond()
    # front and back are outside, the two sides are the neighbours'; each on both storeys at once
    for words, key in (("lower", Qt.Key.Key_1), ("right", Qt.Key.Key_4), ("upper", Qt.Key.Key_1)):
        assert panel.current.words.lower().startswith(words)
        assert len(panel.current.parts) == 2
        user.key(f"{words} run", key)
    user.key("the last is the neighbour's too", Qt.Key.Key_4)
    assert user.step == "stairs"
    user.key("the ceiling goes on over the stair but for its well", Qt.Key.Key_2)
    assert user.step == "customs"
    user.key("skirting, coving and architraves come off", Qt.Key.Key_Return)
    assert user.step == "substrates"
    user.key("plaster and plasterboard", Qt.Key.Key_Return)
    assert user.step == "product"
    user.key("wants to open his own", Qt.Key.Key_1)
    page = user.window.sides.page("system")
    user.chooses(system)
    user.click("opens a file", page.buttons["open"])
    user.click("uses it in this job", page.buttons["use"])
    user.writes(tmp_path / "sheets")
    holds_as_sent(user, tmp_path / "sheets")
    behind = {
        (stretch.cls, stretch.claimed)
        for room in user.window.document.state.takeoff.rooms
        for face in room.faces
        for stretch in face.behind
        if stretch.cls in ("outside", "neighbour")
    }
    assert behind == {("outside", False), ("neighbour", False)}
    assert len(user.done) <= MOST_NAMED, user.done


def test_what_is_put_off_stays_open_and_is_said(user: Guided, told, tmp_path) -> None:
    user.opens(SAMPLES / "terrace_ground.dxf", SAMPLES / "terrace_first.dxf")
    for _ in range(2):
        user.key("keeps the height as assumed", Qt.Key.Key_Return)
    user.beyond()
    user.key("goes back to the steps", Qt.Key.Key_F6)
    assert user.step == "beyond"
    user.key("not now", Qt.Key.Key_2)
    user.key("leaves the stair open", Qt.Key.Key_4)
    user.key("leaves skirting, coving and architraves open", Qt.Key.Key_4)
    user.key("leaves substrates open", Qt.Key.Key_3)
    user.key("goes on with the invented example", Qt.Key.Key_2)
    assert user.step == ""
    # the runs of the storey whose coat rests on them, the stair, and the invented product
    assert len(open_questions(user.window)) == 3
    assert "To check, and said on the sheets: 3." in user.page.hint.text()
    user.writes(tmp_path / "sheets")
    scope = words_of(tmp_path / "sheets" / "scope.pdf")
    assert "To confirm" in scope
    assert "outside only as drawn" in scope
    assert "Walls 2.40 m high" in scope


def test_left_with_escape_or_later_the_pass_comes_back_where_it_was(user: Guided) -> None:
    user.opens(SAMPLES / "terrace_ground.dxf", SAMPLES / "terrace_first.dxf")
    user.heights("2.55")
    user.click("later", user.page.leave)
    assert user.window.sides.current == "card"
    user.key("takes it up again", Qt.Key.Key_F6)
    assert user.step == "heights"
    assert user.page.about.text().startswith("FIRST FLOOR")
    user.heights("2.45")
    assert [s.height_mm for s in user.window.document.job.storeys] == [2550.0, 2450.0]
    # an answer that is taken back is asked again
    user.key("to the steps", Qt.Key.Key_F6)
    user.key("undoes", Qt.Key.Key_Z, CONTROL)
    assert user.window.document.job.storeys[1].height_source == "assumed"
    assert user.step == "heights"


def side_by_side(folder: Path) -> Path:
    """Both plans of the terrace on one sheet, 16 m apart, without the titles that name their storeys."""
    sheet, other = (ezdxf.readfile(SAMPLES / name) for name in ("terrace_ground.dxf", "terrace_first.dxf"))
    for one in (sheet, other):
        for text in one.modelspace().query("TEXT"):
            if "FLOOR" in text.dxf.text:
                one.modelspace().delete_entity(text)
    own = {entity.dxf.handle for entity in sheet.modelspace()}
    importer = Importer(other, sheet)
    importer.import_modelspace()
    importer.finalize()
    for entity in sheet.modelspace():
        if entity.dxf.handle not in own:
            entity.translate(16000.0, 0.0, 0.0)
    path = folder / "both.dxf"
    sheet.saveas(path)
    return path


def test_two_plans_on_one_sheet_are_two_storeys_of_the_pass(user: Guided, told, tmp_path) -> None:
    told.paths.append(side_by_side(tmp_path))
    user.key("opens a drawing", Qt.Key.Key_O, CONTROL)
    assert user.page.about.text() == "Storey 1: floor to ceiling"
    user.heights("2.6")
    assert user.page.about.text() == "Storey 2: floor to ceiling"
    user.heights("2.5")
    job = user.window.document.job
    assert [(s.height_mm, len(s.rooms)) for s in job.storeys] == [(2600.0, 5), (2500.0, 5)]
    user.beyond()
    user.all_outside()
    user.key("the ceiling goes on", Qt.Key.Key_1)
    assert user.step == "looks"
    assert "Several plans lie apart on this sheet" in user.page.about.text()


def test_command_takes_two_plans_on_one_sheet_for_two_storeys(tmp_path) -> None:
    out = tmp_path / "job.json"
    assert command(["job", str(side_by_side(tmp_path)), "-o", str(out)]) == 0
    job = load_job(out.read_bytes(), "job.json")
    assert [[room.name for room in storey.rooms] for storey in job.storeys] == [
        ["Kitchen", "Hall", "WC", "Store", "Living room"],
        ["Bathroom", "Bedroom 2", "Landing", "Bedroom 1", "Study"],
    ]
