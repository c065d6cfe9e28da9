"""The ledger, one part: what is noticed while rooms and openings are looked for."""

from __future__ import annotations

from takeoff.findings.rules import Rule, check, error, note

_SIZE: dict[str, Rule] = {
    "unit-decided": Rule(("note", "check"), "{file} is drawn in {unit}.", evidence="{why}.{more}"),
    "unit-undecided": error(
        "{file} {header} and does not show for sure in which unit it is drawn: choose the unit.",
        evidence="It is read in {unit} for now, where {shown}.",
        options="On the command: --unit mm, cm, m, in or ft.",
    ),
    "unit-chosen": note("{file} is read in {unit}, as you chose."),
    "unit-chosen/overruled": check(
        "{file} is read in {unit}, as you chose, but its drawing looks like {best}: check one length.",
        evidence="In {best}, {why}.",
    ),
    "dimension-differs": check(
        "A dimension says {text} ({written_mm} mm), but {drawn_mm} mm are drawn: find out which is right.",
        evidence="The written figure governs.",
    ),
    "dimension-differs/more": check("{count} more dimensions differ from what is drawn: check the drawing."),
    "dimensions-fit-no-unit": error(
        "The written dimensions fit the drawing in no unit: check whether it is drawn to the scale of its sheet.",
        evidence="{count} dimensions are about {ratio} times the drawn length in mm.",
    ),
    "scale-decided": Rule(("note", "check"), "{file} is drawn at {scale}.", evidence="{why}.{more}"),
    "scale-undecided": error(
        "{file} does not show for sure at which scale it is drawn: choose it, or give one known length.",
        evidence="It is read at {scale} for now, where {shown}.{others}",
        options="On the command: --scale 1:100.",
    ),
    "scale-chosen": note("{file} is read at {scale}, as you chose."),
    "scale-chosen/overruled": check(
        "{file} is read at {scale}, as you chose, but its sheet looks like {best}: check one length.",
        evidence="At {best}, {why}.",
    ),
    "paper-differs": check(
        "The paper of {file} is not the one that its scale is for: check one length.", evidence="{remark}."
    ),
    "figures-differ": check(
        "At {scale}, few figures at dimension lines of {file} say the length that is drawn: check one length.",
        evidence="It is so for {fit} of {count} figures.",
    ),
    "do-not-scale": check(
        "{file} says “{said}”: check the sizes of its rooms against its figured dimensions, or on site.",
        evidence="Figured dimensions govern.",
    ),
    "plan-at-other-scale": error(
        "One plan of {file} says {says}, but the sheet is read at {read_at}: open it again at {says} for that plan.",
        "accepting",
        evidence="Rooms of that plan: {rooms}. They are {times} times as long as they should be: leave them out here.",
        options="On the command: --scale as that plan says.",
    ),
    "title-block": note("The title block says: {said}."),
    "storey-laid-over": note(
        "{file} was laid over the storeys of this job.",
        evidence="{share} of its walls lie over walls of another storey.",
    ),
    "storey-does-not-fit": check(
        "{file} does not fit the storeys of this job and stays where it was drawn: lay it over by two points.",
        evidence="Only {share} of its walls lie over walls of another storey. It may be of another building.",
    ),
    "storey-does-not-fit/unit": check(
        "{file} does not fit the storeys of this job, but {factor} it would: check its unit or scale first.",
        evidence="Only {share} of its walls lie over walls of another storey.",
    ),
    "storey-drawn-twice": check(
        "{file} shows the same rooms as {storey}: remove one of them unless the building has both storeys."
    ),
}
_LINES: dict[str, Rule] = {
    "lines-beyond-counting": check(
        "The drawing has too many lines to look at all: say which layers the walls are on, or draw the rooms.",
        "mending",
        evidence="There are {lines} lines, close together or crossing often, and {done}.",
    ),
    "columns-unsaid": check(
        "Layer “{layer}” has small closed shapes, which are left out: if they are columns, say so.",
        evidence="It has no other lines, and its name does not say what they are.",
        options="On the command: --layer NAME=columns.",
    ),
    "layers-inferred": check(
        "No layer’s name says which lines are walls, so they were told by how they look: check the layers.",
        evidence="Taken: {taken}.",
        options="On the command: --layer NAME=ROLE.",
    ),
    "demolished-left-out": check(
        "What is drawn on {layers} is taken as demolished and bounds no room: say if it still stands.",
        options="On the command: --layers NAME.",
    ),
    "dashed-walls-left-out": check(
        "Some {length_m} m of walls on “{layer}” with line type “{linetype}” bound no room: say whether they stand.",
        evidence="The first is at {x}, {y}. They are taken as demolished, or as lying above.",
        options="On the command: --layer LINETYPE=walls or LINETYPE=demolished.",
    ),
    "walls-drawn-otherwise": check(
        "Some {length_m} m of walls on {layers} are drawn in {drawn}, unlike others: say whether they stand.",
        evidence="The first is at {x}, {y}. They bound rooms as if they stood.",
        options="On the command: --layer COLOUR-OR-LINETYPE=walls or =demolished.",
    ),
    "demolition-spoken-of": check(
        "The drawing says “{said}”, but nothing shows which walls are meant: check that no room is bounded by them.",
        evidence="The note is at {x}, {y}{more}. No layer or line type shows what comes down.",
    ),
}
_ROOMS: dict[str, Rule] = {
    "no-room-found": error(
        "No closed room was found in this drawing: choose the layers of the walls, or draw the rooms by hand."
    ),
    "several-plans": check(
        "Several plans lie apart on this sheet and are taken as storeys: check their order, levels and heights.",
        evidence="{count} plans: {plans}.",
    ),
    "spaces-without-way-in": note(
        "Closed spaces without a name or a way in were left out: draw those that are rooms after all.",
        evidence="{spaces} taken for masonry, shafts or what lies in front of the house: {listed}.",
    ),
    "named-without-way-in": check(
        "Closed spaces with a name but no way in were left out: draw those that are rooms after all.",
        evidence="{spaces} taken for ducts, ponds, roofs or parts of a floor: {listed}.",
    ),
    "spaces-hardly-walled": check(
        "Spaces with walls on few sides were left out: draw those that are rooms after all.",
        evidence="{spaces} taken for places outdoors, parking or parts of a floor: {listed}.",
    ),
    "spaces-open-sided": note(
        "Small spaces without a name and with walls on few sides were left out: draw those that are rooms after all.",
        evidence="{spaces} taken for landings, piers or what lies between furniture: {listed}.",
    ),
    "spaces-of-glass": note(
        "Spaces that glass surrounds, without a door, were left out: draw those that are rooms after all.",
        evidence="{spaces} taken for windows seen from outside, cases or furniture: {listed}.",
    ),
    "views-beside-plans": note(
        "Drawings beside the plans, without a door or a name, were left out: draw the rooms there if they are plans.",
        evidence="{spaces} taken for elevations, sections, details or roofs: {listed}.",
    ),
    "label-in-no-room": check(
        "Names or areas of rooms stand in no closed room: check whether a room is missing there.",
        evidence="{labels}: {listed}.",
    ),
    "open-plan": check(
        "Many walls enclose no room, so only {rooms} could be proposed: draw the others by hand.",
        evidence="This is an open plan: of {total_m} m of wall, {free_m} m enclose no room.",
    ),
    "open-plan-parts": note(
        "{names} are one open plan without a wall between: split it if its parts are coated differently.",
        evidence="{how}.",
    ),
    "room-to-check": check(
        "{room} is uncertain: check its outline, then accept or reject it.", "room", evidence="{why}."
    ),
    "printed-area-differs": check(
        "The plan prints “{printed}” in {room}, but its outline has {area_m2} m²: check where the room ends.",
        evidence="The scale or the unit may be wrong too.",
    ),
    "printed-areas-differ": check(
        "The areas printed in {room} add up to {printed_m2} m², but its outline has {area_m2} m²: check its parts."
    ),
    "dashed-overhead": check(
        "Dashed lines in {room} may show parts of the ceiling that are not measured: set them by hand if so.",
        evidence="Dashed: {listed}.",
    ),
    "door-off-wall": check(
        "A door some {width_mm} mm wide is drawn where no gap in a wall was found: add it if it is there.",
        evidence="It is drawn at {x}, {y}.",
    ),
    "schedule-differs": check(
        "{opening} is {written_mm} mm wide by its schedule, but {drawn_mm} mm as drawn: find out which is right.",
        evidence="It is drawn at {x}, {y}. Its written height is not used.",
    ),
}
_MODELS: dict[str, Rule] = {
    "no-room-found/model": error("The model has no storey to measure: ask for the architect’s model."),
    "space-left-out": Rule(
        ("check", "note"),
        "Spaces of the model were left out: draw those that are rooms after all.",
        evidence="{spaces} ({why}): {listed}.",
    ),
    "spaces-missing": Rule(
        ("check", "error"),
        "The model has no spaces, so rooms were sought between its walls: ask for its spaces, or draw the rooms.",
        "mending",
        evidence="{found}.",
    ),
    "open-plan/model": check(
        "{storey} is an open plan for the most part: draw the spaces that are to be coated.",
        evidence="Rooms enclose {held_m2} of about {floor_m2} m².",
    ),
    "reveal-not-modelled": note(
        "The model does not give the reveal depths of windows, which are taken as {reveal_mm} mm.",
        evidence="{windows} windows: the model does not tell where their frames stand in the walls.",
    ),
    "space-in-wall": check(
        "Spaces of the model meet in the middle of walls, so areas are too large: have them end at wall faces.",
        evidence="{borders} such borders, the first between “{first}” and “{second}”.",
    ),
    "open-between-storeys": note(
        "Rooms are open to rooms of another storey, and those ways are deducted from their walls.",
        evidence="Rooms: {listed}. The edges of floors between count as wall.",
    ),
    "opening-in-no-room": check(
        "Doors or windows lie in no wall of a room: check whether a room is missing there.",
        evidence="{openings}: {listed}.",
    ),
    "quantity-differs": check(
        "The {what} that the model gives for “{space}” differs from its solid, which is measured: check it.",
        evidence="{off} of {count} spaces differ, this one most: {written} {unit} given, {solid} {unit} in the solid "
        "({share}).",
    ),
}
_AGAIN: dict[str, Rule] = {
    "rooms-kept": note("The rooms were proposed again; those that you had set were kept.", evidence="Kept: {rooms}."),
    "room-in-the-way": check(
        "{called}, as proposed now, lies in a room that you set, and was left out: check which is right."
    ),
    "outline-changed": note("{called} has another outline now; what you set for all of it was kept."),
    "set-values-lost": check(
        "{called} has another outline now, and some of what you set was lost: set it again, or undo.",
        evidence="Lost: {lost}.",
    ),
}
RULES: dict[str, Rule] = {**_SIZE, **_LINES, **_ROOMS, **_MODELS, **_AGAIN}
