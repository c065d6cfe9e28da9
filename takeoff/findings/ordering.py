"""The ledger, one part: what opening, ordering, writing and keeping a job notice."""

from __future__ import annotations

from takeoff.findings.rules import Rule, assumed, check, error, note

_OPENING = {
    "no-rooms/job": error("{file} holds no room, so there is nothing to measure: add rooms to its storeys."),
    "no-rooms/drawing": error(
        "No closed room was found in {named}: say which layers the walls are on, or draw the rooms by hand.",
        options="On the command: --layers NAME.",
    ),
    "option-without-effect/job": check(
        "{options} had no effect, since a job has heights and units of its own: edit {named}."
    ),
    "option-without-effect/unit-of-sheet": check(
        "--unit had no effect, since {named} is a sheet, which has a scale: give --scale."
    ),
    "option-without-effect/model": check(
        "{options} had no effect, since {named} is a model, which gives its unit and walls itself."
    ),
    "option-without-effect/no-paper": check(
        "{options} had no effect, since {named} is no PDF and has neither scale nor pages."
    ),
    "layers-remembered": check(
        "Layers of {file} are set as you set them for an earlier drawing: check them.",
        evidence="{listed}.",
        options="On the command: --layer NAME=ROLE.",
    ),
    "scale-decided/by-areas": note(
        "{file} is drawn at {scale}, at which its printed areas fit their rooms.",
        evidence="{agree} of {of} printed areas are those of the rooms around them.",
    ),
    "scale-decided/areas-against-sheet": check(
        "{file} is read at {scale}, at which its printed areas fit their rooms, but the rest of the sheet disagrees: "
        "check one length.",
        evidence="{agree} of {of} printed areas are then those of the rooms around them. By the rest: {otherwise}",
    ),
    "scale-contradicted": check(
        "The printed areas of {file} do not fit the scale you gave, but {scale}: check one length.",
        evidence="{agree} of {of} printed areas differ from their rooms by one factor.",
    ),
}

_ORDERING = {
    "bead-not-in-system": error("No bead of {system} suits the corner at {place}: order it by hand."),
    "bead-profile-replaced": check(
        "{taken} is ordered instead of {asked}: choose a profile for that corner.",
        evidence="The profile {asked} {why}.",
    ),
    "demo-system": check(
        "The material list uses {system}, an invented demo system: choose your own coating system before you order."
    ),
    "system-copy/changed": note(
        "{system} was changed after this job took it over: choose it again to order by it as it is now.",
        evidence="The job keeps the system as it was when it was chosen.",
    ),
    "system-copy/gone": note(
        "{system} is no longer among your coating systems: this job is ordered by the copy that it keeps."
    ),
    "convention-copy/changed": note(
        "{convention} says something else by now than when this job took it for its bill: the job's own copy is used."
    ),
    "convention-copy/gone": note(
        "{convention} is not among the measuring conventions here: the copy that this job keeps is used."
    ),
    "substrate-assumed": assumed(
        "{area} of {what} are assumed to be {taken}: {most} would take {more} more of the base coat."
    ),
    "substrate-assumed/no-more": assumed("{area} of {what} are assumed to be {taken}: say what they are."),
    "unknown-substrate": check(
        "{system} does not know the substrate “{substrate}” and orders for {fallback}: choose a substrate."
    ),
    "areas-do-not-close": error(
        "The surfaces of {room} add up to {surfaces_m2} m², but its coated area is {coated_m2} m²: check it before "
        "you order."
    ),
    "bead-joined/one": note("{bead} at {place} is longer than the longest bar: join {parts} pieces."),
    "bead-joined/several": note(
        "{count} runs of {bead} are longer than the longest bar: join pieces as on the cutting list.",
        evidence="The first is at {place}.",
    ),
}

_WRITING = {
    "opening-not-measured": check(
        "{opening} is uncertain and not deducted: accept or reject it.",
        "openings",
        evidence="{reasons} If accepted: {changes}.",
    )
}

_STORING = {
    "job-file-damaged": check("{file} was damaged and {part} is lost: check the job, which was read whole, and save."),
    "job-file-damaged/whole": note("{file} was damaged, but everything in it was read: save it again."),
    "picture-notes": note(
        "{file} held notes of place or person beside {pictures}: they are taken out, and leave the file once it is "
        "saved."
    ),
    "picture-notes/unknown": check(
        "“{picture}” in {file} cannot be shown, so what may be noted in it stays: remove it, or pin the photo again.",
        evidence="{why}",
    ),
    "recovery-copy/folder": check(
        "The recovery copies in “{folder}” cannot be read: check that folder.", evidence="{why}."
    ),
    "recovery-copy/unreadable": check(
        "A recovery copy in “{folder}” cannot be read or removed: check that folder.", evidence="{why} It is kept."
    ),
    "recovery-copy/damaged": check(
        "The drawing or pictures of the recovery copy are damaged: add them again.", evidence="Damaged: {lost}."
    ),
    "recovery-copy/part-lost": check("The recovery copy has lost {part}: add it again.", evidence="{why}"),
    "layers-not-remembered": check(
        "What was remembered of layers cannot be read: your next choice is remembered in its place.",
        evidence="“{path}”: {why}.",
    ),
}

RULES: dict[str, Rule] = {**_OPENING, **_ORDERING, **_WRITING, **_STORING}
