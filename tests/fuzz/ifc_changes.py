"""IFC models changed entity by entity and argument by argument."""

from __future__ import annotations

import random
import re

from extremes import FACTORS, WORDS, bytes_changed, how_many, like, number

_NUMBER = re.compile(r"(?<![#\w'.])-?\d+\.\d*(?:E[-+]?\d+)?")
_REFERENCE = re.compile(r"#\d+")
_STRING = re.compile(r"'(?:[^']|'')*'")
_ENUM = re.compile(r"\.[A-Z_0-9]+\.")
_POINT = re.compile(r"(=\s*IFCCARTESIANPOINT\(\()([^)]*)(\))", re.IGNORECASE)
PREFIXES = ("EXA", "PETA", "GIGA", "KILO", "HECTO", "DECA", "DECI", "CENTI", "MILLI", "MICRO", "ATTO", "NONE")
ESCAPES = ("\\X\\80", "\\X2\\D800\\X0\\", "\\X2\\0000\\X0\\", "\\S\\", "\\X4\\0010FFFF\\X0\\", "\\P", "\\X2\\")
CLASSES = (
    "IFCWALL", "IFCSPACE", "IFCDOOR", "IFCWINDOW", "IFCSLAB", "IFCCOLUMN", "IFCBUILDINGSTOREY", "IFCSIUNIT",
    "IFCCARTESIANPOINT", "IFCDIRECTION", "IFCOPENINGELEMENT", "IFCLOCALPLACEMENT", "IFCPOLYLOOP",
)  # fmt: skip


def changed(data: bytes, rng: random.Random) -> bytes:
    """One to four changes, the end mark kept so that the file passes for whole; now and then bytes too."""
    lines = data.decode("utf-8", "surrogateescape").split("\n")
    try:
        first = lines.index("DATA;") + 1
    except ValueError:
        first = next((i for i, line in enumerate(lines) if line.startswith("#")), 0)
    last = next((i for i in range(len(lines) - 1, first, -1) if lines[i].startswith("ENDSEC")), len(lines))
    head, body, tail = lines[:first], lines[first:last], lines[last:]
    for _ in range(how_many(rng)):
        if body:
            rng.choice(CHANGES)(body, rng)
    if rng.random() < 0.05:
        head = [line.replace("IFC4", rng.choice(["IFC2X3", "IFC4X3", "IFC9", ""])) for line in head]
    made = "\n".join([*head, *body, *tail]).encode("utf-8", "surrogateescape")
    return bytes_changed(made, rng) if rng.random() < 0.1 else made


def _replaced(body: list[str], rng: random.Random, what: re.Pattern[str], by: str) -> None:
    """One find of the pattern in some line becomes something else."""
    for _ in range(20):
        k = rng.randrange(len(body))
        found = list(what.finditer(body[k]))
        if found:
            m = rng.choice(found)
            body[k] = body[k][: m.start()] + by + body[k][m.end() :]
            return


def _step_number(text: str) -> str:
    return text.replace("e", ".E" if "." not in text else "E") if "e" in text else text


def change_number(body: list[str], rng: random.Random) -> None:
    for _ in range(20):
        k = rng.randrange(len(body))
        found = list(_NUMBER.finditer(body[k]))
        if found:
            m = rng.choice(found)
            body[k] = body[k][: m.start()] + _step_number(like(float(m[0]), rng)) + body[k][m.end() :]
            return


def change_reference(body: list[str], rng: random.Random) -> None:
    """To another entity, to nothing, or to the entity itself."""
    k = rng.randrange(len(body))
    own = body[k].split("=")[0].strip()
    other = rng.choice(body).split("=")[0].strip()
    found = list(_REFERENCE.finditer(body[k]))[1:]
    if found:
        m = rng.choice(found)
        by = rng.choice([own, other, other, "#99999999", "#0", "$", "*"])
        body[k] = body[k][: m.start()] + by + body[k][m.end() :]


