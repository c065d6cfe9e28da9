"""Numbers that are no room's: sizes that repeat at doors and windows, and those of steps."""

from __future__ import annotations

from takeoff.drawing.model import Drawing, Label, Layer, Linework
from takeoff.recognise.names.placed_words import Placed, placed
from takeoff.recognise.names.plan_words import Named, Words, names_among
from takeoff.recognise.rooms.making import written_in
from takeoff.recognise.walls.layer_roles import guess


def kinds(texts: list[str]) -> dict[str, str]:
    labels = tuple(Label(text, 3000.0 * k, 0.0, 100.0, 0) for k, text in enumerate(texts))
    drawing = Drawing("plan.pdf", (Layer("text"),), Linework(), labels=labels, unit="mm")
    return {w.words.text: w.words.kind for w in placed(drawing, (0.0, 0.0), guess(drawing))}


def test_a_size_that_stands_at_every_door_is_no_number_of_a_room() -> None:
    found = kinds(["0.90", "2.10", "0.90", "2.10", "0.90", "2.10", "1.01", "1.02"])
    assert found == {"0.90": "figure", "2.10": "figure", "1.01": "number", "1.02": "number"}


def test_numbers_without_places_may_repeat_from_storey_to_storey() -> None:
    assert kinds(["1", "2", "1", "2", "1", "2"]) == {"1": "number", "2": "number"}


def numbered(count: int) -> tuple[str, ...]:
    words = [Placed(Words("number", f"{n:02d}"), 300.0 * n, 0.0, n, 100.0, False) for n in range(1, count + 1)]
    return written_in([*words, Placed(Words("name", "Hall"), 0.0, 500.0, 99, 100.0, False)], 12.0).numbers


def test_numbers_of_steps_are_not_the_rooms() -> None:
    assert numbered(2) == ("01", "02")
    assert numbered(12) == ()


def test_words_on_things_name_no_room_that_has_a_name() -> None:
    assert names_among([Named("OVEN"), Named("FRG"), Named("KITCHEN")]) == ("KITCHEN",)
    assert names_among([Named("BED ROOM"), Named("LCD T.V")]) == ("BED ROOM",)
    assert names_among([Named("T.V LOUNGE"), Named("Sala")]) == ("T.V LOUNGE", "Sala")
    assert names_among([Named("Oven")]) == ("Oven",)
