"""Errors stay open however they were settled, and only what was assumed is corrected with the rest."""

from __future__ import annotations

from takeoff.errors import Finding
from takeoff.plan.assumptions import assumptions
from takeoff.plan.edits.settling_edits import confirm
from takeoff.plan.model import Job, Opening, Reveal, Room, Settled, Side, Storey, Strip
from takeoff.plan.settled import open_findings

CORNERS = ((0, 0), (4000, 0), (4000, 3000), (0, 3000))


def house() -> Job:
    """A room with a window: one jamb's depth is assumed, the other's is drawn."""
    reveal = Reveal(start=Strip(depth_mm=150, depth_source="assumed"), end=Strip(depth_mm=50, depth_source="drawn"))
    window = Opening(id="w", kind="window", room="R", side="s0", offset_mm=500, width_mm=1000, sill_mm=900,
                     head_mm=2100, reveal=reveal)  # fmt: skip
    outline = tuple(Side(id=f"s{k}", x_mm=x, y_mm=y) for k, (x, y) in enumerate(CORNERS))
    return Job(
        storeys=(Storey(id="g", height_source="site", rooms=(Room(id="R", outline=outline),), openings=(window,)),)
    )


def test_an_error_that_stands_among_the_settled_is_still_open() -> None:
    error, check = Finding("a", "error", "It cannot be."), Finding("b", "check", "Look at it.")
    job = Job(settled=(Settled(code="a", text="It cannot be."), Settled(code="b", text="Look at it.")))
    assert open_findings(job, (error, check)) == (error,)


def test_a_corrected_depth_leaves_the_drawn_one_alone() -> None:
    (value,) = [v for v in assumptions(house()) if v.kind == "window-reveal"]
    reveal = confirm(house(), [value], 200.0).storeys[0].openings[0].reveal
    assert (reveal.start.depth_mm, reveal.start.depth_source) == (200, "typed")
    assert (reveal.end.depth_mm, reveal.end.depth_source) == (50, "drawn")
