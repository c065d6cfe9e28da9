"""The ledger, one part: what is noticed while rooms and openings are looked for."""

from __future__ import annotations

from takeoff.findings.rules import Rule, check, error, note

_SIZE: dict[str, Rule] = {
    "unit-decided": Rule(("note", "check"), "{file} is drawn in {unit}.", evidence="{why}.{more}"),
    "unit-undecided": error(
        "{file} {header} and does not show for sure in which unit it is drawn: choose it.",
        evidence="It is read in {unit} for now, where {shown}.",
        options="On the command: --unit mm, cm, m, in or ft.",
    ),
    "unit-chosen": note("{file} is read in {unit}, as you chose."),
    "unit-chosen/overruled": check(
        "{file} is read in {unit}, as you chose, but its drawing looks like {best}: check one length.",
        evidence="In {best}, {why}.",
    ),
    "dimension-differs": check(
        "A dimension says {text} ({written_mm} mm) where {drawn_mm} mm are drawn: the written figure governs, so find "
        "out which is right."
    ),
    "dimension-differs/more": check("{count} more dimensions differ from what is drawn."),
    "dimensions-fit-no-unit": error(
        "{count} written dimensions fit what is drawn in no unit: they are about {ratio:.4g} times its length in mm. "
        "Is the drawing made to the scale of its sheet, or the unit wrong?"
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
    "paper-differs": check("{file}: {remark}."),
    "figures-differ": check(
        "{file}: at {scale} only {fit} of {count} figures at dimension lines say the length that is drawn: check one "
        "of them."
    ),
    "do-not-scale": check(
        "{file} says “{said}”: figured dimensions govern, so check the rooms' sizes against them or on site."
    ),
    "plan-at-other-scale": error(
        "{file}: the plan with {rooms} of the rooms says {says}, but the sheet was read at {read_at}, so they are "
        "{times:.3g} times as long as drawn: open the sheet with --scale {says} for them, and leave them out here.",
        "accepting",
    ),
    "title-block": note("The title block says: {said}."),
    "storey-laid-over": note("{file} was laid over the storeys of this job: {share} of its walls lie over walls."),
    "storey-does-not-fit": check(
        "{file} fits the storeys of this job by only {share} of its walls, so it stays where it was drawn: lay it over "
        "by two points, or see whether it is of this building."
    ),
    "storey-does-not-fit/unit": check(
        "{file} fits the storeys of this job by only {share} of its walls; {factor} it would fit: look at its unit or "
        "scale first."
    ),
    "storey-drawn-twice": check(
        "{file} shows the same rooms as {storey}: remove one of them unless the building has both storeys."
    ),
}
_LINES: dict[str, Rule] = {
    "lines-beyond-counting": check(
        "The {lines} lines of this drawing lie so close, or cross so often, that not all can be looked at, and {done}: "
        "say which layers the walls are on, or draw the rooms by hand.",
        "mending",
    ),
    "columns-unsaid": check(
        "“{layer}” has small closed shapes only, as columns are, and its name does not say what they are: they are "
        "left out; say what the layer is for if they are columns."
    ),
    "layers-inferred": check(
        "No layer’s name says which lines are walls: judged by how they look, the program took {taken}. Check that, "
        "and say what a layer is for where it is wrong."
    ),
    "demolished-left-out": check(
        "What is drawn on {layers} is taken for demolished and bounds no room: name the layers that count with "
        "--layers if it still stands."
    ),
    "dashed-walls-left-out": check(
        "Some {length_m:.0f} m of lines on layers of walls have the line type “{linetype}”, the first at {x:.0f}, "
        "{y:.0f} on “{layer}”: they are taken for demolished or for what lies above, and bound no room; say whether "
        "they stand or come down, on the page of the drawing or with --layer {linetype}=walls or =demolished."
    ),
    "walls-drawn-otherwise": check(
        "Some {length_m:.0f} m of walls on {layers} are drawn in {drawn}, unlike other walls, the first at {x:.0f}, "
        "{y:.0f}: they bound rooms as if they stood; say whether they stand or come down, on the page of the drawing "
        "or with --layer {way}=walls or =demolished."
    ),
    "demolition-spoken-of": check(
        "The drawing says “{said}” at {x:.0f}, {y:.0f}{more}, but no layer or line type shows which walls are meant: "
        "check that no room is bounded by what goes."
    ),
}
_ROOMS: dict[str, Rule] = {
    "no-room-found": error(
        "No closed room was found in this drawing: choose the layers of the walls, or draw the rooms by hand."
    ),
    "several-plans": check(
        "{count} plans lie apart on this sheet and are taken for storeys: {plans}; check their order, levels and "
        "heights."
    ),
    "spaces-without-way-in": note(
        "{spaces} no name and no way in, while other rooms have theirs: {listed}. Taken for masonry, shafts or what "
        "lies before the house; draw what is a room after all."
    ),
    "spaces-open-sided": note(
        "{spaces} no name and walls on few sides, while others are walled in: {listed}. Taken for landings, piers or "
        "what lies between furniture; draw what is a room after all."
    ),
    "label-in-no-room": check("{labels} in no closed room: {listed}."),
    "open-plan": check(
        "Some {free_m:.0f} m of {total_m:.0f} m of wall enclose no room: this is an open plan, and only its {rooms} "
        "closed room(s) are proposed; draw the others by hand."
    ),
    "open-plan-parts": note("{names} are one open plan, and no wall stands between them: {how}."),
    "room-to-check": check("{room} at {x:.0f}, {y:.0f}: {why}: {ask}.", "room"),
    "printed-area-differs": check(
        "The plan prints “{printed}” in {room}, but its outline has {area_m2:.3f} m²: check the scale, the unit and "
        "where the room ends."
    ),
    "printed-areas-differ": check(
        "The printed areas in {room} add up to {printed_m2:.2f} m², but its outline has {area_m2:.3f} m²: check which "
        "parts belong to it."
    ),
    "dashed-overhead": check(
        "Dashed in {room}: {listed}: nothing is made of it; set the ceiling there by hand if it is so."
    ),
    "door-off-wall": check(
        "A door is drawn at {x:.0f}, {y:.0f}, some {width_mm:.0f} mm wide, where no gap in a wall was found: set it "
        "by hand if there is one."
    ),
    "schedule-differs": check(
        "The {opening} at {x:.0f}, {y:.0f} is {written_mm} mm wide by its schedule, but drawn {drawn_mm} mm wide: its "
        "written height is not taken over; find out which is right."
    ),
}
_MODELS: dict[str, Rule] = {
    "no-room-found/model": error("The model has no storey to measure."),
    "space-left-out": Rule(
        ("check", "note"), "{spaces} left out because {why}: {listed}; draw what is a room after all."
    ),
    "spaces-missing": Rule(
        ("check", "error"),
        "The model has no spaces, so rooms were sought in a cut through its walls: {found}; ask for the model with "
        "its spaces, or draw the rooms.",
        "mending",
    ),
    "open-plan/model": check(
        "{storey} is an open plan for the most part: rooms enclose {held_m2:.0f} of about {floor_m2:.0f} m²; draw the "
        "spaces that are to be coated."
    ),
    "reveal-not-modelled": note(
        "The model does not tell where the frames of {windows} windows stand in their walls: their reveals are taken "
        "as {reveal_mm:.0f} mm deep."
    ),
    "space-in-wall": check(
        "{borders} borders between spaces run in the middle of a wall (first “{first}” and “{second}”): areas are too "
        "large by half the walls; have spaces end at the faces of walls."
    ),
    "open-between-storeys": note(
        "Rooms are open to rooms of another storey: {listed}; these ways are taken out of their walls, and the edges "
        "of floors between count as wall."
    ),
    "opening-in-no-room": check("{openings} in no room's wall: {listed}; check whether a room is missing there."),
    "quantity-differs": check(
        "The model's own {what}s of {off} of {count} spaces differ from their solids, most for “{space}”: "
        "{written:.2f} {unit} written, {solid:.2f} {unit} in the solid ({share:+.1%}); the solids are measured."
    ),
}
_AGAIN: dict[str, Rule] = {
    "rooms-kept": note("The rooms were proposed anew; these were kept as you had set them: {rooms}."),
    "room-in-the-way": check(
        "{called}, as it is proposed now, lies in a room that you set: it was left out, so look at it."
    ),
    "outline-changed": note("{called} has another outline now: what you set of it as a whole was kept."),
    "set-values-lost": check(
        "{called} has another outline now: what you set of it as a whole was kept, but {lost} was lost: set it again, "
        "or undo."
    ),
}
RULES: dict[str, Rule] = {**_SIZE, **_LINES, **_ROOMS, **_MODELS, **_AGAIN}
