"""What the sheets say: every printed total is the sum of the printed lines, and times count once."""

from __future__ import annotations

from decimal import Decimal

import invented_job as job_of
import msgspec
import pytest

from takeoff.errors import Finding, OutputError, Where
from takeoff.measure import measure
from takeoff.measure.takeoff import BeadPiece, Dim, Edge, Takeoff
from takeoff.plan.job_drawings import FIRST, with_drawing
from takeoff.plan.model import CeilingTreatment, DrawingRef, Exclusion, Job, Storey, WallTreatment
from takeoff.sheets.first_lines import assumed_text, coated_text, height_effect, not_coated_text
from takeoff.sheets.printed_figures import room_figures, room_groups, working_text
from takeoff.sheets.sheet_document import build
from takeoff.sheets.sheet_values import Document, Table
from takeoff.sheets.wall_names import opening_names, place_words, wall_names
from takeoff.supply.materials import materials
from takeoff.supply.systems import load


def cottage() -> Document:
    job, takeoff = job_of.cottage()
    return build(job, takeoff, job_of.order(), job_of.FINDINGS, date="25 November 2026")


def column(table: Table, title: str) -> list[Decimal]:
    at = [c.title for c in table.columns].index(title)
    return [row[at] for row in table.rows]  # type: ignore[misc]


def row_named(table: Table, name: str) -> tuple[object, ...]:
    return next(row for row in (*table.rows, table.total or ()) if row and row[0] == name)


def checked_on_a_calculator(table: Table) -> int:
    """Adds up every quantity of a dims table; the number of totals that were looked at."""
    looked, lines = 0, Decimal(0)
    for k, (_, working, result, _) in enumerate(table.rows):
        if table.kind_of(k) == "line":
            lines += result  # type: ignore[operator]
        elif working is None:
            assert result == lines
            looked, lines = looked + 1, Decimal(0)
        else:
            assert lines == 0
    return looked


def test_room_schedule_adds_up_downwards_and_across() -> None:
    table = cottage().storeys[0].schedule
    assert [c.title for c in table.columns] == ["Room", "Walls m²", "Ceiling m²", "Reveals m²", "To coat m²"]
    for k in range(1, 5):
        assert table.total is not None
        assert table.total[k] == sum(row[k] for row in table.rows)  # type: ignore[misc]
    assert all(row[1] + row[2] + row[3] == row[4] for row in table.rows)  # type: ignore[operator]


def test_living_room_by_hand() -> None:
    """5.0 × 3.9 × 2.4; windows 1.8 and 1.2 by 1.2, a door 0.8 × 2.04; one wall coated by 0.6 only."""
    row = row_named(cottage().storeys[0].schedule, "Living")
    # 12.00 + 9.36 + 12.00 + 9.36 − 2.16 − 1.44 − 1.63 − 3.3 × 2.4
    assert row[1:] == (Decimal("29.57"), Decimal("19.50"), Decimal("1.40"), Decimal("50.47"))


def test_headline_is_the_schedule_rounded_once_more() -> None:
    document = cottage()
    assert document.headlines[0].figure == "181.2 m² to coat"
    assert document.storeys[0].schedule.total[-1] == Decimal("181.16")  # type: ignore[index]
    assert document.headlines[2].figure == "11 packs of coat"


def test_every_total_of_the_dims_is_the_sum_of_its_printed_lines() -> None:
    looked = sum(checked_on_a_calculator(table) for table in cottage().dims)
    assert looked > 15


def test_dims_of_measured_rooms_with_slopes_and_arcs_add_up_too() -> None:
    job = Job(storeys=(job_of.cottage_storey(), job_of.upper_storey()))
    document = build(job, measure(job))
    assert sum(checked_on_a_calculator(table) for table in document.dims) > 30
    assert not any("rest" in str(row) for table in document.dims for row in table.rows)


