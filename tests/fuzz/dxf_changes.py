"""DXF files changed tag by tag and entity by entity."""

from __future__ import annotations

import random

from extremes import FACTORS, WORDS, bytes_changed, how_many, like, number

Tag = list[str]
"""Group code and value, as written."""
X_CODES = frozenset(range(10, 19))
Y_CODES = frozenset(range(20, 29))
NUMBER_CODES = frozenset((*range(10, 60), *range(140, 148), *range(210, 240)))
COUNT_CODES = frozenset((*range(60, 80), *range(90, 100), *range(170, 180), *range(270, 290)))
NAME_CODES = frozenset((2, 3, 5, 6, 7, 8, 330, 340, 350, 360, 1005))
KINDS = (
    "LINE", "ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE", "VERTEX", "ELLIPSE", "SPLINE", "HATCH", "INSERT",
    "SOLID", "3DFACE", "TEXT", "MTEXT", "DIMENSION", "MLINE", "REGION", "RAY", "ATTRIB", "SEQEND",
)  # fmt: skip
HEADER = ("$INSUNITS", "$MEASUREMENT", "$DIMLFAC", "$DIMSCALE", "$DWGCODEPAGE", "$ACADVER")
MOST_COPIES = 3000
LONG_PATH = 300_000


def changed(data: bytes, rng: random.Random) -> bytes:
    """One to four changes of the structure; now and then bytes too."""
    tags = parsed(data)
    if len(tags) < 20:
        return bytes_changed(data, rng)
    for _ in range(how_many(rng)):
        rng.choice(CHANGES)(tags, rng)
    encoding = rng.choice(["utf-8", "utf-8", "utf-8", "utf-8", "cp1252", "utf-16"])
    text = "".join(f"{code}\n{value}\n" for code, value in tags)
    made = text.encode(encoding, "surrogateescape" if encoding == "utf-8" else "replace")
    return bytes_changed(made, rng) if rng.random() < 0.1 else made


def parsed(data: bytes) -> list[Tag]:
    lines = data.decode("utf-8", "surrogateescape").replace("\r\n", "\n").split("\n")
    return [[lines[i], lines[i + 1]] for i in range(0, len(lines) - 1, 2)]


def code(tag: Tag) -> int:
    try:
        return int(tag[0])
    except ValueError:
        return -1


def section(tags: list[Tag], name: str) -> tuple[int, int]:
    """From the first tag of a section to its end mark; (0, 0) where there is none."""
    for i, tag in enumerate(tags):
        if tag[1] == name and code(tag) == 2 and i and tags[i - 1][1].strip() == "SECTION":
            end = next((k for k in range(i, len(tags)) if tags[k][1].strip() == "ENDSEC"), len(tags))
            return i + 1, end
    return 0, 0


def place(tags: list[Tag], rng: random.Random, codes: frozenset[int]) -> int | None:
    """One tag with a code among these, mostly in the drawing itself."""
    low, high = section(tags, rng.choice(["ENTITIES", "ENTITIES", "ENTITIES", "BLOCKS", "BLOCKS", "TABLES", "HEADER"]))
    there = [i for i in range(low, high) if code(tags[i]) in codes]
    return rng.choice(there) if there else None


def entity(tags: list[Tag], rng: random.Random) -> tuple[int, int]:
    """Where one entity begins and ends."""
    low, high = section(tags, rng.choice(["ENTITIES", "ENTITIES", "BLOCKS"]))
    starts = [i for i in range(low, high) if code(tags[i]) == 0]
    if not starts:
        return 0, 0
    at = rng.randrange(len(starts))
    return starts[at], starts[at + 1] if at + 1 < len(starts) else high


def change_number(tags: list[Tag], rng: random.Random) -> None:
    at = place(tags, rng, NUMBER_CODES)
    if at is not None:
        try:
            tags[at][1] = like(float(tags[at][1]), rng)
        except ValueError:
            tags[at][1] = number(rng)


def change_count(tags: list[Tag], rng: random.Random) -> None:
    at = place(tags, rng, COUNT_CODES)
    if at is not None:
        tags[at][1] = rng.choice(["0", "1", "-1", "7", "64", "255", "32767", "100000", "2000000000", number(rng)])


def change_words(tags: list[Tag], rng: random.Random) -> None:
    at = place(tags, rng, frozenset((1, *NAME_CODES)))
    if at is not None:
        tags[at][1] = rng.choice([rng.choice(WORDS).replace("\n", " "), "\udcfc\udce9 k\udcfcche", rng.choice(tags)[1]])


def change_name(tags: list[Tag], rng: random.Random) -> None:
    """A name becomes another that is there: blocks that hold themselves, layers that are not."""
    at, other = place(tags, rng, NAME_CODES), place(tags, rng, frozenset((2,)))
    if at is not None and other is not None:
        tags[at][1] = tags[other][1]


