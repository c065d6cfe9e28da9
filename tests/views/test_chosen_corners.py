"""What is said of chosen corners and which are chosen together, in a room of which every corner is known."""

from __future__ import annotations

from takeoff.measure import Memory
from takeoff.plan.model import CornerPick, Job, Opening, Reveal, Room, Side, Storey, Strip, WallTreatment
from takeoff.views.board import State, stand
from takeoff.views.chosen_coats import corner_group, corners_view

L_SHAPE = ((0, 0), (5000, 0), (5000, 2000), (3000, 2000), (3000, 4000), (0, 4000))


def state(picks: tuple[CornerPick, ...] = (), bare: int | None = None, part: int | None = None) -> State:
    """An L-shaped room, 2.40 m high, with a window of 1.20 × 1.20 m whose sill is not coated."""
    strip, bare_sill = Strip(depth_mm=150), Strip(depth_mm=150, coat=False)
    reveal = Reveal(start=strip, end=strip, head=strip, sill=bare_sill)
    window = Opening(id="w", kind="window", room="R", side="s0", offset_mm=1000, width_mm=1200, sill_mm=900,
                     head_mm=2100, reveal=reveal)  # fmt: skip
    treated = {bare: WallTreatment(coat=False), part: WallTreatment(start_mm=600)}
    outline = tuple(Side(id=f"s{k}", x_mm=x, y_mm=y, treatment=treated.get(k)) for k, (x, y) in enumerate(L_SHAPE))
    room = Room(id="R", name="Hall", outline=outline, corners=picks)
    return stand(Job(storeys=(Storey(id="g", rooms=(room,), openings=(window,)),)), Memory())


def lengths(of: State, group: str) -> list[float]:
    edges = {e.id: e for e in of.takeoff.rooms[0].edges}
    return sorted(round(edges[name].length_m, 3) for _, name in corner_group(of, ["R"], group))


def test_groups_hold_the_corners_that_their_names_say() -> None:
    of = state()
    # two jambs and the head round the window, and the one free corner of the L
    assert lengths(of, "opening") == [1.2, 1.2, 1.2]
    assert lengths(of, "room") == [2.4]
    assert lengths(of, "external") == [1.2, 1.2, 1.2, 2.4]
    # coat ends along the sill and at the feet of both jambs
    assert lengths(of, "coat_edge") == [0.15, 0.15, 1.2]
    # five inner corners of walls, six ceiling edges, two corners of jamb and head
    assert lengths(of, "internal") == sorted([2.4] * 5 + [5.0, 2.0, 2.0, 2.0, 3.0, 4.0] + [0.15, 0.15])


def test_one_free_corner_is_told_with_its_length_and_profile() -> None:
    of = state()
    said = corners_view(of, corner_group(of, ["R"], "room"))
    assert said is not None
    assert (said.title, said.about, said.count) == ("External corner of walls", "2.40 m, square profile", 1)
    assert (said.has_bead, said.bead, said.has_finish, said.is_picked) == (True, "new", False, False)


def test_corners_of_several_kinds_are_told_kind_by_kind() -> None:
    of = state()
    said = corners_view(of, corner_group(of, ["R"], "external"))
    assert said is not None
    assert said.title == "4 corners"
    assert sorted(said.about.splitlines()) == [
        "1 × External corner of walls, 2.40 m",
        "3 × External corner round an opening, 3.60 m",
    ]


def test_open_ends_of_coat_have_a_finish_and_no_bead() -> None:
    of = state(part=0)
    said = corners_view(of, corner_group(of, ["R"], "open"))
    assert said is not None
    assert (said.title, said.about) == ("Open stop edge", "2.40 m")
    assert (said.has_bead, said.has_finish, said.bead, said.finish) == (False, True, None, "feather")


def test_coat_against_the_board_of_a_sill_has_no_finish() -> None:
    of = state()
    assert corner_group(of, ["R"], "open") == ()
    said = corners_view(of, corner_group(of, ["R"], "coat_edge"))
    assert said is not None
    assert said.title == "3 × Stop edge against what is kept or masked"
    assert (said.has_bead, said.has_finish, said.bead, said.finish) == (False, False, None, None)


def test_a_pick_shows_and_two_kinds_of_bead_together_show_none() -> None:
    ((_, corner),) = corner_group(state(), ["R"], "room")
    of = state((CornerPick(corner=corner, bead="existing"),))
    one = corners_view(of, (("R", corner),))
    both = corners_view(of, corner_group(of, ["R"], "external"))
    assert one is not None
    assert both is not None
    assert (one.bead, one.is_picked) == ("existing", True)
    assert (both.bead, both.is_picked) == (None, True)


def test_corners_that_are_gone_are_not_told() -> None:
    assert corners_view(state(), (("R", "gone"),)) is None