def test_dims_end_with_what_the_schedule_shows() -> None:
    job = Job(storeys=(job_of.cottage_storey(), job_of.upper_storey()))
    document = build(job, measure(job))
    shown = [row[-1] for sheet in document.storeys for row in sheet.schedule.rows]
    worked = [row_named(table, "To coat m²")[2] for table in document.dims]
    assert worked == shown


def test_rooms_that_stand_twice_and_storeys_three_times_count_once_each() -> None:
    storey = job_of.terrace_of(2)
    storey = msgspec.structs.replace(storey, times=3)
    job, takeoff = job_of.cottage((storey,))
    document = build(job, takeoff)
    first, second = (row[-1] for row in document.storeys[0].schedule.rows)
    assert document.storeys[0].schedule.rows[0][1] == 2
    assert document.storeys[0].schedule.total[-1] == 2 * first + second  # type: ignore[index, operator]
    assert document.summary is not None
    assert document.summary.total[-1] == 3 * (2 * first + second)  # type: ignore[index, operator]


def test_times_are_not_multiplied_twice_when_the_takeoff_already_has_the_storeys() -> None:
    storey = msgspec.structs.replace(job_of.terrace_of(2), times=3)
    job = Job(storeys=(storey,))
    takeoff = measure(job)
    document = build(job, takeoff)
    assert float(document.summary.total[-1]) == pytest.approx(takeoff.totals["coated_m2"], abs=0.1)  # type: ignore


def test_new_bead_on_every_arris_prints_as_the_external_corners_do() -> None:
    job = Job(storeys=(job_of.cottage_storey(),))
    document = build(job, measure(job))
    corners = next(table for table in document.totals if table.id == "corners")
    assert row_named(corners, "New corner bead")[1] == row_named(corners, "External corners")[1]


def test_corners_of_two_kinds_that_share_an_id_are_told_apart_by_their_length() -> None:
    takeoff = job_of.cottage()[1]
    room = msgspec.structs.replace(
        takeoff.rooms[0],
        external_corner_m=2.1,
        external_corner_by_kind_m={"room": 0.9, "opening": 1.2},
        bead_m=2.1,
        edges=(
            Edge("a|b", "external", "room", 0.9, 270.0, ("a", "b"), bead="new"),
            Edge("a|b", "external", "opening", 1.2, 270.0, ("a", "b"), bead="new"),
            Edge("a|b", "internal", "wall_wall", 0.3, 90.0, ("a", "b")),
        ),
        bead_pieces=(BeadPiece(900.0, "square", "a|b"), BeadPiece(1200.0, "square", "a|b")),
        dims=(
            Dim("external_corner_m", 1, (0.9,), 0.9, "corner", "a|b"),
            Dim("external_corner_m", 1, (1.2,), 1.2, "opening", "a|b"),
        ),
    )
    figures = room_figures(room)
    assert figures["external_corner_by_kind_m.room"] == Decimal("0.90")
    assert figures["external_corner_by_kind_m.opening"] == Decimal("1.20")
    groups = room_groups(room)
    assert [line.text for line in groups["external_corner_by_kind_m.room"].lines] == ["0.900"]


def test_deductions_are_negative_and_nought_has_no_sign() -> None:
    areas = cottage().totals[0]
    assert row_named(areas, "Openings in walls")[1] == Decimal("-15.78")
    assert str(row_named(areas, "Masked (tiles, units) and kept (skirting, coving)")[1]) == "0.00"
    assert sum(row[1] for row in areas.rows[1:5]) == row_named(areas, "Walls, net")[1]  # type: ignore[misc]


