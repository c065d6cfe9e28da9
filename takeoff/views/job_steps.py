"""The job's steps, each with what it says now; the running totals; and the tour that shows where they are."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

import msgspec

from takeoff.errors import Finding
from takeoff.units.printing import printed
from takeoff.views.board import Considered, State
from takeoff.views.naming import to_coat
from takeoff.views.outside_walls import coat_words


class Stop(msgspec.Struct, frozen=True):
    """A stop of the tour: ``place`` is a name that the window knows a widget by."""

    place: str
    title: str
    text: str


STOPS: tuple[Stop, ...] = (
    Stop(
        "steps",
        "From the drawing to the order",
        "These are the steps of a job, each with what it says now. A click brings up its page at the right. "
        "The job that a first start opens is an invented example to play with: nothing of it is kept unless "
        "you save it.",
    ),
    Stop(
        "plan",
        "The plan",
        "The ochre band is the coat, on the room side of the walls. Click a room, a wall or a window to "
        "choose it. The wheel zooms to where the mouse is, the middle button moves the plan, Home "
        "shows all.",
    ),
    Stop(
        "card",
        "What is chosen, and its figures",
        "Every figure has its working under it. Click a figure, or a single line of it, and the plan and "
        "the walls show in violet where it comes from.",
    ),
    Stop(
        "strip",
        "The walls from inside",
        "The walls of the chosen room side by side, with the letters of the plan: what is coated, what is "
        "left on, and every opening.",
    ),
    Stop(
        "tools",
        "Draw, fill, move, place",
        "Take a tool and click on the plan; type a length such as 3.45 while you draw. The foot of the "
        "window says what to do next, Escape lays the tool down, Ctrl+Z takes anything back.",
    ),
    Stop(
        "settle",
        "What is still to settle",
        "What nobody gave is assumed and listed here, with all that looks doubtful. Confirm or correct it "
        "right in the list; every figure follows at once.",
    ),
    Stop(
        "totals",
        "What there is to coat and to order",
        "The totals of the whole job, always in view. Ctrl+T brings up the table of all figures, room by room.",
    ),
    Stop(
        "sheets",
        "The sheets",
        "When it is right, write the scope for the client, the order and the dimensions as PDF and tables. "
        "F1 lists and finds everything that can be done, and Help starts this tour again.",
    ),
)


class Step(msgspec.Struct, frozen=True):
    """One of the job's steps and what it says now."""

    id: str
    title: str
    says: str
    urgent: bool = False


def running_totals(state: State, considered: Considered | None) -> tuple[str, ...]:
    """What stands at the foot: what there is to coat, bead, inner corners, packs."""
    nought = Decimal("0.00")
    said = [
        to_coat(state.totals.get("coated_m2", nought)),
        f"{printed(state.totals.get('bead_m', nought), 1)} m bead",
        f"{printed(state.totals.get('internal_corner_m', nought), 1)} m inner corners",
    ]
    packs = packs_words(considered)
    return (*said, packs) if packs else tuple(said)


def packs_words(considered: Considered | None) -> str:
    """ "14 packs to order"; "" while nothing is known or nothing is to be ordered."""
    if considered is None or considered.order is None:
        return ""
    count = sum(line.count for line in considered.order.lines)
    return f"{count} {'pack' if count == 1 else 'packs'}" if count else ""


def steps(state: State, considered: Considered | None, findings: Sequence[Finding], source: str) -> tuple[Step, ...]:
    """The job's steps in their order, each with what it says now. ``source``: the drawing's name."""
    job = state.job
    rooms = [room for storey in job.storeys for room in storey.rooms]
    openings = [o.confidence for storey in job.storeys for o in storey.openings]
    openings += [o.confidence for storey in job.storeys for o in storey.rooflights]
    unsure_rooms = sum(room.confidence != "sure" for room in rooms)
    unsure = sum(confidence != "sure" for confidence in openings)
    grave = sum(finding.severity == "error" for finding in findings)
    checks = sum(finding.severity == "check" for finding in findings)
    assumed = sum(finding.severity == "assumed" for finding in findings)
    return (
        Step("drawing", "Drawing", source or "none yet"),
        Step("rooms", "Rooms", _counted(len(rooms), unsure_rooms)),
        Step("openings", "Openings", _counted(len(openings), unsure)),
        Step("coat", "Coat", coat_words(state)),
        Step("settle", "To settle", _settle_words(grave, checks, assumed), grave > 0),
        Step("order", "Order", packs_words(considered) or _no_packs(considered)),
        Step("sheets", "Sheets", job.details.client or "look, print, write"),
    )


def _no_packs(considered: Considered | None) -> str:
    return "nothing yet" if considered else "working it out"


def _counted(count: int, unsure: int) -> str:
    if not count:
        return "none yet"
    return f"{count}, {unsure} to check" if unsure else f"{count}"


def _settle_words(errors: int, checks: int, assumed: int) -> str:
    parts = [
        f"{errors} to mend" if errors else "",
        f"{checks} to check" if checks else "",
        f"{assumed} assumed" if assumed else "",
    ]
    return ", ".join(part for part in parts if part) or "nothing"
