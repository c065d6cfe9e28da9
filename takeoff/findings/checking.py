"""The ledger, one part: what the check of a job finds, and what a survey on site says of itself."""

from __future__ import annotations

from takeoff.findings.rules import Rule, assumed, check, error, note

_NUMBERS = {
    "number-not-finite": error("{path} is not a number: enter it again."),
    "number-absurd": error("{path} is {number}; it must be {range}: check it and its unit."),
    "not-a-day": error("{path} says “{text}”, which is no date from 1900 to 2200: write it as 2031-05-20."),
    "not-an-hour": error("{path} says “{text}”, which is no hour: write it as 08:00."),
    "not-an-hour/turned": error(
        "{path} begins at {begins} and ends at {ends}: a working day ends after it begins, so set its hours."
    ),
    "no-working-day": error("{path}.days must hold days of the week, from 0 for Monday to 6 for Sunday."),
    "too-many": error(
        "{path} has {count} entries, more than the {most} that a building may have: check what wrote it."
    ),
    "too-many/letters": error("{path} has {count} letters, more than the {most} that are read: check what wrote it."),
}

_NAMES = {
    "no-storeys": check("The job has no storeys, so nothing can be measured: add one."),
    "storey-height-odd": check("The height of {storey} is {height}: was {meant} meant? Set it, or accept it."),
    "no-rooms": check("{storey} has no rooms: draw them, or add a drawing."),
    "id-empty": error("Something in the job file has no id ({what}): give it one of its own."),
    "id-twice": error("The id “{id}” stands twice in the job file ({what}): give each its own."),
    "wall-type-unknown": error(
        "Wall {side} of {room} has the unknown wall type “{wall_type}”: add that type, or choose another."
    ),
    "drawing-unknown": error(
        "{storey} belongs to the drawing “{drawing}”, which the job does not have: add that drawing, or name another."
    ),
    "border-side-unknown": error(
        "A border of the ceiling of {room} follows a wall that the room does not have: choose one of its walls.",
        evidence="The job file names the side “{side}”.",
    ),
    "corner-picked-twice": error(
        "One corner of {room} is set twice: keep one of the two.", evidence="The job file names the corner “{corner}”."
    ),
    "corner-pick-empty": check(
        "A corner of {room} is set, but to nothing: choose its bead, profile or finish, or clear it.",
        evidence="The job file names the corner “{corner}”.",
    ),
    "opening-room-unknown": error(
        "{opening} stands in a room that {storey} does not have: choose its room.",
        evidence="The job file names the room “{room}”.",
    ),
    "opening-side-unknown": error(
        "{opening} stands in a wall that its room does not have: choose its wall.",
        evidence="The job file names the side “{side}”.",
    ),
    "picture-not-placed": error(
        "{file} is a picture without a scale: mark four corners of a rectangle, or one known length, before tracing."
    ),
}

_SHAPES = {
    "outline-crosses": error("{ring} of {room} {fault}: draw it again."),
    "outline-unsound": error("{ring} of {room} {fault}: draw it again."),
    "outline-turned": error("{ring} of {room} runs the wrong way round: list it {way}."),
    "area-absurd": error("{ring} of {room} encloses {area}, more than any room has: check the unit of the drawing."),
    "area-tiny": check("{ring} of {room} encloses only {area}: check the unit of the drawing, or remove the room."),
    "inner-ring-outside": error("An inner outline of {room} {how}: move it inside, or remove it."),
    "inner-rings-overlap": error("Two inner outlines of {room} overlap: make them one."),
    "field-without-planes": error("No height is given for {field} of {room}: set one."),
    "region-unsound": error("{region} of {room} {fault}: draw it again."),
    "region-outside": error("{region} lies outside {room}: move it inside, or remove it."),
    "region-sticks-out": check("{region} reaches {area} past {room} and is cut off there: check its outline."),
    "regions-overlap": error("{one} and {other} overlap by {area} in {field} of {room}: move them apart."),
    "ceiling-below-floor": error("The ceiling of {room} is {gap} below its floor {place}: correct one of the heights."),
    "room-without-height": error("{room} has no height between floor and ceiling: set its ceiling height."),
    "room-too-high": error(
        "{room} would be {height} high {place}, more than any room is: correct its ceiling or its floor."
    ),
    "rooms-overlap": error("{one} and {other} overlap by {area} {place}, which is counted twice: move one of them."),
    "rooms-overlap/more": error(
        "More than {most} pairs of rooms of {storey} overlap, and the rest are not named: move the named ones first."
    ),
    "open-side-leads-nowhere": check(
        "Wall {side} of {room} is open but nothing adjoins it: close it or draw the adjoining room."
    ),
}