def change_string(body: list[str], rng: random.Random) -> None:
    word = rng.choice([*WORDS, *ESCAPES, "\udcfc\udce9"]).replace("'", "''").replace("\n", " ")
    _replaced(body, rng, _STRING, f"'{word}'")


def change_enum(body: list[str], rng: random.Random) -> None:
    _replaced(body, rng, _ENUM, rng.choice([".T.", ".F.", ".U.", ".NOTDEFINED.", "$", f".{rng.choice(PREFIXES)}."]))


def change_argument(body: list[str], rng: random.Random) -> None:
    k = rng.randrange(len(body))
    if "(" in body[k]:
        head, rest = body[k].split("(", 1)
        parts = rest.split(",")
        i = rng.randrange(len(parts))
        tail = parts[i][len(parts[i].rstrip(");")) :]
        parts[i] = rng.choice(["$", "*", "()", "(())", "''", "#1", ".T.", number(rng)]) + tail
        if rng.random() < 0.2:
            del parts[i]
        body[k] = head + "(" + ",".join(parts)


def change_unit(body: list[str], rng: random.Random) -> None:
    for k, line in enumerate(body):
        if "LENGTHUNIT" in line and "IFCSIUNIT" in line.upper():
            prefix = rng.choice([*(f".{p}." for p in PREFIXES), "$"])
            body[k] = re.sub(r"(LENGTHUNIT\.\s*,)[^,]*", rf"\g<1>{prefix}", line)
        elif "IFCMEASUREWITHUNIT" in line.upper() and rng.random() < 0.5:
            body[k] = re.sub(r"\d+\.\d*", lambda m: _step_number(number(rng)), line, count=1)


def change_class(body: list[str], rng: random.Random) -> None:
    k = rng.randrange(len(body))
    body[k] = re.sub(r"=\s*\w+\(", f"={rng.choice(CLASSES)}(", body[k], count=1)


def scale_points(body: list[str], rng: random.Random) -> None:
    """All points times one factor."""
    factor = rng.choice(FACTORS)

    def scaled(m: re.Match[str]) -> str:
        try:
            values = [_step_number(repr(float(v) * factor)) for v in m[2].split(",")]
        except ValueError:
            return m[0]
        return m[1] + ",".join(values) + m[3]

    body[:] = [_POINT.sub(scaled, line) for line in body]


def delete(body: list[str], rng: random.Random) -> None:
    del body[rng.randrange(len(body))]


def double(body: list[str], rng: random.Random) -> None:
    body.insert(rng.randrange(len(body)), rng.choice(body))


def copies(body: list[str], rng: random.Random) -> None:
    """Many more of one entity under new numbers, as its neighbours."""
    line = rng.choice(body)
    if line.startswith("#") and "=" in line:
        rest = line.split("=", 1)[1]
        body += [f"#{5_000_000 + rng.randrange(10_000_000)}={rest}" for _ in range(rng.choice([2, 50, 2000]))]


def swap(body: list[str], rng: random.Random) -> None:
    j, k = rng.randrange(len(body)), rng.randrange(len(body))
    body[j], body[k] = body[k], body[j]


def swap_heads(body: list[str], rng: random.Random) -> None:
    """Two entities change their numbers, so that all references to them point to the other."""
    j, k = rng.randrange(len(body)), rng.randrange(len(body))
    if "=" in body[j] and "=" in body[k]:
        (a, x), (b, y) = body[j].split("=", 1), body[k].split("=", 1)
        body[j], body[k] = f"{a}={y}", f"{b}={x}"


CHANGES = (
    *(change_number,) * 6, *(change_reference,) * 4, *(change_string,) * 2, *(change_enum,) * 2,
    *(change_argument,) * 3, change_unit, change_class, scale_points, *(delete,) * 2, double, copies, swap,
    swap_heads,
)  # fmt: skip
