"""The ledger, one part: what opening, ordering, writing and keeping a job notice."""

from __future__ import annotations

from takeoff.findings.rules import Rule, assumed, check, error, note

_OPENING = {
    "no-rooms/job": error("{file} holds no room, so there is nothing to measure: add rooms to its storeys."),
    "no-rooms/drawing": error(
        "No closed room was found in {named}, so nothing could be measured: name the layers "
        "of the walls with --layers, or check that the drawing is a floor plan."
    ),
    "option-without-effect/job": check("{options} had no effect: a job says its own heights and units; edit {named}."),
    "option-without-effect/unit-of-sheet": check(
        "--unit had no effect: {named} is a sheet, which has a scale and no unit; give --scale."
    ),
    "option-without-effect/model": check("{options} had no effect: {named} is a model that says its unit and walls."),
    "option-without-effect/no-paper": check(
        "{options} had no effect: {named} is no PDF, so it has no scale and no pages."
    ),
    "layers-remembered": check(
        "{file} has the layers of a drawing that you sorted before, so {listed} were taken as you "
        "said then; say otherwise on the page of the drawing, or with --layer."
    ),
    "scale-decided/by-areas": note(
        "{file} is drawn at {scale}: {agree} of {of} printed areas are then those of the rooms around them."
    ),
    "scale-decided/areas-against-sheet": check(
        "{file} is drawn at {scale}: {agree} of {of} printed areas are then those of the rooms around them. "
        "The rest of the sheet says otherwise: {otherwise} Check one length that you know."
    ),
    "scale-contradicted": check(
        "{file}: at the scale you gave, {agree} of {of} printed areas differ from their rooms by one factor, "
        "as if it were {scale}: check a length that you know."
    ),
}

_ORDERING = {
    "bead-not-in-system": error("No bead of {system} suits the corner at {place}: order it by hand."),
    "bead-profile-replaced": check(
        "The profile {asked} {why}; {taken} is ordered instead: choose a profile for that corner."
    ),
    "demo-system": check(
        "The order rests on the invented figures of {system}: put in those of the product you use before you order."
    ),
    "system-copy/changed": note(
        "This job keeps {system} as it was when it was chosen; its file says something else by now: choose it again to "
        "take that over."
    ),
    "system-copy/gone": note(
        "{system} is not among your coating systems any more: the copy that this job keeps is used."
    ),
    "convention-copy/changed": note(
        "{convention} says something else by now than when this job took it for its bill: the job's own copy is used."
    ),
    "convention-copy/gone": note(
        "{convention} is not among the measuring conventions here: the copy that this job keeps is used."
    ),
    "substrate-assumed": assumed(
        "{area} of {what} are taken as {taken}, since nobody said: {most} would take {more} more of the base coat."
    ),
    "substrate-assumed/no-more": assumed(
        "{area} of {what} are taken as {taken}, since nobody said: say what they are."
    ),
    "unknown-substrate": check(
        "{system} does not know the substrate “{substrate}”; it is ordered for as {fallback}: choose a substrate."
    ),
    "areas-do-not-close": error(
        "The surfaces of {room} add up to {surfaces_m2} m², its coated area is "
        "{coated_m2} m²: check that room before you order."
    ),
    "bead-joined/one": note("{bead} at {place} is longer than the longest stock and is joined from {parts} parts."),
    "bead-joined/several": note(
        "{count} pieces of {bead} are longer than the longest stock and are joined, "
        "the first at {place}: the cutting list shows their parts."
    ),
}

_WRITING = {
    "opening-not-measured": check(
        "Opening {opening} is {sureness}{reasons} and not taken off; taken in it changes {changes}.", "openings"
    )
}

_STORING = {
    "job-file-damaged": check("{file} was damaged: {part} is lost. The job itself was read whole."),
    "job-file-damaged/whole": note("{file} was damaged, but everything that it names was read: save it again."),
    "recovery-copy/folder": check("the recovery copies in “{folder}” cannot be read: {why}."),
    "recovery-copy/unreadable": check(
        "a recovery copy cannot be read or removed: {why} It lies in “{folder}” and is kept."
    ),
    "recovery-copy/damaged": check("the drawing or pictures of the copy are damaged ({lost})."),
    "recovery-copy/part-lost": check("of the copy, {part} is lost: {why}"),
    "layers-not-remembered": check(
        "what was remembered of layers cannot be read from “{path}” ({why}): it was left aside, and the next choice "
        "starts it anew."
    ),
}

RULES: dict[str, Rule] = {**_OPENING, **_ORDERING, **_WRITING, **_STORING}
