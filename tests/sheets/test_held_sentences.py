"""What the first page and the schedule say of rooms that are partly coated or stand several times."""

from __future__ import annotations

from decimal import Decimal

import msgspec
import pytest
from test_bill_table import job, sheets
from test_held_prices import bare, with_room

from takeoff.errors import Finding, Where
from takeoff.measure import measure
from takeoff.measure.takeoff import BeadPiece, Dim, Edge, Takeoff
from takeoff.plan.model import Exclusion, Field, Job, Plane, Region, Room, Side, Strip, WallTreatment
from takeoff.sheets.first_lines import assumed_text, height_effect, to_check_text, to_confirm_text
from takeoff.sheets.printed_figures import room_groups
from takeoff.sheets.sheet_document import build
from takeoff.sheets.wall_names import place_words, wall_letters

replace = msgspec.structs.replace


def tiled(of: Job) -> Job:
    """1.00 m² of tiles on the first wall, clear of its windows."""
    tiles = Exclusion(id="t", outline=((3000, 0, 0), (4000, 0, 0), (4000, 1000, 0), (3000, 1000, 0)), what="tiles")
    outline = of.storeys[0].rooms[0].outline
    return with_room(of, outline=(replace(outline[0], treatment=WallTreatment(exclusions=(tiles,))), *outline[1:]))


def line(of: Job, label: str) -> str:
    return next(line.text for line in sheets(of).lines if line.label == label)


def test_net_walls_of_the_schedule_are_less_openings_tiles_and_what_is_bare() -> None:
    # 33.71 net without tiles; the bare wall of 10.00 m² has a window of 2.56 m²
    (row,) = sheets(tiled(job())).storeys[0].schedule.rows
    assert row[1] == Decimal("33.71") - Decimal("1.00")
    (row,) = sheets(bare(tiled(job()))).storeys[0].schedule.rows
    assert row[1] == Decimal("33.71") - Decimal("1.00") - Decimal("7.44")


@pytest.mark.parametrize("times", [1, 3])
def test_what_is_left_bare_and_behind_tiles_is_told_for_all_alike_rooms(times: int) -> None:
    text = line(bare(tiled(job(times=times))), "Not coated")
    walls, tiles = times * Decimal("7.44"), times * Decimal("1.00")
    assert text.startswith(
        f"{walls} m² of wall not shown as coated on the plan; {tiles} m² behind tiles, shown as kept;"
    )


def test_window_sills_are_named_only_where_one_is_bare() -> None:
    assert "sills" not in line(job(), "Not coated")
    storey = job().storeys[0]
    window = storey.openings[0]
    sill = replace(window, reveal=replace(window.reveal, sill=Strip(depth_mm=200, coat=False)))
    one_bare = replace(job(), storeys=(replace(storey, openings=(sill, *storey.openings[1:])),))
    assert line(one_bare, "Not coated").startswith("Window sills; ")


def test_errors_and_checks_are_counted_apart_for_the_team_and_for_the_client() -> None:
    findings = tuple(Finding(f"f{k}", kind, "Look.") for k, kind in enumerate(("error", "check", "error", "note")))
    nothing = Takeoff((), {}, (), ())
    assert to_check_text(nothing, findings) == "2 findings to fix before these figures can be used; 1 finding to check."
    assert to_confirm_text(nothing, findings, {}, lambda *_: "") == (
        "2 points to settle before these figures can be used; 1 point of the measuring is still checked on site."
    )


def effect(of: Job, source: str) -> float:
    of = replace(of, storeys=(replace(of.storeys[0], height_source=source),))
    return height_effect(of, measure(of))


def test_an_assumed_height_counts_in_rooms_that_follow_their_storey_alone() -> None:
    assert effect(job(), "assumed") == pytest.approx(18.0 * 0.1)
    assert [effect(job(), source) for source in ("typed", "figured", "site")] == [0, 0, 0]
    own = with_room(job(), ceiling=Field(planes=(Plane(z_mm=2500),)))
    assert effect(own, "assumed") == 0


def test_assumed_heads_of_doors_and_of_windows_are_counted_apart() -> None:
    storey = job().storeys[0]  # three windows, two doors
    guessed = tuple(replace(o, head_source="assumed", sill_source="typed") for o in storey.openings)
    of = replace(job(), storeys=(replace(storey, openings=guessed),))
    assert assumed_text(of, measure(of)) == "Sill or head of 3 windows; heads of 2 doors."


def test_walls_after_z_have_two_letters() -> None:
    sides = tuple(Side(id=f"s{k}", x_mm=k, y_mm=k * k) for k in range(54))
    letters = wall_letters(Room(id="R", outline=sides))
    assert [letters[f"s{k}"] for k in (0, 25, 26, 27, 51, 52, 53)] == ["A", "Z", "AA", "AB", "AZ", "BA", "BB"]


def test_the_underside_of_a_boxing_is_its_soffit_and_of_a_dormer_its_ceiling() -> None:
    ring = ((0, 0, 0), (1000, 0, 0), (1000, 500, 0), (0, 500, 0))
    boxing = Region(id="b", op="lower", outline=ring, planes=(Plane(z_mm=2200),), what="boxing")
    dormer = replace(boxing, id="d", op="raise", planes=(Plane(z_mm=2800),), what="dormer")
    of = with_room(job(), ceiling=Field(planes=(Plane(z_mm=2500),), regions=(boxing, dormer)))
    words = place_words(of.storeys[0].rooms[0], ())
    assert (words("b.face"), words("d.face"), words("b.drop1")) == ("boxing soffit", "dormer ceiling", "boxing side")


def lines_of(quantity: str, *dims: Dim, **given: object) -> list[tuple[str, Decimal]]:
    """What is printed of a quantity of the job's room, with these lines in place of its own."""
    room = measure(job()).rooms[0]
    others = tuple(d for d in room.dims if d.quantity != quantity)
    changed = replace(room, dims=(*others, *dims), **{quantity: sum(d.product for d in dims)} | given)
    return [(line.text, line.result) for line in room_groups(changed)[quantity].lines]


def test_what_is_taken_off_never_melts_into_a_line_of_the_same_size() -> None:
    thrice = Dim("floor_m2", 3, (2.0, 3.0), 18.0, "part")
    less = Dim("floor_m2", -1, (2.0, 3.0), -6.0, "part")
    assert lines_of("floor_m2", thrice, less) == [
        ("3 × 2.000 × 3.000", Decimal("18.00")),
        ("−1 × 2.000 × 3.000", Decimal("-6.00")),
    ]
    assert lines_of("floor_m2", thrice, thrice) == [("6 × 2.000 × 3.000", Decimal("36.00"))]


def test_bead_of_one_length_is_gathered_by_the_kind_of_its_corners() -> None:
    edges = tuple(
        Edge(name, "external", kind, 1.2, 270.0, (), bead="new")
        for name, kind in (("a", "room"), ("b", "opening"), ("c", "opening"))
    )
    pieces = tuple(BeadPiece(1200.0, "wide" if edge.kind == "opening" else "square", edge.id) for edge in edges)
    found = lines_of("bead_m", edges=edges, bead_pieces=pieces, bead_m=3.6)
    assert found == [("1.200", Decimal("1.20")), ("2 × 1.200", Decimal("2.40"))]


def test_a_place_of_which_the_same_is_said_twice_is_named_once() -> None:
    findings = tuple(Finding(code, "check", "Look here.", Where(room="R")) for code in ("one", "other"))
    tables = build(job(), measure(job()), findings=findings).findings
    rows = next(table for table in tables if table.id == "findings").rows
    assert ("to check", "Look here.", "R") in rows
