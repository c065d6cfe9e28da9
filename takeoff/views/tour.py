"""The short tour of a first start: what is said at each stop. Where a stop is, the window knows."""

from __future__ import annotations

import msgspec


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