_OPENINGS = {
    "opening-head-below-sill": error(
        "The head of {opening} ({head}) is not above its sill ({sill}): correct one of them."
    ),
    "opening-shape/round": error("{opening} is round, but {width} wide and {height} high: correct its size."),
    "opening-shape/semicircular": error(
        "{opening} has a semicircular head {rise} high, but is {height} high in all: correct its size."
    ),
    "opening-shape/steep": error(
        "{opening} has a segmental head that rises {rise} over {width}: correct its size.",
        evidence="A segmental head rises by half its width at most.",
    ),
    "opening-shape/segmental": error(
        "{opening} has a segmental head that rises {rise}, but is {height} high in all: correct its size."
    ),
    "opening-in-open-side": error(
        "{opening} stands in wall {side} of {room}, which is open: close the wall, or remove the opening."
    ),
    "opening-outside-wall": error("{opening} lies outside its wall in {room}, which is {length} long: move it."),
    "opening-outside-wall/sticks-out": error(
        "{opening} reaches {by} past its wall in {room} and is cut off there: move it."
    ),
    "opening-outside-wall/height": error(
        "{opening} lies wholly above the ceiling or below the floor of {room}: correct its sill and head."
    ),
    "opening-wider-than-wall": error(
        "{opening} is {width} wide, but its wall in {room} is {length} long: correct its width."
    ),
    "opening-above-ceiling": check(
        "The head of {opening} is {by} above the ceiling of {room} and is cut there: check head and ceiling."
    ),
    "opening-below-floor": check(
        "The sill of {opening} is {by} below the floor of {room} and is cut there: check sill and floor."
    ),
    "openings-overlap": Rule(
        ("error", "check"),
        "{one} and {other} overlap in wall {side} of {room}: move or remove one of them.",
        "mending",
        evidence="The wall loses the area that both have once.",
    ),
    "opening-twice": check(
        "{one} of {room} and {other} of {other_room} go through one wall at one place: keep one of them.",
        evidence="The faces of that wall lose their area twice.",
    ),
    "openings-check": check("Not yet measured on {storey}: {openings}. Accept or reject each.", "openings"),
    "openings-question": check("Not yet measured on {storey}: {openings}. Accept or reject each.", "openings"),
}

_TREATMENTS = {
    "band-empty": error("“{band}” on {wall} ends at {to}, where it has not begun: correct one of its heights."),
    "band-taller-than-wall": check(
        "“{band}” on {wall} reaches {to}, but the wall is {height} high: check its height.",
        evidence="What reaches past the wall is cut off.",
    ),
    "bands-overlap": check(
        "“{one}” and “{other}” on {wall} overlap by {by}, which is deducted once: check their heights."
    ),
    "return-longer-than-wall": check(
        "The return on wall {side} of {room} is {coated}, but the wall is {length} long: check the return.",
        evidence="It runs from the {end} of the wall. All of the wall is coated.",
    ),
    "coated-part-outside-side": check(
        "A wall of {room} is coated from {start} to {end}, but is {length} long: correct which part is coated.",
        evidence="What reaches past the wall is cut off.",
    ),
    "open-range-on-wall": check(
        "Wall {side} of {room} is closed, yet open between two heights: open the wall, or clear those heights."
    ),
    "open-range-empty": error("Wall {side} of {room} is open from {low} to {high}: correct one of the two heights."),
    "behind-outside-side": error(
        "What is behind wall {side} of {room} is given from {start} to {end}, but the wall is {length} long: correct "
        "it."
    ),
    "behind-twice": error("What is behind wall {side} of {room} is given twice from {start} to {end}: keep one."),
    "exclusion-unsound": error("The outline of {exclusion} {fault}: draw it again."),
    "exclusion-outside": error("{exclusion} lies wholly off it: move it, or remove it."),
    "exclusion-sticks-out": check("{exclusion} reaches {area} past it and is cut off there: check its outline."),
}


