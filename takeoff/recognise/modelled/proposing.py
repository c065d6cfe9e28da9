"""From the drawings of a building model to one proposed job: its spaces are the rooms."""

from __future__ import annotations

from msgspec.structs import replace

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding
from takeoff.plan.model import DrawingRef, Job
from takeoff.recognise.modelled.choice import rooms_among
from takeoff.recognise.modelled.claims import model_of
from takeoff.recognise.modelled.cut import propose_cut
from takeoff.recognise.modelled.quantities import quantity_findings
from takeoff.recognise.modelled.rooms import storeys_of
from takeoff.recognise.settings import Settings


def propose_modelled(
    drawings: tuple[Drawing, ...], settings: Settings | None = None
) -> tuple[Job, tuple[Finding, ...]]:
    """The job that a model's drawings (one per storey, in mm) claim, and what to look at.

    Spaces become rooms with the ceilings and floors of their solids; where no storey has a space,
    rooms are sought in the cuts through the walls, and none of them is sure. No drawings give an
    empty job and a finding.
    """
    settings = settings or Settings()
    model = model_of(drawings)
    if not drawings:
        return Job(), (Finding("no-room-found", "error", "The model has no storey to measure."),)
    first = drawings[0]
    ref = DrawingRef(name=first.name, sha256=first.sha256, unit=first.unit, unit_mm=first.unit_mm)
    if not model.spaces:
        job, found = propose_cut(drawings, model, settings)
        return replace(job, name=first.name, drawing=ref), found
    spaces, left_out = rooms_among(model)
    storeys, doubts = storeys_of(model, spaces, settings)
    found = (*left_out, *doubts, *quantity_findings(spaces))
    return Job(name=first.name, drawing=ref, storeys=storeys), found
