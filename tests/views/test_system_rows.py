"""A coating system as rows: everything stands there once, what is typed is checked, copies have names of their own."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from takeoff.errors import InputError
from takeoff.supply.systems import as_copy, load
from takeoff.views.system_rows import copy_under, one_less, one_more, system_rows, with_value

DEMO = load("demo-lime-foam")


def leaves(value: Any, path: tuple[str | int, ...] = ()) -> set[tuple[str | int, ...]]:
    inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else None
    if inside is None:
        return {path}
    return {leaf for key, inner in inside for leaf in leaves(inner, (*path, key))}


def test_every_figure_of_the_file_stands_in_one_row_with_words_of_its_own() -> None:
    rows = [row for row in system_rows(DEMO) if not row.heading]
    paths = [row.path for row in rows]
    assert len(set(paths)) == len(paths)
    assert leaves(as_copy(DEMO)) - set(paths) == {("schema",), ("id",)}
    assert all("_" not in row.words for row in rows)


@pytest.mark.parametrize("id_", ["demo-lime-foam", "demo-coat-b"])
def test_typing_what_stands_there_changes_nothing(id_: str) -> None:
    system = load(id_)
    for row in system_rows(system):
        if not row.heading:
            assert with_value(system, row.path, row.value) == system, row.path


def test_values_are_typed_as_people_write_them() -> None:
    assert with_value(DEMO, ("coat", "thickness_mm"), "1,8").coat.thickness_mm == 1.8
    priced = with_value(DEMO, ("coat", "product", "packs", 0, "price"), "39,90")
    assert priced.coat.product.packs[0].price == Decimal("39.90")
    assert with_value(DEMO, ("demo",), "no").demo is False


@pytest.mark.parametrize(
    ("path", "text", "said"),
    [
        (("coat", "thickness_mm"), "-1", "Thickness when dry"),
        (("coat", "thickness_mm"), "nan", "is not a number"),
        (("coat", "layers"), "1.5", "Layers"),
        (("demo",), "perhaps", "type yes or no"),
        (("currency",), "euros", "Currency"),
        (("coat", "product", "packs", 0, "price"), "", "has a price for some packs only"),
        (("coat", "product", "packs", 0, "price"), "free", "is not a price"),
        (("fallback_substrate",), "marble", "is not among the substrates"),
        (("id",), "other", "cannot be changed"),
        (("nothing", "there"), "1", "does not have this any more"),
    ],
)
def test_what_cannot_be_is_refused_with_its_name(path: tuple[str | int, ...], text: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        with_value(DEMO, path, text)


def test_packs_and_beads_come_and_go() -> None:
    more = one_more(DEMO, ("beads", 0))
    assert [bead.id for bead in more.beads[:2]] == ["square", "square-2"]
    assert one_less(more, ("beads", 1)) == DEMO
    with pytest.raises(InputError, match="What is left"):
        one_less(with_one_pack(), ("coat", "product", "packs", 0))
    with pytest.raises(InputError, match="Select a pack"):
        one_more(DEMO, ("coat", "layers"))


def with_one_pack() -> Any:
    system = DEMO
    while len(system.coat.product.packs) > 1:
        system = one_less(system, ("coat", "product", "packs", 1))
    return system


def test_copy_has_a_name_and_an_id_of_its_own() -> None:
    own = copy_under(DEMO, "Mein Schaum, grob", ("mein-schaum-grob",))
    assert (own.id, own.name) == ("mein-schaum-grob-2", "Mein Schaum, grob")
    assert copy_under(DEMO, "漆喰", ()).id == "own"
