"""The ledger, one part: what the check of a job finds, and what readings on site say of themselves."""

from __future__ import annotations

from takeoff.findings.rules import Rule, assumed, check, error, note

_NUMBERS = {
    "number-not-finite": error("{path} is not a number: set it again."),
    "number-absurd": error("{path} is {number}; it must be {range}: check it and its unit."),
    "too-many": error(
        "{path} holds {count} entries, more than the {most} that a building may have: look at what wrote it."
    ),
}

_NAMES = {
    "no-storeys": check("the job has no storeys: nothing can be measured."),
    "storey-height-odd": check("the height of {storey} is {height}: was {meant} meant? Set it, or accept it."),
    "no-rooms": check("{storey} has no rooms: draw or find some."),
    "id-empty": error("a {what} has no id: give it one of its own."),
    "id-twice": error("the id “{id}” names more than one {what}: give each its own."),
    "wall-type-unknown": error(
        "side {side} of {room} has the wall type “{wall_type}”, which the job does not know: add it or choose another."
    ),
    "drawing-unknown": error(
        "{storey} is of the drawing “{drawing}”, which the job does not have: take it out, or add the drawing."
    ),
    "border-side-unknown": error(
        "a border of the ceiling of {room} runs along the side “{side}”, which the room does not have: "
        "name one that it has."
    ),
    "corner-picked-twice": error("the corner “{corner}” of {room} is picked twice: keep one of the picks."),
    "corner-pick-empty": check("the pick of corner “{corner}” of {room} chooses nothing: take it out."),
    "opening-room-unknown": error(
        "{opening} stands in the room “{room}”, which {storey} does not have: choose its room."
    ),
    "opening-side-unknown": error(
        "{opening} stands in the side “{side}”, which its room does not have: choose its side."
    ),
    "picture-not-placed": error(
        "{file} is a picture without a scale: straighten it by four corners of a rectangle, or give one "
        "known length, before its rooms are traced."
    ),
}

_SHAPES = {
    "outline-crosses": error("the {ring} of {room} {fault}: draw it again."),
    "outline-unsound": error("the {ring} of {room} {fault}: draw it again."),
    "outline-turned": error("the {ring} of {room} runs the wrong way round: list it {way}."),
    "area-absurd": error(
        "the {ring} of {room} encloses {area}, more than any room has: check the unit of the drawing."
    ),
    "area-tiny": check(
        "the {ring} of {room} encloses only {area}: check the unit of the drawing, or take the room out."
    ),
    "inner-ring-outside": error("an inner ring of {room} {how}: move it inside or take it out."),
    "inner-rings-overlap": error("two inner rings of {room} overlap: make one ring of them."),
    "field-without-planes": error("the {field} of {room} has no plane: give its height."),
    "region-unsound": error("{region} of {room} {fault}: draw it again."),
    "region-outside": error("{region} lies outside {room}: move it inside or take it out."),
    "region-sticks-out": check("{region} sticks out of {room} by {area}, which is cut off: check its outline."),
    "regions-overlap": error(
        "the regions {one} and {other} of the {field} of {room} overlap by {area}, and neither lies within the "
        "other: part them."
    ),
    "ceiling-below-floor": error(
        "the ceiling of {room} comes {gap} below its floor {place}: mend one of their heights."
    ),
    "room-without-height": error("{room} has no height between floor and ceiling: give its ceiling."),
    "room-too-high": error(
        "{room} would be {height} high {place}, more than any room is: mend its ceiling or its floor."
    ),
    "rooms-overlap": error(
        "{one} and {other} overlap by {area} {place}: what both hold is counted twice; move one of them."
    ),
    "open-side-leads-nowhere": check(
        "side {side} of {room} is open {place}, but no space lies behind it: make it a wall or draw the next space."
    ),
}

_OPENINGS = {
    "opening-head-below-sill": error(
        "the head of {opening} ({head}) is not above its sill ({sill}): mend one of them."
    ),
    "opening-shape/round": error("{opening} is round, but {width} wide and {height} high: mend its sizes."),
    "opening-shape/semicircular": error(
        "{opening} has a semicircular head {rise} high, but is {height} high in all: mend its sizes."
    ),
    "opening-shape/steep": error("{opening} has a segmental head that rises {rise} over {width}: mend its sizes."),
    "opening-shape/segmental": error(
        "{opening} has a segmental head that rises {rise}, but is {height} high in all: mend its sizes."
    ),
    "opening-in-open-side": error(
        "{opening} stands in side {side} of {room}, which is open: make the side a wall or take it out."
    ),
    "opening-outside-wall": error("{opening} lies outside its wall in {room}, which is {length} long: move it."),
    "opening-outside-wall/sticks-out": error(
        "{opening} sticks out of its wall in {room} by {by}: that is cut off; move it."
    ),
    "opening-outside-wall/height": error(
        "{opening} lies wholly above the ceiling or below the floor of {room}: mend its sill and head."
    ),
    "opening-wider-than-wall": error(
        "{opening} is {width} wide, but its wall in {room} is {length} long: what sticks out is cut off; "
        "mend its width."
    ),
    "opening-above-ceiling": check(
        "the head of {opening} stands {by} above the ceiling of {room} there: it is cut at the ceiling; check its "
        "head and the ceiling."
    ),
    "opening-below-floor": check(
        "the sill of {opening} lies {by} below the floor of {room} there: it is cut at the floor; check its sill "
        "and the floor."
    ),
    "openings-overlap": Rule(
        ("error", "check"),
        "{one} and {other} overlap in side {side} of {room}: the wall loses that area once; take one out or move it.",
        "mending",
    ),
    "opening-twice": check(
        "{one} of {room} and {other} of {other_room} go through one wall at one place, so that its faces lose "
        "their area twice: keep one of them."
    ),
    "openings-check": check(
        "{openings} to be checked on {storey} and not measured: accept or refuse each.", "openings"
    ),
    "openings-question": check(
        "{openings} in question on {storey} and not measured: accept or refuse each.", "openings"
    ),
}