def test_working_can_be_typed_as_it_stands() -> None:
    assert working_text(Dim("wall_gross_m2", 2, (3.45, 2.4), 16.56, "wall")) == "2 × 3.450 × 2.400"
    assert working_text(Dim("openings_m2", -1, (0.9, 2.04), -1.836, "door")) == "−1 × 0.900 × 2.040"
    assert working_text(Dim("floor_edge_m", 1, (1.2,), 1.2, "floor")) == "1.200"
    times = [working_text(Dim("floor_edge_m", t, (), t, "floor")) for t in (1, -2, 0.5, 10, 0)]
    assert times == ["1", "−2", "0.5", "10", "0"]
    # 4 × 1.131 is 4.524, printed 4.52; the corner is 1.1314 m long and four are 4.5256, printed 4.53
    assert working_text(Dim("bead_m", 4, (1.1314,), 4.5256, "bead")) == "4 × 1.1314"


def test_figure_that_its_dims_do_not_explain_shows_the_rest() -> None:
    room = job_of.cottage()[1].rooms[0]
    short = msgspec.structs.replace(room, dims=tuple(d for d in room.dims if d.what != "jambs"))
    table = build(job_of.cottage()[0], msgspec.structs.replace(job_of.cottage()[1], rooms=(short,))).dims[0]
    assert any(row[3] == "rest, not broken down" for row in table.rows)
    assert room_figures(short)["reveal_m2"] == pytest.approx(Decimal("1.40"), abs=Decimal("0.01"))


def test_figure_that_is_no_number_never_reaches_a_sheet() -> None:
    job, takeoff = job_of.cottage()
    broken = msgspec.structs.replace(takeoff.rooms[0], ceiling_m2=float("nan"))
    with pytest.raises(OutputError, match="not a number"):
        build(job, Takeoff((broken,), {}, (), ()))


def test_assumed_height_says_what_100_mm_more_would_change() -> None:
    """Kitchen, 15.2 m round, with a gap of 1.0 m up to the ceiling: 14.2 × 0.1 m²."""
    storey = job_of.cottage_storey()
    kitchen = next(room for room in storey.rooms if room.id == "kitchen")
    openings = tuple(o for o in storey.openings if o.room == "kitchen")
    job = Job(storeys=(Storey(id="s0", rooms=(kitchen,), openings=openings),))
    assert height_effect(job, measure(job)) == pytest.approx(14.2 * 0.1)
    assert "each 100 mm more or less changes the walls by 1.4 m²" in assumed_text(job, measure(job))


def test_effect_of_height_is_what_measuring_again_gives() -> None:
    storey = job_of.cottage_storey()
    low = Job(storeys=(msgspec.structs.replace(storey, openings=storey.openings[:-1], times=2),))
    high = Job(storeys=(msgspec.structs.replace(low.storeys[0], height_mm=2500),))
    more = measure(high).totals["wall_net_m2"] - measure(low).totals["wall_net_m2"]
    assert height_effect(low, measure(low)) == pytest.approx(more)


def test_height_that_was_given_is_not_called_assumed() -> None:
    storey = msgspec.structs.replace(job_of.upper_storey(), height_source="site", openings=())
    job, takeoff = job_of.cottage((storey,))
    assert assumed_text(job, takeoff) == ""


def test_walls_in_part_are_not_called_all_walls() -> None:
    assert coated_text(job_of.cottage()[1]).startswith("Walls as shown on the plan")
    assert coated_text(job_of.cottage((job_of.upper_storey(),))[1]).startswith("All walls, all ceilings")


def test_finding_about_several_places_stands_once_with_all_of_them() -> None:
    assumptions = next(table for table in cottage().findings if table.id == "assumptions")
    assert row_named(assumptions, "Window sills were not given: 900 mm is taken.")[1] == (
        "Living, window 1; Living, window 2"
    )


def test_unsure_opening_is_listed_with_what_it_would_change() -> None:
    unsure = next(table for table in cottage().findings if table.id == "unsure")
    assert unsure.rows == (("Bathroom and utility, door 1", "to check", Decimal("-1.63"), "a gap without an arc"),)


