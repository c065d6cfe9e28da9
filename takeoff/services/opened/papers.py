"""Plans that come on paper: a page of a PDF at its scale, and pictures, which have to be traced."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial
from statistics import median
from typing import NamedTuple

import msgspec

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding
from takeoff.findings import noticed
from takeoff.plan.model import Job
from takeoff.recognise.presets import Settings
from takeoff.recognise.walls.layer_roles import LayerGuess, Profile
from takeoff.services.opened.layers import Said, sorted_out

Progress = Callable[[float, str], None]
At = Callable[[float], tuple[Drawing, tuple[Finding, ...]]]

FEWEST_AREAS = 2
AGREE_SHARE = 0.01
"""Scales within this share are one; areas then agree within twice of it."""
BESIDE = (0.5, 2.0)
SMALLEST_M2 = 1.0
"""Printed areas of smaller rooms are too coarse to tell a scale."""


class Proposed(NamedTuple):
    """A page in mm real size, its rooms, all that was noticed, what its layers were taken for, the
    settings with what they are for, and what came of looking for rooms."""

    drawing: Drawing
    job: Job
    findings: tuple[Finding, ...]
    guesses: tuple[LayerGuess, ...]
    settings: Settings
    found: tuple[Finding, ...]


def proposed(
    raw: Drawing,
    read: tuple[Finding, ...],
    settings: Settings,
    scale: str | float | None,
    said: Said = (),
    profiles: tuple[Profile, ...] = (),
    lenient: bool = False,
    progress: Progress | None = None,
) -> Proposed:
    """What a page of a PDF (mm on paper) shows.

    ``scale`` as people write it, or a ratio, wins over what the sheet shows. Without it the printed
    areas have the last word: where they agree on another scale than the rest of the sheet, that is
    taken and told; where they prove a scale that was unsure, it is sure.
    """
    from takeoff.recognise.propose import proposal
    from takeoff.recognise.scale import decide_scale, findings_at_scale, scale_decided
    from takeoff.recognise.scale.several_scales import other_scales

    def at(ratio: str | float | None) -> tuple[Drawing, tuple[Finding, ...]]:
        """The page at a scale, its walls told apart, as its layers are for."""
        scaled, found = decide_scale(raw, ratio)
        return sorted_out(scaled, settings, lenient=True)[0], found

    drawing, scaled, proven = scale_decided(raw, scale)
    drawing, settings, remembered = sorted_out(drawing, settings, said, profiles, lenient)
    job, found, guesses = proposal(drawing, settings, progress)
    proof = scale_by_areas(job, drawing.unit_mm)
    if proof is None and scale is None and not proven:
        proof = _proof_beside(at, drawing, settings)
    if proof is not None and scale is not None and not proof.same(drawing.unit_mm):
        scaled = (*scaled, proof.against(drawing))
    elif proof is not None and scale is None:
        if not proof.same(drawing.unit_mm):
            drawing, others = at(proof.ratio)
            job, found, guesses = proposal(drawing, settings, progress)
            scaled = (scaled[0], *others[1:])
        scaled = proof.settled(drawing, scaled)
    job, several = other_scales(raw, job, drawing.unit_mm)
    found = (*found, *several)
    told = (*findings_at_scale(read, drawing), *scaled, *remembered, *found)
    return Proposed(drawing, job, told, guesses, settings, found)


def _proof_beside(at: At, drawing: Drawing, settings: Settings) -> AreaProof | None:
    """What printed areas prove at half and at twice the scale: where it is wrong by so much, doors may
    be too wide to be found, and the rooms with them. None where hardly an area is printed."""
    from takeoff.recognise import propose
    from takeoff.recognise.units.unit_evidence import printed_areas

    if len(printed_areas(drawing)) < FEWEST_AREAS:
        return None
    for factor in BESIDE:
        ratio = drawing.unit_mm * factor
        job, _ = propose(at(ratio)[0], settings)
        proof = scale_by_areas(job, ratio)
        if proof is not None and proof.same(ratio):
            return proof
    return None


class AreaProof(msgspec.Struct, frozen=True):
    """The scale that ``agree`` of ``of`` printed areas have in common."""

    ratio: float
    agree: int
    of: int

    def same(self, ratio: float) -> bool:
        """Whether this is the scale ``ratio``."""
        return abs(self.ratio / ratio - 1.0) <= AGREE_SHARE

    def settled(self, drawing: Drawing, told: tuple[Finding, ...]) -> tuple[Finding, ...]:
        """The findings on the scale with this in place of what was decided or left open."""
        from takeoff.recognise.scale.scale_words import name_of

        first = next((f for f in told if f.code in ("scale-decided", "scale-undecided")), None)
        decided = first is not None and first.code == "scale-decided"
        if first is None or (decided and first.facts and ("scale", name_of(self.ratio)) in first.facts.named):
            return told
        rest = tuple(f for f in told if f is not first)
        said = partial(noticed, file=drawing.name, scale=name_of(self.ratio), agree=self.agree, of=self.of)
        if decided:
            return (said("scale-decided/areas-against-sheet", otherwise=f"{first.text} {first.evidence}"), *rest)
        return (said("scale-decided/by-areas"), *rest)

    def against(self, drawing: Drawing) -> Finding:
        """That the printed areas contradict the scale that was given."""
        from takeoff.recognise.scale.scale_words import name_of

        return noticed("scale-contradicted", file=drawing.name, agree=self.agree, of=self.of, scale=name_of(self.ratio))


def scale_by_areas(job: Job, ratio: float) -> AreaProof | None:
    """The scale at which most printed areas are those of their rooms, given the job at ``ratio``;
    None where fewer than two, or no more than half of them, agree."""
    from takeoff.measure import measure
    from takeoff.recognise.scale.scale_words import nearest_usual

    # floors ask nothing of openings in doubt, and what each of those would change takes a measuring of its own
    storeys = tuple(
        msgspec.structs.replace(s, openings=tuple(o for o in s.openings if o.confidence == "sure")) for s in job.storeys
    )
    floors = {room.room: room.floor_m2 for room in measure(msgspec.structs.replace(job, storeys=storeys)).rooms}
    factors = [
        room.printed_area_m2 / floors[room.id]
        for storey in job.storeys
        for room in storey.rooms
        if room.printed_area_m2 and floors.get(room.id, 0.0) > SMALLEST_M2
    ]
    if len(factors) < FEWEST_AREAS:
        return None
    middle = median(factors)
    agree = sum(abs(f / middle - 1.0) <= 2.0 * AGREE_SHARE for f in factors)
    # Of four the two in the middle are near their mean: it takes more than half.
    if agree < FEWEST_AREAS or 2 * agree <= len(factors):
        return None
    return AreaProof(nearest_usual(ratio * math.sqrt(middle), AGREE_SHARE), agree, len(factors))
