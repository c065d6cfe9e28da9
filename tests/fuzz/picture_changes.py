"""Pictures changed in their headers: chunks of PNG, segments of JPEG, entries of TIFF."""

from __future__ import annotations

import random
import struct
import zlib

from extremes import bytes_changed

SIZES = (0, 1, 2, 3, 7, 255, 256, 4096, 14142, 65535, 100_000, 2**31 - 1, 2**31, 2**32 - 1)
TAGS = (
    254, 256, 257, 258, 259, 262, 266, 273, 274, 277, 278, 279, 282, 283, 284, 296, 317, 320, 322, 323, 324,
    325, 338, 339, 34665, 700,
)  # fmt: skip


def changed(data: bytes, rng: random.Random) -> bytes:
    """One to four changes that keep the rest of the structure sound; now and then bytes too."""
    for _ in range(rng.randint(1, 4)):
        if data[:4] == b"\x89PNG":
            data = png(data, rng)
        elif data[:2] == b"\xff\xd8":
            data = jpeg(data, rng)
        elif data[:4] in (b"II*\0", b"MM\0*"):
            data = tiff(data, rng)
    return bytes_changed(data, rng) if rng.random() < 0.25 else data


def chunks(data: bytes) -> list[tuple[bytes, bytes]]:
    """Kind and body of every whole chunk."""
    found, at = [], 8
    while at + 12 <= len(data):
        size = int.from_bytes(data[at : at + 4], "big")
        if at + 12 + size > len(data):
            break
        found.append((data[at + 4 : at + 8], data[at + 8 : at + 8 + size]))
        at += 12 + size
    return found


def png(data: bytes, rng: random.Random) -> bytes:
    parts = chunks(data)
    if not parts:
        return data
    k = rng.randrange(len(parts))
    kind, body = parts[k]
    what = rng.randrange(6)
    if what == 0 and parts[0][0] == b"IHDR":
        header = bytearray(parts[0][1].ljust(13, b"\0"))
        at = rng.choice([0, 4])
        if rng.random() < 0.6:
            header[at : at + 4] = struct.pack(">I", rng.choice(SIZES))
        else:
            header[rng.randrange(8, 13)] = rng.choice([0, 1, 2, 3, 4, 6, 8, 16, 255])
        parts[0] = (b"IHDR", bytes(header))
    elif what == 1:
        del parts[k]
    elif what == 2:
        parts.insert(k, parts[rng.randrange(len(parts))])
    elif what == 3:
        parts[k] = (rng.choice([b"PLTE", b"tRNS", b"eXIf", b"iCCP", b"zTXt", b"pHYs", b"acTL", b"fdAT"]), body)
    elif what == 4:
        packed = rng.choice([zlib.compress(bytes(rng.choice([1, 10**6, 3 * 10**7]))), body[: len(body) // 2], b""])
        parts[k] = (kind, packed)
    else:
        parts[k] = (kind, bytes_changed(body, rng))
    made = b"".join(len(b).to_bytes(4, "big") + t + b + zlib.crc32(t + b).to_bytes(4, "big") for t, b in parts)
    return data[:8] + made


def jpeg(data: bytes, rng: random.Random) -> bytes:
    marks = [i for i in range(len(data) - 4) if data[i] == 0xFF and 0xC0 <= data[i + 1] < 0xFF]
    if not marks:
        return data
    at = rng.choice(marks[:20])
    what = rng.randrange(4)
    if what == 0:
        return data[: at + 2] + struct.pack(">H", rng.choice(SIZES) & 0xFFFF) + data[at + 4 :]
    if what == 1:
        frame = next((i for i in marks if data[i + 1] in (0xC0, 0xC1, 0xC2)), at)
        place = frame + rng.choice([5, 7])
        return data[:place] + struct.pack(">H", rng.choice(SIZES) & 0xFFFF) + data[place + 2 :]
    if what == 2:
        size = int.from_bytes(data[at + 2 : at + 4], "big")
        return data[:at] + data[at : at + 2 + size] * rng.choice([0, 2, 50]) + data[at + 2 + size :]
    return data[: at + 1] + bytes([rng.choice([0xC0, 0xC2, 0xC4, 0xDA, 0xD9, 0xE1, 0xDD])]) + data[at + 2 :]


def tiff(data: bytes, rng: random.Random) -> bytes:
    order = "<" if data[:2] == b"II" else ">"
    (first,) = struct.unpack_from(order + "I", data, 4)
    if first + 2 > len(data):
        return bytes_changed(data, rng)
    (count,) = struct.unpack_from(order + "H", data, first)
    count = min(count, (len(data) - first - 6) // 12)
    if count < 1 or rng.random() < 0.1:
        return data[:4] + struct.pack(order + "I", rng.choice([*SIZES, first])) + data[8:]
    at = first + 2 + 12 * rng.randrange(count)
    tag, kind, number, value = struct.unpack_from(order + "HHII", data, at)
    what = rng.randrange(4)
    if what == 0:
        tag = rng.choice(TAGS)
    elif what == 1:
        kind = rng.randrange(0, 18)
    elif what == 2:
        number = rng.choice(SIZES)
    else:
        value = rng.choice([*SIZES, first, len(data)])
    data = data[:at] + struct.pack(order + "HHII", tag, kind, number, value) + data[at + 12 :]
    if rng.random() < 0.1:
        end = first + 2 + 12 * count
        data = data[:end] + struct.pack(order + "I", first) + data[end + 4 :]
    return data
