"""What the tables of findings say: what is to be looked at, what is assumed, the openings that are not measured yet."""

from __future__ import annotations

from collections.abc import Sequence

from takeoff.errors import Finding, Where
from takeoff.language import tr
from takeoff.measure.takeoff import Takeoff
from takeoff.plan.model import Job, Room
from takeoff.plan.reasons import all_spoken
from takeoff.sheets.sheet_values import Column, Table
from takeoff.sheets.texts import Texts
from takeoff.sheets.wall_names import opening_names, wall_letters
from takeoff.units.printing import printed

_ORDER = ("error", "check", "note")


class Places:
    """Names of storeys, rooms and openings, to say where a finding is."""

    def __init__(self, job: Job, labels: dict[tuple[str, str], str], texts: Texts) -> None:
        self._several = len(job.storeys) > 1
        unnamed = texts.words["numbered_storey"]
        self._storeys = {
            str(s.id): s.name or (unnamed.format(number=k) if self._several else "")
            for k, s in enumerate(job.storeys, 1)
        }
        self._rooms = labels
        self._openings = {
            str(key): name.text for s in job.storeys for key, name in opening_names(s.openings, s.rooms).items()
        }
        self._walls = {(str(s.id), str(r.id)): _walls_listed(r) for s in job.storeys for r in s.rooms}
        self._homes = {str(r.id): str(s.id) for s in job.storeys for r in s.rooms}

    def of_opening(self, room: str, opening: str) -> str:
        """ "Living, window 1"; the opening's id where it is not known."""
        return self.text(Where(storey=self._homes.get(room), room=room, opening=opening))

    def text(self, where: Where) -> str:
        """ "Ground floor, Living, window w1, at x 1200, y 300 mm"; "" when the place is not known."""
        parts = []
        if where.storey and self._several:
            parts.append(self._storeys.get(where.storey, where.storey))
        if where.room:
            parts.append(self._rooms.get((where.storey or "", where.room), where.room))
        if where.opening:
            parts.append(self._openings.get(where.opening, where.opening))
        if where.surface:
            letter = self._walls.get((where.storey or "", where.room or ""), {}).get(where.surface)
            parts.append(tr("wall {letter}", letter=letter) if letter else tr("surface {name}", name=where.surface))
        if where.x_mm is not None and where.y_mm is not None:
            parts.append(tr("at x {x}, y {y} mm", x=f"{printed(where.x_mm, 0)}", y=f"{printed(where.y_mm, 0)}"))
        if where.layer:
            parts.append(tr("layer {name}", name=where.layer))
        if where.handle:
            parts.append(tr("entity {name}", name=where.handle))
        if where.page is not None:
            parts.append(tr("page {number}", number=where.page))
        if not parts and where.storey:
            parts.append(self._storeys.get(where.storey, where.storey))
        return ", ".join(parts)


def _walls_listed(room: Room) -> dict[str, str]:
    """The walls of a room as lists of many rooms call them: "G2-A", after its number; without one the letter."""
    prefix = f"{room.number}-" if room.number else ""
    return {side: prefix + letter for side, letter in wall_letters(room).items()}


def finding_tables(findings: Sequence[Finding], takeoff: Takeoff, places: Places, texts: Texts) -> tuple[Table, ...]:
    """Uncertain openings (if any), assumptions, then findings: those to fix first."""
    tables = [_assumptions(findings, places, texts), _findings(findings, places, texts)]
    if takeoff.unsure:
        tables.insert(0, _unsure(takeoff, places, texts))
    return tuple(tables)


def _assumptions(findings: Sequence[Finding], places: Places, texts: Texts) -> Table:
    rows = _gathered([f for f in findings if f.severity == "assumed"], places)
    return Table(
        id="assumptions",
        papers=("dimensions",),
        title=texts.tables["assumptions"],
        columns=(Column(texts.heads["assumed"], share=3), Column(texts.heads["place"], share=2)),
        rows=tuple((text, place) for _, text, place in rows),
        empty=texts.tables["no_assumptions"],
    )


def _findings(findings: Sequence[Finding], places: Places, texts: Texts) -> Table:
    ordered = [f for kind in _ORDER for f in findings if f.severity == kind]
    return Table(
        id="findings",
        papers=("dimensions",),
        title=texts.tables["findings"],
        columns=(
            Column(texts.heads["severity"], share=0.6),
            Column(texts.heads["finding"], share=3.2),
            Column(texts.heads["place"], share=2),
        ),
        rows=tuple(
            (texts.severities[kind], text, place) for kind, text, place in _gathered(ordered, places, evidence=True)
        ),
        empty=texts.tables["no_findings"],
    )


def _gathered(findings: Sequence[Finding], places: Places, evidence: bool = False) -> list[tuple[str, str, str]]:
    """(severity, text, places): the same sentence about several places stands once, with its ``evidence`` where
    that is asked for."""
    found: dict[tuple[str, str], list[str]] = {}
    for finding in findings:
        text = f"{finding.text} {finding.evidence}".strip() if evidence else finding.text
        listed = found.setdefault((finding.severity, text), [])
        place = places.text(finding.where)
        if place and place not in listed:
            listed.append(place)
    return [(kind, text, "; ".join(listed)) for (kind, text), listed in found.items()]


def _unsure(takeoff: Takeoff, places: Places, texts: Texts) -> Table:
    rooms = {room.room: room.storey for room in takeoff.rooms}
    rows = tuple(
        (
            places.text(Where(storey=rooms.get(e.room), room=e.room, opening=e.opening)),
            texts.confidence[e.confidence],
            printed(e.change.get("coated_m2", 0.0)),
            "; ".join(all_spoken(e.evidence)),
        )
        for e in takeoff.unsure
    )
    return Table(
        id="unsure",
        papers=("dimensions",),
        title=texts.tables["unsure"],
        columns=(
            Column(texts.heads["opening"], share=2),
            Column(texts.heads["severity"], share=1.4),
            Column(texts.heads["change"], "m²", "figure", share=1.7),
            Column(texts.heads["why"], share=2.6),
        ),
        rows=rows,
    )