def test_rooms_of_one_name_are_told_apart() -> None:
    storey = job_of.terrace_of(3)
    rooms = tuple(msgspec.structs.replace(room, name="Store") for room in storey.rooms)
    job, takeoff = job_of.cottage((msgspec.structs.replace(storey, rooms=rooms),))
    names = [row[0] for row in build(job, takeoff).storeys[0].schedule.rows]
    assert names == ["Store", "Store (2)", "Store (3)"]


def test_walls_of_one_size_stand_in_one_line_by_their_letters() -> None:
    table = cottage().dims[0]
    rows = [row[1:] for row in table.rows if row[0] == "Walls, gross m²" and row[3]]
    assert rows == [
        ("2 × 5.000 × 2.400 =", Decimal("24.00"), "walls A, C"),
        ("2 × 3.900 × 2.400 =", Decimal("18.72"), "walls B, D"),
    ]
    assert wall_names(job_of.cottage_storey().rooms[0])["living.b"] == "B right"


def test_places_are_gathered_and_no_id_is_left_in_them() -> None:
    storey = job_of.cottage_storey()
    words = place_words(storey.rooms[0], storey.openings, labels={"hall": "Hall"})
    assert words("living.a|ceiling, living.c|ceiling#2") == "walls A, C to ceiling"
    assert words("living.a|living.b, living.b|living.c") == "wall corners A–B, B–C"
    assert words("living.d|living.a") == "wall A–D corner"
    assert words("living.a|w1.start, living.a|w1.end") == "window 1, both jambs"
    assert words("living.a|w1.head, living.d|w2.head") == "windows 1, 2, head"
    assert words("w1.head|w1.start") == "window 1, corners at the head"
    assert words("d1.beyond.start|living.b") == "door 1 of Hall, right jamb"
    assert words("jamb, window w2") == "jamb, window 2"
    assert words("nobody|knows") == "nobody|knows"


def test_openings_go_by_their_mark_else_by_their_number_in_walking_order() -> None:
    storey = job_of.cottage_storey()
    marked = msgspec.structs.replace(storey.openings[0], mark="W7")
    turned = (*storey.openings[:0:-1], marked)
    names = opening_names(turned, storey.rooms)
    assert [names[key].text for key in ("w1", "w2", "w3", "d2")] == ["window W7", "window 2", "window 1", "door 1"]
    assert [names[key].label for key in ("w1", "w2", "d2")] == ["W7", "w2", "d1"]


def test_bead_says_room_and_place_and_never_an_id() -> None:
    job = Job(storeys=(job_of.cottage_storey(),))
    takeoff = measure(job)
    document = build(job, takeoff, materials(takeoff, load(job.system)))
    lists = [table for table in document.order if table.id.startswith("bead-")]
    places = [row[4] for table in lists for row in table.rows]
    assert "Living, window 1, right jamb" in places
    assert not any(sign in str(place) for place in places for sign in ("|", "#", "living.", "w1"))
    pieces = sum(len(room.bead_pieces) for room in takeoff.rooms)
    assert len(places) == pieces
    materials_table = next(table for table in document.order if table.id == "materials")
    assert materials_table.title == "Materials, Demo lime foam, not a product"


def test_client_and_team_see_the_same_figures_and_their_own_parts() -> None:
    document = cottage()
    client, team = document.seen_by("client"), document.seen_by("team")
    assert client.headlines == team.headlines[:-1]
    assert team.headlines[-1].figure == "11 packs of coat"
    assert client.storeys[0].schedule == team.storeys[0].schedule
    assert (client.totals, client.order, client.dims, client.findings) == ((), (), (), ())
    assert (team.conditions, team.sign) == ((), ())
    assert all((client.conditions, client.sign, team.totals, team.order, team.dims, team.findings))
    client, team = document.for_paper("scope"), document.for_paper("site")
    assert {line.label for line in client.lines} == {"Coated", "Not coated", "Assumed", "To confirm", "Caution"}
    assert {line.label for line in team.lines} == {"Coated", "Not coated", "Assumed", "To check"}
    assert not any(room.letters for room in client.storeys[0].plan.rooms)
    assert all(room.letters for room in team.storeys[0].plan.rooms)
    assert (client.title, team.title) == ("Scope of coating work", "Site sheets")


