"""Where the figures of a sheet come from, in words: drawings, readings on site, what was assumed."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.language import listed, tr
from takeoff.plan.job_drawings import origin_of
from takeoff.plan.model import DrawingRef, Job, Storey
from takeoff.plan.provenance import room_source
from takeoff.sheets.room_rows import storey_name
from takeoff.sheets.texts import Texts

_MOST_NAMED = 6
"""More rooms than these are counted and not named."""


def source_text(job: Job, labels: dict[tuple[str, str], str], texts: Texts) -> str:
    """Which drawing was measured, storey by storey where they differ, and what was measured on site."""
    said = [storey_source(job, storey, labels, texts) for storey in job.storeys]
    if len(set(said)) > 1:
        alike: dict[str, list[str]] = {}
        for storey, text in zip(job.storeys, said, strict=True):
            alike.setdefault(text, []).append(storey_name(storey, texts))
        text = " ".join(f"{_storeys_named(names)}: {text}" for text, names in alike.items())
    else:
        text = said[0] if said else _of_drawing(job.drawings[0] if job.drawings else None, texts)
    return f"{text} {texts.words['assumed_short']}" if _assumes(job) else text


def origin_text(job: Job, texts: Texts) -> str:
    """The same in short, for the foot of every sheet: the drawings, and how many rooms were measured on site."""
    found: dict[str, None] = {}
    read = 0
    for storey in job.storeys:
        origin = origin_of(job, storey)
        sources = [room_source(job, storey, room) for room in storey.rooms]
        if origin is not None and ("drawing" in sources or not sources):
            found[_drawing_words(origin, texts)] = None
        elif "typed" in sources or "budget" in sources:
            found[texts.words["typed_short"]] = None
        read += sources.count("site")
    parts = list(found)
    if read:
        parts.append(texts.words["read_short_one" if read == 1 else "read_short_many"].format(count=read))
    return f"{texts.words['source']}: {'; '.join(parts)}." if parts else ""


def reference_text(job: Job, texts: Texts) -> str:
    """ "Drawing TH-01, revision A; TH-02"; "" where no drawing has a number."""
    numbered = dict.fromkeys(_revised(ref.number, ref, texts) for ref in job.drawings if ref.number)
    return texts.words["drawing"].format(drawings="; ".join(numbered)) if numbered else ""


def _storeys_named(names: Sequence[str]) -> str:
    """The storeys by name; many are counted."""
    if len(names) > _MOST_NAMED:
        return tr("{count} storeys", count=len(names))
    return listed(list(names))


def storey_source(job: Job, storey: Storey, labels: dict[tuple[str, str], str], texts: Texts) -> str:
    """ "Measured from drawing TH-01, revision A (house.dxf), page 2. Measured on site: Hall." of a storey."""
    sources = {str(room.id): room_source(job, storey, room) for room in storey.rooms}
    parts = []
    if not sources or set(sources.values()) & {"drawing", "typed"}:
        parts.append(_of_drawing(origin_of(job, storey), texts))
    for source in ("site", "budget"):
        rooms = [labels[str(storey.id), room] for room, own in sources.items() if own == source]
        if rooms:
            named = len(rooms) <= _MOST_NAMED and len(rooms) < len(sources)
            if named:
                which = listed(rooms)
            elif len(rooms) == len(sources):
                which = texts.words["all_rooms"]
            else:
                which = texts.words["rooms"].format(count=len(rooms))
            parts.append(texts.words[f"source_{source}"].format(rooms=which))
    return " ".join(parts)


def _of_drawing(origin: DrawingRef | None, texts: Texts) -> str:
    words = texts.words
    return words["measured_from"].format(drawing=_drawing_words(origin, texts)) if origin else words["typed"]


def _drawing_words(origin: DrawingRef, texts: Texts) -> str:
    """ "TH-01, revision A (house.dxf), page 2"."""
    named = _revised(origin.number or origin.name, origin, texts)
    if origin.number and origin.name:
        named = f"{named} ({origin.name})"
    return texts.words["on_page"].format(drawing=named, page=origin.page) if origin.page else named


def _revised(name: str, drawing: DrawingRef, texts: Texts) -> str:
    """ "TH-01, revision A"."""
    return texts.words["revision"].format(drawing=name, revision=drawing.revision) if drawing.revision else name


def _assumes(job: Job) -> bool:
    return any(
        storey.height_source == "assumed"
        or any("assumed" in (o.sill_source, o.head_source, o.width_source) for o in storey.openings)
        for storey in job.storeys
    )
