"""What the coat goes on: said of a face, a room or the job; assumed with its effect as long as nobody says."""

from __future__ import annotations

from pathlib import Path

import pytest

from takeoff.cli.main import run as command
from takeoff.measure import Memory, measure
from takeoff.plan import edits
from takeoff.plan.model import Job, Room, Side, Storey
from takeoff.storage.jobs import dump, load
from takeoff.supply.materials import materials
from takeoff.supply.substrate_findings import substrates_assumed
from takeoff.supply.systems import DEMO
from takeoff.supply.systems import load as load_system

TERRACE = Path(__file__).parents[2] / "sample_plans" / "terrace_ground.dxf"


def job() -> Job:
    """A room 5 × 4 × 2.4 m: walls 43.2 m², ceiling 20 m²."""
    points = ((0, 0), (5000, 0), (5000, 4000), (0, 4000))
    outline = tuple(Side(id=f"s{n}", x_mm=x, y_mm=y) for n, (x, y) in enumerate(points))
    return Job(storeys=(Storey(id="g", rooms=(Room(id="r1", outline=outline),)),))


def areas(of: Job) -> dict[str, float]:
    found: dict[str, float] = {}
    for room in measure(of).rooms:
        for surface in room.surfaces:
            found[surface.substrate] = round(found.get(surface.substrate, 0.0) + surface.net_m2, 6)
    return found


def test_what_nobody_says_measures_as_before() -> None:
    assert areas(job()) == {"plaster": 43.2, "plasterboard": 20.0}


def test_face_goes_before_room_and_room_before_job() -> None:
    said = edits.set_job_substrates(job(), walls="block", ceilings="concrete")
    assert areas(said) == {"block": 43.2, "concrete": 20.0}
    said = edits.set_room_substrates(said, ("r1",), walls="brick")
    assert areas(said) == {"brick": 43.2, "concrete": 20.0}
    said = edits.set_face_substrate(said, {"r1": ("s0",)}, "concrete")
    # the wall of 5.0 × 2.4 = 12 by its own word
    assert areas(said) == {"brick": 31.2, "concrete": 32.0}
    # as one measures it by its pieces too, where a custom makes the room no plain one
    assert areas(edits.set_custom(said, "skirting", 100))["brick"] == pytest.approx(31.2 - 13 * 0.1)
    assert areas(edits.set_face_substrate(said, {"r1": ("s0",)}, ""))["brick"] == 43.2


def test_memory_measures_anew_when_the_job_says_what_walls_are() -> None:
    memory = Memory()
    memory.measure(job())
    surfaces = memory.measure(edits.set_job_substrates(job(), walls="brick")).rooms[0].surfaces
    assert {s.substrate for s in surfaces if s.kind == "wall"} == {"brick"}


def test_what_is_assumed_is_told_with_what_the_thirstiest_would_take() -> None:
    system = load_system(DEMO)
    of = {one.id: one for one in system.substrates}
    told = [f.text for f in substrates_assumed(job(), measure(job()), system)]
    each = system.base.per_m2 * (1 + system.base.loss_percent / 100)
    more = 43.2 * each * (of["brick"].base_coats - of["plaster"].base_coats)
    assert told[0] == (
        f"43.2 m² of walls are assumed to be old plaster: brickwork would take {more:.1f} L more of the base coat."
    )
    assert told[1].startswith("20.0 m² of ceilings are assumed to be plasterboard")
    base = [next(line.need for line in materials(measure(j), system).lines if line.id == "base") for j in (
        edits.set_job_substrates(job(), walls="plaster"), edits.set_job_substrates(job(), walls="brick"))]  # fmt: skip
    assert base[1] - base[0] == pytest.approx(more)


def test_answers_take_away_what_is_told() -> None:
    system = load_system(DEMO)
    accepted = edits.accept_substrates(job())
    assert (accepted.wall_substrate, accepted.ceiling_substrate) == ("plaster", "plasterboard")
    assert tuple(substrates_assumed(accepted, measure(accepted), system)) == ()
    by_room = edits.set_room_substrates(job(), ("r1",), walls="brick")
    assert [f.text.split()[3] for f in substrates_assumed(by_room, measure(by_room), system)] == ["ceilings"]


def test_job_of_before_that_names_its_substrates_measures_as_before() -> None:
    said = edits.set_room_substrates(job(), ("r1",), walls="plaster", ceiling="plasterboard")
    assert areas(load(dump(said), "job.json")) == areas(job())


def test_command_says_substrates_and_refuses_one_that_the_system_does_not_know(tmp_path, capsys) -> None:
    options = ("--substrate", "walls=brick", "--substrate", "ceilings=plasterboard", "--substrate", "Kitchen=concrete")
    assert command(["measure", str(TERRACE), *options, "-o", str(tmp_path)]) == 0
    capsys.readouterr()
    written = load((tmp_path / "job.json").read_bytes(), "job.json")
    assert (written.wall_substrate, written.ceiling_substrate) == ("brick", "plasterboard")
    kitchen = next(room for room in written.storeys[0].rooms if room.name == "Kitchen")
    assert kitchen.walls.substrate == "concrete"
    assert command(["measure", str(TERRACE), "--substrate", "walls=straw"]) == 2
    assert capsys.readouterr().err.startswith("takeoff: The coating system knows no substrate “straw”: use one of ")
