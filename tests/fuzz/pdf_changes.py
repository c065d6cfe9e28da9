"""PDF files changed in their content streams, token by token, and in their dictionaries."""

from __future__ import annotations

import random
import re
import zlib

from extremes import FACTORS, bytes_changed, how_many, like, number

_STREAM = re.compile(rb"<<((?:(?!endobj).)*?)>>\s*stream\r?\n(.*?)\r?\nendstream", re.DOTALL)
_TOKEN_NUMBER = re.compile(rb"(?<![\w./#])-?\d*\.?\d+(?![\w./])")
_REFERENCE = re.compile(rb"\d+ 0 R")
_DICTIONARY = re.compile(rb"/(MediaBox|CropBox|Rotate|UserUnit|BBox|Matrix|Length|Count|Kids|Rect|Size|Width|Height)")
OPERATORS = (
    b"m", b"l", b"c", b"v", b"y", b"h", b"re", b"S", b"s", b"f", b"f*", b"B", b"n", b"W n", b"q", b"Q", b"cm",
    b"Do", b"w", b"d", b"BT", b"ET", b"Tf", b"Td", b"Tj", b"TJ", b"BMC", b"EMC", b"sh", b"gs", b"cs", b"scn",
)  # fmt: skip
MOST_LINES = 20_000


def changed(data: bytes, rng: random.Random) -> bytes:
    """One to four changes in unpacked streams or in the objects; now and then bytes too."""
    data = unpacked(data)
    for _ in range(how_many(rng)):
        data = rng.choice(CHANGES)(data, rng)
    return bytes_changed(data, rng) if rng.random() < 0.15 else data


def unpacked(data: bytes) -> bytes:
    """The file with its packed streams plain; the reader makes its own table of objects."""

    def plain(m: re.Match[bytes]) -> bytes:
        entries, body = m[1], m[2]
        if b"/FlateDecode" not in entries or b"/ASCII85" in entries or b"/ObjStm" in entries or b"/XRef" in entries:
            return m[0]
        try:
            body = zlib.decompress(body)
        except zlib.error:
            return m[0]
        entries = re.sub(rb"/Filter\s*(\[[^\]]*\]|/\w+)", b"", entries)
        entries = re.sub(rb"/Length\s+\d+(\s+0\s+R)?", b"/Length %d" % len(body), entries)
        return b"<<" + entries + b">>\nstream\n" + body + b"\nendstream"

    return _STREAM.sub(plain, data)


def _in_content(data: bytes, rng: random.Random, change: object) -> bytes:
    """One stream with drawing in it, changed; ``change``: bytes and random to bytes."""
    streams = [m for m in _STREAM.finditer(data) if re.search(rb"\b(re|l|c|S|f|Do)\b", m[2][:4000])]
    if not streams:
        return bytes_changed(data, rng)
    m = rng.choice(streams)
    body = change(m[2], rng)  # type: ignore[operator]
    entries = re.sub(rb"/Length\s+\d+", b"/Length %d" % len(body), m[1])
    return data[: m.start()] + b"<<" + entries + b">>\nstream\n" + body + b"\nendstream" + data[m.end() :]


def content_number(data: bytes, rng: random.Random) -> bytes:
    return _in_content(data, rng, _number)


def _number(body: bytes, rng: random.Random) -> bytes:
    for _ in range(rng.choice([1, 1, 3, 20])):
        found = list(_TOKEN_NUMBER.finditer(body, rng.randrange(max(1, len(body)))))[:50]
        if found:
            m = rng.choice(found)
            body = body[: m.start()] + like(float(m[0]), rng).encode() + body[m.end() :]
    return body


def content_operator(data: bytes, rng: random.Random) -> bytes:
    return _in_content(data, rng, _operator)