def test_client_reads_what_an_unsure_opening_would_change_in_words() -> None:
    text = next(line.text for line in cottage().lines if line.label == "To confirm")
    assert "1 opening to confirm (marked ?): Bathroom and utility, door 1; if it is one, −1.63 m² of coat" in text


def test_what_is_not_coated_is_told_with_rooms_and_areas() -> None:
    storey = job_of.cottage_storey()
    bare, tiled, *others = storey.rooms
    tiles = Exclusion(id="x", outline=((0, 0, 0), (1000, 0, 0), (1000, 1000, 0), (0, 1000, 0)), what="tiles")
    nothing = WallTreatment(coat=False)
    rooms = (
        msgspec.structs.replace(bare, walls=nothing, ceiling_treatment=CeilingTreatment(coat=False)),
        msgspec.structs.replace(tiled, walls=WallTreatment(exclusions=(tiles,))),
        msgspec.structs.replace(others[0], ceiling_treatment=CeilingTreatment(coat=False)),
    )
    job = Job(storeys=(msgspec.structs.replace(storey, rooms=rooms, openings=()),))
    labels = {("s0", "living"): "Living", ("s0", "kitchen"): "Kitchen", ("s0", "bedroom"): "Bedroom"}
    text = not_coated_text(job, measure(job), labels)
    assert text.startswith("Living; ceiling of Bedroom; ")
    # Walls of 3.3, 3.9, 0.8, 0.4, 0.3, 0.4, 2.2 and 3.9 m carry tiles up to 1.0 m of their width.
    assert "5.90 m² behind tiles" in text
    assert text.endswith("floors, doors, window frames and glass.")


def test_name_of_a_drawing_file_is_made_readable_and_its_number_shown() -> None:
    job, takeoff = job_of.cottage()
    drawing = DrawingRef(id=FIRST, name="mill_house_2.dxf", number="MH-2", revision="C")
    document = build(with_drawing(msgspec.structs.replace(job, name="mill_house_2"), drawing), takeoff)
    assert document.job == "Mill house 2"
    assert document.reference == "Drawing MH-2, revision C"
    assert document.source.startswith("Measured from drawing MH-2, revision C (mill_house_2.dxf).")


def test_job_without_rooms_says_so() -> None:
    document = build(Job(name="Empty"), Takeoff((), {}, (), ()))
    assert document.headlines[0].figure == "0.0 m² to coat"
    assert document.totals[0].rows == ()
    assert document.totals[0].empty


def test_findings_come_once_even_if_told_twice() -> None:
    job, takeoff = job_of.cottage()
    finding = Finding("a", "check", "Look here.", Where(storey="s0"))
    document = build(job, msgspec.structs.replace(takeoff, findings=(finding,)), findings=(finding,))
    findings = next(table for table in document.findings if table.id == "findings")
    assert findings.rows == (("to check", "Look here.", "Ground floor"),)


def test_cautions_call_nothing_safe_and_promise_no_saving() -> None:
    text = " ".join(line.text for line in cottage().cautions).lower()
    assert "not checked" in text
    assert not any(word in text for word in ("is safe", "energy", "saving"))


def test_regions_are_called_by_what_they_are() -> None:
    storey = job_of.upper_storey()
    studio = storey.rooms[0]
    assert studio.ceiling is not None
    region = msgspec.structs.replace(studio.ceiling.regions[0], what="dormer")
    ceiling = msgspec.structs.replace(studio.ceiling, regions=(region,))
    words = place_words(msgspec.structs.replace(studio, ceiling=ceiling), storey.openings)
    assert words("g1.drop2|studio.a") == "wall A to dormer side"
    assert words("studio.b|u1.start, studio.b") == "wall B; window 1, right jamb"
