"""Tables on the terminal: words left, figures right under each other, never wider than the terminal."""

from __future__ import annotations

from decimal import Decimal

from takeoff.cli.summary import text_table
from takeoff.sheets.sheet_values import Column, Table

COLUMNS = (Column("Room"), Column("Walls", "m²", "figure"), Column("Doors", kind="count"))
ROOMS = Table(
    "rooms",
    "Rooms",
    COLUMNS,
    (("Kitchen", Decimal("41.30"), 2), ("WC", Decimal("9.05"), 1)),
    ("Together", Decimal("50.35"), 3),
)


def test_figures_stand_under_each_other_with_their_places() -> None:
    assert text_table(ROOMS, 80).splitlines() == [
        "Rooms",
        "  Room      Walls m²  Doors",
        "  Kitchen      41.30      2",
        "  WC            9.05      1",
        "  -------------------------",
        "  Together     50.35      3",
    ]


def test_long_words_are_cut_and_figures_never() -> None:
    name = "A very long name of a room that goes on and on"
    long = Table("rooms", "Rooms", COLUMNS, ((name, Decimal("123456.78"), 2),))
    lines = text_table(long, 50).splitlines()
    assert max(len(line) for line in lines) <= 50
    assert "…" in lines[2]
    assert "123,456.78" in lines[2]


def test_empty_table_says_what_it_has_to_say() -> None:
    assert text_table(Table("order", "Order", COLUMNS, empty="Nothing to order."), 80) == ("Order\n  Nothing to order.")
    assert text_table(Table("order", "Order", COLUMNS), 80) == ""


def test_groups_and_empty_cells() -> None:
    table = Table("dims", "Dims", COLUMNS, (("Walls",), ("a", None, 1)), kinds=("group", "line"))
    assert text_table(table, 80).splitlines()[2:] == ["  Walls", "  a" + " " * 19 + "1"]