_STAIRS = {
    "stair-drawn": check(
        "The ceiling of {room}, {area}, has a stair drawn under it: say whether it goes on above the stair.",
        "stair",
        evidence="It is measured whole until then.",
    ),
    "stair-drawn/left-out": check(
        "The ceiling of {room}, {area}, has a stair drawn under it: say whether it goes on above the stair.",
        "stair",
        evidence="It is not measured until then.",
    ),
    "stair-drawn/named": check(
        "The ceiling of {room}, {area}, is that of a stair: say whether it goes on above the stair.",
        "stair",
        evidence="No stair is drawn there, but the name of the room says so. It is measured whole until then.",
    ),
    "stair-drawn/named-left-out": check(
        "The ceiling of {room}, {area}, is that of a stair: say whether it goes on above the stair.",
        "stair",
        evidence="No stair is drawn there, but the name of the room says so. It is not measured until then.",
    ),
    "stair-drawn/well": check(
        "The ceiling of {room}, {area}, has a stair under it and in {over} above: say whether it goes on.",
        "stair",
        evidence="It is measured whole until then.",
    ),
    "opening-in-other-storey": check(
        "{room} has openings at the height of {storey} ({openings}): check what is beyond, and sill and head."
    ),
}

_OPENING_SIZES = {
    "sill": assumed("The sill height of {openings} on {storey} is assumed ({values}): measure it."),
    "head": assumed("The head height of {openings} on {storey} is assumed ({values}): measure it."),
    "width": assumed("The width of {openings} on {storey} is assumed ({values}): measure it."),
    "reveal": assumed("The reveal depth of {openings} on {storey} is assumed ({values}): measure it."),
}

_DRAWN_ASSUMED = assumed("Assumed on {storey}: {things}. Measure and draw again.")

_ASSUMED = {
    "assumed-storey-height": assumed("The height of {storey}, {height}, is assumed for {rooms}: measure it."),
    "assumed-ceiling": assumed("The ceiling height of {rooms} on {storey} is assumed ({values}): measure it."),
    "assumed-floor": assumed("The floor level of {rooms} on {storey} is assumed ({values}): measure it."),
    **{f"assumed-{kind}-{part}": rule for kind in ("window", "door", "open") for part, rule in _OPENING_SIZES.items()},
    **{f"assumed-{what}": _DRAWN_ASSUMED for what in ("side", "region", "exclusion", "rooflight")},
    "assumed-behind": assumed("What is behind {things} on {storey} is assumed: decide it."),
    "budget-room": check(
        "{room} is an estimate room of length, width and height alone: survey it on site before you order."
    ),
    "room-check": check(
        "{room} is uncertain: check its outline, then accept or reject it.", "room", evidence="{because}"
    ),
    "room-question": check(
        "{room} is very uncertain: check its outline, then accept or reject it.", "room", evidence="{because}"
    ),
}

_SURVEYED = {
    "readings-open": check("The survey of {room} gives no closed outline: enter what is missing."),
    "readings-overruled": note(
        "The outline of {room} was changed by hand after its survey, so the survey no longer governs."
    ),
    "readings-cross": error("The outline crosses itself: check its turns and lengths."),
    "reading-gross": check("{reading} is about {by} too {more} for the others: measure it again."),
    "reading-gross/several": check(
        "One measurement does not fit, most likely {reading}: measure it again.", evidence="It may also be {others}."
    ),
    "readings-misclose": check(
        "The sides do not close by {gap} mm, which was shared among them: check them, or measure a diagonal."
    ),
    "readings-misclose/about": check(
        "The sides do not close by {gap} mm: measure {more} to check.",
        evidence="The corners were turned until the outline closed.",
    ),
    "readings-square-assumed": assumed("The corners are taken as square, not measured: measure {more} to check."),
    "readings-ceiling": check(
        "The heights measured in {room} do not settle its ceiling: measure more heights, or set the slopes.",
        evidence="It is taken as {form}{off}.",
    ),
    "together-open": check(
        "The surveyed rooms of {storey} are no longer assembled: assemble them again.", evidence="{fault}"
    ),
    "together-moved": check(
        "Rooms of {storey} were moved after they were assembled: assemble them again, or take them apart."
    ),
    "together-misfit": check("The {join} does not fit by {by} mm: check what was measured there."),
}

RULES: dict[str, Rule] = {
    **_NUMBERS, **_NAMES, **_SHAPES, **_OPENINGS, **_TREATMENTS, **_STAIRS, **_ASSUMED, **_SURVEYED,
}  # fmt: skip
