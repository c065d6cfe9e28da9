"""The ledger, one part: what laying a new drawing over a job notices."""

from __future__ import annotations

from takeoff.findings.rules import Rule, check, note

RULES: dict[str, Rule] = {
    "another-plan": check(
        "Another plan? Only {share} of the rooms in {storey} fit {file}: check that it is the same building.",
        options="On the command: --even-so.",
    ),
    "another-plan/none": check(
        "Another plan? No storey of the job has the rooms of {file}: check that it is the same building.",
        options="On the command: --even-so.",
    ),
    "another-plan/unit": check(
        "Another plan? {file} would fit if it were {factor}: say its unit, or check that it is the same building.",
        options="On the command: --unit.",
    ),
    "revision-in-own-unit": check(
        "{file} is read in the unit of the job's drawing, since only then its rooms fit: check one length."
    ),
    "revision-laid-over": note(
        "{file} lies over {storey}: {rooms} of its rooms and {walls} of its walls fit.", evidence="{how}."
    ),
    "revision-new-storey": note("{file} replaces no storey of the job: its rooms are added as {storey}."),
    "revision-storey-missing": check("{storey} is in none of the new drawings: it stays as it is."),
    "revision-same-file": note("{file} is the drawing that this job was made from: nothing in it has changed."),
    "revision-from-job": check("{file} is a job, not a drawing: check that its rooms are as they were drawn."),
    "revision-older": check(
        "{file} is revision {new}, but the job has revision {old} already: check that it is the later one."
    ),
    "revision-room-doubtful": check("{room} is taken for the room that was there before: check it.", evidence="{why}."),
    "revision-room-kept": check(
        "{room} is not in the new drawing, but was drawn or measured by hand: it stays; delete it if it is gone."
    ),
    "revision-name-kept": check("The new drawing calls {room} “{name}”: its name stays; rename it if that is meant."),
    "revision-site-length": check(
        "{place} was measured on site as {site}; the new drawing has {drawn}: the measured length stays; measure again."
    ),
    "revision-room-on-site": check(
        "{room} was measured on site; the new drawing has another outline: the measured one stays; measure again."
    ),
    "revision-left-out": note("{place} is drawn as it was before, but is not in the job: it stays out."),
    "revision-size-kept": check(
        "{place}: its {what} stays {set}, as it was typed; the new drawing has {drawn}: check which is right."
    ),
    "revision-kind-kept": check("{place} stays as it was set, though the new drawing shows another kind: check it."),
    "revision-opening-kept": check(
        "{place} is not in the new drawing, but was set by hand: it stays; delete it if it is gone."
    ),
    "revision-wall-unsaid": check(
        "{place} is new, and nothing is said of it, though walls of this room have a coat of their own: set it."
    ),
    "revision-stair": check(
        "The new drawing has a stair in {room}, and a storey is added: say what the ceiling above that stair does."
    ),
    "revision-outline-kept": check("The outline of {storey} was set by hand and stays; the new drawing has another."),
    "revision-lost": check("{what} has no place in the new drawing: {place}; it was {was}. Set it again if needed."),
}