_TREATMENTS = {
    "band-empty": error("the {band} on {wall} ends at {to}, where it has not begun: mend one of them."),
    "band-taller-than-wall": check(
        "the {band} on {wall} reaches {to}, but the wall is {height} high: it is cut off; check its height."
    ),
    "bands-overlap": check(
        "the {one} and the {other} on {wall} overlap by {by}: that is taken off once; check their heights."
    ),
    "return-longer-than-wall": check(
        "side {side} of {room} is coated for {coated} from its {end}, but is {length} long: all of it is coated; "
        "check the return."
    ),
    "coated-part-outside-side": check(
        "a wall of {room} is coated from {start} to {end}, but is {length} long: what sticks out is cut off; say "
        "again what of it is coated."
    ),
    "open-range-on-wall": check(
        "side {side} of {room} is a wall, yet has an open range: make it open or take the range out."
    ),
    "open-range-empty": error(
        "side {side} of {room} is open from {low} to {high}, which is nothing: mend one of them."
    ),
    "behind-outside-side": error(
        "what is behind side {side} of {room} is said from {start} to {end}, but the side is {length} long: mend it."
    ),
    "behind-twice": error("what is behind side {side} of {room} is said twice from {start} to {end}: keep one."),
    "exclusion-unsound": error("the outline of {exclusion} {fault}: draw it again."),
    "exclusion-outside": error("{exclusion} lies wholly outside it: move it or take it out."),
    "exclusion-sticks-out": check("{exclusion} sticks out by {area}, which is cut off: check its outline."),
}

_STAIRS = {
    "stair-drawn": check(
        "the ceiling of {room}, {area}, has a stair drawn under it and is measured whole: say whether it goes on "
        "above the stair.",
        "stair",
    ),
    "stair-drawn/left-out": check(
        "the ceiling of {room}, {area}, has a stair drawn under it and is not measured: say whether it goes on above "
        "the stair.",
        "stair",
    ),
    "stair-drawn/named": check(
        "the ceiling of {room}, {area}, is that of a stair by the room's name and is measured whole: say whether it "
        "goes on above the stair.",
        "stair",
    ),
    "stair-drawn/named-left-out": check(
        "the ceiling of {room}, {area}, is that of a stair by the room's name and is not measured: say whether it "
        "goes on above the stair.",
        "stair",
    ),
    "stair-drawn/well": check(
        "the ceiling of {room}, {area}, is measured whole, but a stair lies under it and in {over} above: say "
        "whether it goes on.",
        "stair",
    ),
    "opening-in-other-storey": check(
        "in {room} {openings} in the height of {storey}: check what is beyond, and sill and head."
    ),
}

_ASSUMED = {
    "assumed-storey-height": assumed("the height of {storey}, {height}, is assumed for {rooms}: measure it."),
    "assumed-ceiling": assumed("the ceiling of {rooms} on {storey} is assumed ({values}): measure it."),
    "assumed-floor": assumed("the floor of {rooms} on {storey} is assumed ({values}): measure it."),
    **{
        f"assumed-{kind}-{part}": assumed(
            "the {sizes} of {openings} on {storey} {are} assumed ({values}): measure {them}."
        )
        for kind in ("window", "door", "open")
        for part in ("sill", "head", "width", "reveal")
    },
    **{
        f"assumed-{what}": assumed("{things} on {storey} {are} assumed: measure or draw again.")
        for what in ("side", "region", "exclusion", "rooflight")
    },
    "assumed-behind": assumed("what is behind {things} on {storey} is assumed: decide it."),
    "budget-room": check(
        "{room} is a budget room, of length, width and height alone: read it on site before anything is ordered."
    ),
    "room-check": check("{room} is to be checked{because}: look at its outline and accept or refuse it.", "room"),
    "room-question": check("{room} is an open question{because}: look at its outline and accept or refuse it.", "room"),
}

_READ_ON_SITE = {
    "readings-open": check("the readings of {room} give no closed outline: type what is missing."),
    "readings-overruled": note(
        "the outline of {room} was changed by hand since it was read on site: its readings no longer govern."
    ),
    "readings-cross": error("the outline crosses itself: look at the turns and the lengths."),
    "reading-gross": check("{reading} is about {by} too {more} for the others: measure it again."),
    "reading-gross/several": check("one reading does not fit: {reading}, or {others}. Measure {reading} again first."),
    "readings-misclose": check(
        "with the turns as typed the walk misses its start by {gap} mm: look at what it was shared out to."
    ),
    "readings-misclose/about": check(
        "with the turns as typed the walk misses its start by {gap} mm: its corners were turned until it closed, "
        "{more} would tell whether rightly."
    ),
    "readings-square-assumed": assumed("nobody measured whether all corners are square: {more} would tell."),
    "readings-ceiling": check(
        "the heights read in {room} leave its ceiling open; it is taken as {form}{off}: read more heights, or set "
        "the slopes."
    ),
    "together-open": check("rooms of {storey} are no longer set together: {fault}"),
    "together-moved": check(
        "rooms of {storey} were moved since they were set together: set them together again, or take them apart."
    ),
    "together-misfit": check("the {join} does not fit by {by} mm: look at what was read there."),
}

RULES: dict[str, Rule] = {
    **_NUMBERS, **_NAMES, **_SHAPES, **_OPENINGS, **_TREATMENTS, **_STAIRS, **_ASSUMED, **_READ_ON_SITE,
}  # fmt: skip