def delete_tag(tags: list[Tag], rng: random.Random) -> None:
    low, high = entity(tags, rng)
    if high > low:
        del tags[rng.randrange(low, high)]


def double_tag(tags: list[Tag], rng: random.Random) -> None:
    low, high = entity(tags, rng)
    if high > low:
        at = rng.randrange(low, high)
        tags[at:at] = [list(tags[at]) for _ in range(rng.choice([1, 1, 2, 50, 2000]))]


def swap_tags(tags: list[Tag], rng: random.Random) -> None:
    at, other = rng.randrange(len(tags)), rng.randrange(len(tags))
    tags[at][1], tags[other][1] = tags[other][1], tags[at][1]


def delete_entity(tags: list[Tag], rng: random.Random) -> None:
    low, high = entity(tags, rng)
    del tags[low:high]


def copy_entity(tags: list[Tag], rng: random.Random) -> None:
    """The same once more, or very often, each a little aside."""
    low, high = entity(tags, rng)
    block = tags[low:high]
    count = rng.choice([1, 2, 10, 300, MOST_COPIES])
    step = rng.choice([0.0, 0.01, 1.0, 137.0])
    made = []
    for k in range(1, count + 1):
        for c, v in block:
            made.append([c, _shifted(c, v, step * k)])
    tags[high:high] = made


def _shifted(group: str, value: str, by: float) -> str:
    if by and code([group, value]) in X_CODES:
        try:
            return repr(float(value) + by)
        except ValueError:
            return value
    return value


def move_entity(tags: list[Tag], rng: random.Random) -> None:
    low, high = entity(tags, rng)
    block = tags[low:high]
    del tags[low:high]
    at = rng.randrange(len(tags))
    tags[at:at] = block


def change_kind(tags: list[Tag], rng: random.Random) -> None:
    low, high = entity(tags, rng)
    if high > low:
        tags[low][1] = rng.choice(KINDS)


def scale_all(tags: list[Tag], rng: random.Random) -> None:
    """All coordinates times one factor, in x, in y or in both."""
    factor, codes = rng.choice(FACTORS), rng.choice([X_CODES, Y_CODES, X_CODES | Y_CODES])
    for low, high in (section(tags, "ENTITIES"), section(tags, "BLOCKS")):
        for i in range(low, high):
            if code(tags[i]) in codes:
                try:
                    tags[i][1] = repr(float(tags[i][1]) * factor)
                except ValueError:
                    continue


def shift_all(tags: list[Tag], rng: random.Random) -> None:
    by = rng.choice([1e6, 1e9, -1e9, 1e12, 1e15, 0.1])
    low, high = section(tags, "ENTITIES")
    for i in range(low, high):
        tags[i][1] = _shifted(tags[i][0], tags[i][1], by)


def change_unit(tags: list[Tag], rng: random.Random) -> None:
    for i, tag in enumerate(tags[:-1]):
        if tag[1].strip() in HEADER and rng.random() < 0.5:
            tags[i + 1][1] = rng.choice([str(rng.randrange(-2, 40)), number(rng), "ANSI_932", "AC1009", "AC9999"])


def long_path(tags: list[Tag], rng: random.Random) -> None:
    """One polyline of very many vertices: a zigzag, a spiral, or the same point again and again."""
    _, high = section(tags, "ENTITIES")
    if not high:
        return
    count = rng.choice([1000, 20_000, LONG_PATH])
    kind = rng.randrange(3)
    made = [["0", "LWPOLYLINE"], ["8", "0"], ["100", "AcDbEntity"], ["100", "AcDbPolyline"], ["90", str(count)]]
    for k in range(count):
        x, y = ((k * 7.3, (k % 2) * 4000.0), (k % 997 * 11.0, k % 991 * 13.0), (5.0, 5.0))[kind]
        made += [["10", repr(x)], ["20", repr(y)]]
    tags[high:high] = made


def crossing_lines(tags: list[Tag], rng: random.Random) -> None:
    """Lines that cross all the others."""
    _, high = section(tags, "ENTITIES")
    if not high:
        return
    count = rng.choice([50, 1000, 5000])
    made = []
    for k in range(count):
        ends = (("10", 0.0), ("20", 9000.0 * k / count), ("11", 9000.0), ("21", 9000.0 * (count - k) / count))
        made += [["0", "LINE"], ["8", "0"], ["100", "AcDbEntity"], ["100", "AcDbLine"]]
        made += [[c, repr(v)] for c, v in ends]
    tags[high:high] = made


CHANGES = (
    *(change_number,) * 6, *(change_count,) * 3, *(change_words,) * 2, *(change_name,) * 2, *(delete_tag,) * 2,
    double_tag, swap_tags, *(delete_entity,) * 2, copy_entity, copy_entity, move_entity, change_kind, scale_all,
    shift_all, change_unit, long_path, crossing_lines,
)  # fmt: skip
