"""What can be joined, in words, and how well it fits."""

import pytest

from takeoff.errors import InputError
from takeoff.plan.model import Job, Readings, ReadOpening, ReadSide, RoomId, SetTogether
from takeoff.plan.readings import put_room
from takeoff.views import site_joins


def room(first: float, second: float, opening: ReadOpening) -> Readings:
    return Readings(
        sides=(ReadSide(length_mm=first, openings=(opening,)), ReadSide(length_mm=second), ReadSide(), ReadSide())
    )


DOOR = ReadOpening(from_mm=1000.0, to_mm=1800.0, kind="door")


@pytest.fixture
def storey():
    window = ReadOpening(from_mm=300.0, to_mm=1100.0)
    job = put_room(Job(), None, RoomId("k"), "Kitchen", room(4000.0, 3000.0, DOOR))
    job = put_room(
        job,
        None,
        RoomId("h"),
        "Hall",
        Readings(
            sides=(
                ReadSide(length_mm=5000.0, openings=(window, ReadOpening(from_mm=2000.0, to_mm=2810.0, kind="door"))),
                ReadSide(length_mm=2000.0),
                ReadSide(),
                ReadSide(),
            )
        ),
    )
    return job.storeys[0]


def test_openings_come_before_walls(storey):
    found = site_joins.places(site_joins.room_named(storey, "k"))
    assert [(place.key, place.words) for place in found] == [
        ("s1:0", "Door in A–B, 0.80"),
        ("s1", "Wall A–B, 4.00"),
        ("s2", "Wall B–C, 3.00"),
        ("s3", "Wall C–D, 4.00"),
        ("s4", "Wall D–A, 3.00"),
    ]


def test_the_other_room_offers_what_is_most_alike(storey):
    kitchen, hall = (site_joins.places(site_joins.room_named(storey, name)) for name in ("k", "h"))
    assert site_joins.partner(kitchen[0], hall) == "s1:1"
    assert site_joins.partner(kitchen[1], hall) == "s1"
    assert site_joins.partner(kitchen[1], ()) == ""


def test_joins_and_checks_in_words(storey):
    joined = SetTogether(joins=(site_joins.join_of("k", "s1:0", "h", "s1:1", "0.1"),))
    assert site_joins.join_words(storey, joined.joins[0]) == ("Kitchen, door in A–B = Hall, door in A–B; wall 0.10 m")
    joined = site_joins.with_check(joined, site_joins.check_of("k", "c", "h", "A", "5.02"))
    assert site_joins.check_words(storey, joined.checks[0]) == "Kitchen C to Hall A: 5.02 m"
    fit = site_joins.fit(storey, joined)
    assert fit.fault == ""
    assert fit.lines[0][0] == "opening between Kitchen and Hall"
    assert site_joins.without_check(joined, 0).checks == ()
    assert site_joins.without_join(joined, 0).joins == ()
    assert site_joins.with_join(joined, joined.joins[0]).joins == joined.joins


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (("k", "s1:0", "h", "s1", "0.1"), "opening is joined to an opening"),
        (("k", "s1:0", "h", "s1:1", ""), "thickness"),
        (("k", "", "h", "s1:1", "0.1"), "in both rooms"),
    ],
)
def test_a_join_that_is_not_whole_is_refused(given, words):
    with pytest.raises(InputError, match=words):
        site_joins.join_of(*given)


@pytest.mark.parametrize(
    ("given", "words"),
    [
        (("k", "A", "k", "B", "3"), "two rooms"),
        (("k", "A", "h", "", "3"), "not a corner"),
        (("k", "A", "h", "B", ""), "length"),
    ],
)
def test_a_check_that_is_not_whole_is_refused(given, words):
    with pytest.raises(InputError, match=words):
        site_joins.check_of(*given)


def test_without_joins_it_is_said_what_to_do(storey):
    assert "select a door" in site_joins.fit(storey, SetTogether()).fault