def _operator(body: bytes, rng: random.Random) -> bytes:
    lines = body.split(b"\n") if body.count(b"\n") > 5 else re.split(rb"(?<=\b[a-zA-Z]) ", body)
    k = rng.randrange(len(lines))
    kind = rng.randrange(5)
    if kind == 0:
        del lines[k]
    elif kind == 1:
        lines[k:k] = lines[k : k + rng.randint(1, 30)] * rng.choice([1, 3, 100])
    elif kind == 2:
        j = rng.randrange(len(lines))
        lines[j], lines[k] = lines[k], lines[j]
    elif kind == 3:
        lines.insert(k, b" ".join([number(rng).encode() for _ in range(rng.randrange(7))] + [rng.choice(OPERATORS)]))
    else:
        lines[k] = re.sub(rb"[a-zA-Z*]+\s*$", rng.choice(OPERATORS), lines[k])
    return b"\n".join(lines)


def content_scale(data: bytes, rng: random.Random) -> bytes:
    """All of a stream through a matrix: tiny, huge, flat or turned."""
    k, flat = rng.choice(FACTORS), rng.choice([1.0, 0.0, 1e-30])
    matrix = f"q {k!r} 0 {rng.choice([0, 1])} {k * flat!r} {number(rng)} 0 cm\n".encode()
    return _in_content(data, rng, lambda body, _: matrix + body + b"\nQ")


def bomb(data: bytes, rng: random.Random) -> bytes:
    return _in_content(data, rng, _bomb)


def _bomb(body: bytes, rng: random.Random) -> bytes:
    """Hatches, curves, one long path or boxes in boxes, as many as a small file can hold."""
    count = rng.choice([200, 3000, MOST_LINES])
    kind = rng.randrange(5)
    if kind == 0:
        more = [b"%.2f 0 m %.2f 800 l S 0 %.2f m 800 %.2f l S" % (x, x, x, x) for x in _spread(count)]
    elif kind == 1:
        more = [b"%.2f 10 m 900 -900 -900 900 %.2f 500 c S" % (x, x) for x in _spread(count)]
    elif kind == 2:
        more = [b"0 0 m", *(b"%.2f %d l" % (x, 700 * (k % 2)) for k, x in enumerate(_spread(count))), b"S"]
    elif kind == 3:
        more = [b"%.3f %.3f 300 300 re W n" % (x / 800, x / 800) for x in _spread(min(count, 3000))]
    else:
        more = [b"%.2f %.2f 3 3 re f" % (x, 800 - x) for x in _spread(count)]
    return body + b"\n" + b"\n".join(more)


def _spread(count: int) -> list[float]:
    return [800.0 * k / count for k in range(count)]


def dictionary_number(data: bytes, rng: random.Random) -> bytes:
    found = list(_DICTIONARY.finditer(data))
    if not found:
        return data
    m = rng.choice(found)
    numbers = list(_TOKEN_NUMBER.finditer(data, m.end(), m.end() + 80))[:6]
    if not numbers:
        return data
    n = rng.choice(numbers)
    return data[: n.start()] + rng.choice([number(rng), like(float(n[0]), rng)]).encode() + data[n.end() :]


def reference(data: bytes, rng: random.Random) -> bytes:
    """To another object, to nothing or round in a circle."""
    found = list(_REFERENCE.finditer(data))
    if not found:
        return data
    m = rng.choice(found)
    by = rng.choice([b"%d 0 R" % rng.randrange(12), b"99999 0 R", b"null", rng.choice(found)[0]])
    return data[: m.start()] + by + data[m.end() :]


def delete_object(data: bytes, rng: random.Random) -> bytes:
    objects = list(re.finditer(rb"\d+ 0 obj.*?endobj", data, re.DOTALL))
    if not objects:
        return data
    m = rng.choice(objects)
    return data[: m.start()] + (m[0] * 2 if rng.random() < 0.3 else b"") + data[m.end() :]


CHANGES = (
    *(content_number,) * 5, *(content_operator,) * 4, content_scale, bomb, *(dictionary_number,) * 3,
    *(reference,) * 2, delete_object,
)  # fmt: skip
