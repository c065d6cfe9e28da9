"""Jobs as JSON changed field by field, and containers changed part by part."""

from __future__ import annotations

import io
import json
import random
import re
import struct
import zipfile
from typing import Any

from extremes import NUMBERS, WORDS, bytes_changed, how_many

Place = tuple[Any, Any]
"""A list or an object and the index or key in it."""
MOST_COPIES = 2000
JOB = "job.json"
_RAW = re.compile(r'"\u0001([^"]*)"')
"""A number as it is to be written, since no value of Python's stands for 1e400 or a NaN."""


def changed(data: bytes, rng: random.Random) -> bytes:
    """One to four changes of fields; now and then of the text as such."""
    try:
        tree = json.loads(data)
    except ValueError:
        return bytes_changed(data, rng)
    for _ in range(how_many(rng)):
        places = list(walked(tree))
        if places:
            rng.choice(CHANGES)(tree, rng.choice(places), rng)
    text = _RAW.sub(lambda m: m[1], json.dumps(tree, ensure_ascii=rng.random() < 0.5))
    kind = rng.random()
    if kind < 0.05:
        text = re.sub(r'"id":', '"id": "twice", "id":', text, count=rng.choice([1, 5]))
    made = text.encode(rng.choice(["utf-16", "utf-8-sig"]) if kind > 0.97 else "utf-8", "surrogatepass")
    return bytes_changed(made, rng) if rng.random() < 0.1 else made


def walked(node: Any) -> list[Place]:
    """All places below a node."""
    found: list[Place] = []
    keys = list(node) if isinstance(node, dict) else range(len(node)) if isinstance(node, list) else ()
    for key in keys:
        found.append((node, key))
        found += walked(node[key])
    return found


def value(rng: random.Random) -> Any:
    kind = rng.randrange(6)
    if kind < 3:
        return "\u0001" + rng.choice([*NUMBERS, "NaN", "-Infinity", "1E+2"]).replace("nan", "NaN").replace(
            "inf", "1e999"
        )
    if kind == 3:
        return rng.choice(WORDS)
    return rng.choice([None, True, False, [], {}, [[]], [0, 0], "0", -1, 2**70])


def change_value(tree: Any, at: Place, rng: random.Random) -> None:
    del tree
    node, key = at
    old = node[key]
    if isinstance(old, int | float) and not isinstance(old, bool) and rng.random() < 0.7:
        node[key] = rng.choice(
            [old * 1e3, old * 1e6, -old, old + 1e-9, old * 1e-320, old * 1e300, 0, 1e20, -1e308, value(rng)]
        )
        if isinstance(node[key], float) and (node[key] != node[key] or abs(node[key]) == float("inf")):
            node[key] = "\u00011e308"
    elif isinstance(old, str) and rng.random() < 0.5:
        node[key] = rng.choice(WORDS)
    else:
        node[key] = value(rng)


def delete(tree: Any, at: Place, rng: random.Random) -> None:
    del tree, rng
    del at[0][at[1]]


def double(tree: Any, at: Place, rng: random.Random) -> None:
    """An element of a list once more, or very often."""
    del tree
    node, key = at
    if isinstance(node, list):
        node[key:key] = [node[key]] * rng.choice([1, 1, 1, 20, MOST_COPIES])


def copy_here(tree: Any, at: Place, rng: random.Random) -> None:
    """What stands somewhere else: ids of other things, values of another kind, a tree in itself."""
    node, key = at
    other, where = rng.choice(list(walked(tree)))
    node[key] = json.loads(json.dumps(other[where]))


def swap(tree: Any, at: Place, rng: random.Random) -> None:
    """Two of one list change places: a vertex turned round, a room in another storey."""
    del tree
    node, key = at
    if isinstance(node, list):
        other = rng.randrange(len(node))
        node[key], node[other] = node[other], node[key]


def rename(tree: Any, at: Place, rng: random.Random) -> None:
    del tree
    node, key = at
    if isinstance(node, dict):
        node[rng.choice([key + "s", key.upper(), "x", "", "id", "type", "kind"])] = node.pop(key)


def nest(tree: Any, at: Place, rng: random.Random) -> None:
    del tree
    node, key = at
    for _ in range(rng.choice([1, 3, 500])):
        node[key] = [node[key]]


CHANGES = (*(change_value,) * 8, *(delete,) * 2, double, *(copy_here,) * 2, swap, rename, nest)


def container_changed(data: bytes, rng: random.Random) -> bytes:
    """Parts of a container changed, lost, doubled or renamed, with sound checksums; now and then bytes."""
    if rng.random() < 0.3:
        return bytes_changed(data, rng)
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        parts = [(i.filename, archive.read(i)) for i in archive.infolist()]
    for _ in range(how_many(rng)):
        k = rng.randrange(len(parts)) if parts else 0
        kind = rng.randrange(7)
        if not parts:
            break
        name, body = parts[k]
        if kind < 3:
            parts[k] = (name, _part_changed(name, body, rng))
        elif kind == 3:
            del parts[k]
        elif kind == 4:
            parts.append((rng.choice([name, name + "x", "../" + name, "pictures/" + "0" * 64 + ".jpg"]), body))
        elif kind == 5:
            j = rng.randrange(len(parts))
            parts[k], parts[j] = (name, parts[j][1]), (parts[j][0], body)
        else:
            parts = [(n, changed(b, rng) if n == JOB else b) for n, b in parts]
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", rng.choice([zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED])) as archive:
        for name, body in parts:
            archive.writestr(zipfile.ZipInfo(name), body)
    made = out.getvalue()
    return bytes_changed(made, rng) if rng.random() < 0.1 else made


def _part_changed(name: str, body: bytes, rng: random.Random) -> bytes:
    if name.endswith(".json") and rng.random() < 0.8:
        return changed(body, rng)
    if name.endswith(".npy") and rng.random() < 0.8:
        return _array_changed(body, rng)
    if rng.random() < 0.1:
        return bytes(rng.choice([0, 1, 10**6, 8 * 10**7]))
    return bytes_changed(body, rng)


def _array_changed(body: bytes, rng: random.Random) -> bytes:
    """The header of an array: its kind, its order, its shape; or its numbers."""
    if body[:6] != b"\x93NUMPY" or len(body) < 10:
        return bytes_changed(body, rng)
    (size,) = struct.unpack_from("<H", body, 8)
    head, rest = body[10 : 10 + size].decode("latin-1"), body[10 + size :]
    kind = rng.randrange(6)
    if kind == 0:
        head = re.sub(
            r"'descr': '[^']*'", f"'descr': '{rng.choice(['<f8', '>f8', '|O', '<f4', '<i8', '|V9', 'x'])}'", head
        )
    elif kind == 1:
        head = re.sub(r"\([^)]*\)", rng.choice(["()", "(0,)", "(3, 5)", "(-1, 4)", "(99999999999, 4)", "(1e9,)"]), head)
    elif kind == 2:
        head = head.replace("False", rng.choice(["True", "None", "0", "1+1"]))
    elif kind == 3:
        at = rng.randrange(len(head))
        head = head[:at] + rng.choice("({[]})'\",\\\n#0") + head[at + 1 :]
    elif kind == 4 and len(rest) >= 8:
        at = 8 * rng.randrange(len(rest) // 8)
        number = rng.choice([0.0, 1e-320, 1e308, -1e20, float("nan"), float("inf"), 12.5])
        rest = rest[:at] + struct.pack("<d", number) + rest[at + 8 :]
    else:
        rest = bytes_changed(rest, rng)
    text = head.encode("latin-1", "replace")
    return body[:8] + struct.pack("<H", len(text)) + text + rest
