"""What is done everywhere: what of skirting, coving and architraves comes off, and what arrises get."""

from __future__ import annotations

from typing import Literal

from takeoff.errors import InputError
from takeoff.language import mark, tr
from takeoff.plan.customs import TALLEST_SKIRTING_MM, WIDEST_ARCHITRAVE_MM, WIDEST_COVING_MM
from takeoff.plan.edits.lookup import changed, finite
from takeoff.plan.model import Customs, Job
from takeoff.units.printing import whole

Custom = Literal["skirting", "coving", "architrave"]

_MOST_MM: dict[Custom, float] = {
    "skirting": TALLEST_SKIRTING_MM, "coving": WIDEST_COVING_MM, "architrave": WIDEST_ARCHITRAVE_MM,
}  # fmt: skip
_TOO_LARGE: dict[Custom, str] = {
    "skirting": mark("Skirting of {size} mm is not usual: type at most {most} mm, or 0 if it comes off."),
    "coving": mark("Coving of {size} mm is not usual: type at most {most} mm, or 0 if it comes off."),
    "architrave": mark("An architrave of {size} mm is not usual: type at most {most} mm, or 0 if it comes off."),
}


def set_custom(job: Job, custom: Custom, mm: float | None) -> Job:
    """What that custom is: it comes off (0), stays on so high or wide, or nobody has said (None).

    Raises InputError for a size that no such thing has.
    """
    finite(**{f"{custom}_mm": mm})
    if mm is not None and not 0 <= mm <= _MOST_MM[custom]:
        raise InputError(tr(_TOO_LARGE[custom], size=whole(mm), most=whole(_MOST_MM[custom])))
    return changed(job, customs=changed(job.customs, **{f"{custom}_mm": mm}))


def accept_customs(job: Job, usual: Customs | None = None) -> Job:
    """The job with every custom said of which nobody has said anything: as ``usual`` has it, else as it was
    assumed, so that all comes off and every arris gets what the job gives it."""
    own, usual = job.customs, usual or Customs()
    for custom, now, then in (
        ("skirting", own.skirting_mm, usual.skirting_mm),
        ("coving", own.coving_mm, usual.coving_mm),
        ("architrave", own.architrave_mm, usual.architrave_mm),
    ):
        if now is None:
            job = set_custom(job, custom, then or 0.0)  # type: ignore[arg-type]
    return changed(job, customs=changed(job.customs, bead_said=True))
