"""The job's steps, each with what it says now; the running totals; and the tour that shows where they are."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

import msgspec

from takeoff.errors import Finding
from takeoff.language import mark, tr, tr_count
from takeoff.units.printing import shown
from takeoff.views.board import Considered, State
from takeoff.views.naming import to_coat
from takeoff.views.outside_walls import coat_words


class Stop(msgspec.Struct, frozen=True):
    """A stop of the tour: ``place`` is a name that the window knows a widget by."""

    place: str
    heading: str
    words: str

    @property
    def title(self) -> str:
        """Its heading in the user's language."""
        return tr(self.heading)

    @property
    def text(self) -> str:
        """What it tells, in the user's language."""
        return tr(self.words)


STOPS: tuple[Stop, ...] = (
    Stop(
        "steps",
        mark("From the drawing to the order"),
        mark(
            "These are the steps of a job, each with what it says now. A click brings up its page at the right. "
            "The job that a first start opens is an invented example to play with: nothing of it is kept unless "
            "you save it."
        ),
    ),
    Stop(
        "plan",
        mark("The plan"),
        mark(
            "The ochre band is the coat, on the room side of the walls. Click a room, a wall or a window to "
            "select it. The wheel zooms to where the mouse is, the middle button moves the plan, Home "
            "shows all."
        ),
    ),
    Stop(
        "card",
        mark("The selection and its figures"),
        mark(
            "Every figure has its working under it. Click a figure, or a single line of it, and the plan and "
            "the walls show in violet where it comes from."
        ),
    ),
    Stop(
        "strip",
        mark("The walls from inside"),
        mark(
            "The walls of the selected room side by side, with the letters of the plan: what is coated, what is "
            "kept, and every opening."
        ),
    ),
    Stop(
        "tools",
        mark("Draw, fill, move, place"),
        mark(
            "Take a tool and click on the plan; type a length such as 3.45 while you draw. The foot of the "
            "window says what to do next, Escape ends the tool, Ctrl+Z undoes anything."
        ),
    ),
    Stop(
        "settle",
        mark("What is still open"),
        mark(
            "What was not given is assumed and listed here, with all that looks doubtful. Accept or correct it "
            "right in the list; every figure follows at once."
        ),
    ),
    Stop(
        "totals",
        mark("What there is to coat and to order"),
        mark("The totals of the whole job, always in view. Ctrl+T brings up the table of all figures, room by room."),
    ),
    Stop(
        "sheets",
        mark("The sheets"),
        mark(
            "When it is right, export the scope for the client, the order and the dimensions as PDF and tables. "
            "F1 lists and finds everything that can be done, and Help starts this tour again."
        ),
    ),
)


class Step(msgspec.Struct, frozen=True):
    """One of the job's steps and what it says now."""

    id: str
    title: str
    says: str
    urgent: bool = False


def running_totals(state: State, considered: Considered | None) -> tuple[str, ...]:
    """What stands at the foot: what there is to coat, bead, internal corners, packs."""
    nought = Decimal("0.00")
    said = [
        to_coat(state.totals.get("coated_m2", nought)),
        tr("{length} m of new bead", length=shown(state.totals.get("bead_m", nought), 1)),
        tr("{length} m of internal corners", length=shown(state.totals.get("internal_corner_m", nought), 1)),
    ]
    packs = packs_words(considered)
    return (*said, packs) if packs else tuple(said)


def packs_words(considered: Considered | None) -> str:
    """ "14 packs, all materials"; "" while nothing is known or nothing is to be ordered."""
    if considered is None or considered.order is None:
        return ""
    count = sum(line.count for line in considered.order.lines)
    return tr_count("{count} pack, all materials", "{count} packs, all materials", count) if count else ""


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
        Step("drawing", tr("Drawing"), source or tr("none yet")),
        Step("rooms", tr("Rooms"), _counted(len(rooms), unsure_rooms)),
        Step("openings", tr("Openings"), _counted(len(openings), unsure)),
        Step("coat", tr("Coat"), coat_words(state)),
        Step("settle", tr("To check"), _settle_words(grave, checks, assumed), grave > 0),
        Step("order", tr("Order"), packs_words(considered) or _no_packs(considered)),
        Step("sheets", tr("Sheets"), job.details.client or tr("preview, print, export")),
    )


def _no_packs(considered: Considered | None) -> str:
    return tr("nothing yet") if considered else tr("working it out")


def _counted(count: int, unsure: int) -> str:
    if not count:
        return tr("none yet")
    return (
        tr_count("{total}, {count} to check", "{total}, {count} to check", unsure, total=count)
        if unsure
        else f"{count}"
    )


def _settle_words(errors: int, checks: int, assumed: int) -> str:
    parts = [
        tr_count("{count} to fix", "{count} to fix", errors) if errors else "",
        tr_count("{count} to check", "{count} to check", checks) if checks else "",
        tr_count("{count} assumed", "{count} assumed", assumed) if assumed else "",
    ]
    return ", ".join(part for part in parts if part) or tr("nothing open")
