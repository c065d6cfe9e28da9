"""The ledger, one part: what the readers of files notice."""

from __future__ import annotations

from takeoff.findings.rules import Rule, check, error, note

_DXF: dict[str, Rule] = {
    "dxf-recovered": check(
        "{file} is damaged and was recovered: check that nothing is missing, or save it again in its program.",
        evidence="The damage: {reason}.",
    ),
    "dxf-recovered-in-part": error(
        "{file} is badly damaged and only parts of it were read: save it again in its program and open that.",
        "accepting",
        evidence="The damage: {reason}.",
    ),
    "dxf-repaired": note("Faults of {file} were repaired.", evidence="Faults: {count}. {kinds}."),
    "dxf-repaired/values": note(
        "Faulty values of {file} were repaired or skipped.", evidence="Values: {count}. The first: {first}."
    ),
    "dxf-not-repaired": check(
        "Faults of {file} could not be repaired: check that nothing is missing.", evidence="Faults: {count}. {kinds}."
    ),
    "paper-space-left": note(
        "The model space of {file} was read, its paper space was not.", evidence="Entities not read: {elsewhere}."
    ),
    "paper-space-read": check(
        "The model space of {file} is empty, so paper space “{space}” was read: check the scale.",
        evidence="Paper space may have the scale of the sheet.{rest}",
    ),
    "layers-hidden": note("Some layers with lines on them are off or frozen.", evidence="Layers: {layers}."),
    "facets-as-arc": note(
        "Curves drawn in facets are measured as the arcs that they stand for.",
        evidence="Curves: {count}, of {sides} sides in all. The first has a radius of {radius} drawing units.",
    ),
    "facets-unclear": check(
        "{sides} equal sides, measured as drawn, may be a curve: check whether they are.",
        evidence="Each turns by {turn_deg}° at {x}, {y}. The curve would have a radius of {radius} drawing units.",
    ),
    "entity-not-read": Rule(
        ("error", "check"),
        "{entities} of {file} could not be read: save the drawing again in its program and open it again.",
        evidence="{reasons}.",
    ),
    "coordinates-dropped": Rule(
        ("error", "check"),
        "{entities} of {file} lie at no possible place and were left out: correct or erase them.",
        evidence="Their coordinates are no numbers, or beyond the Earth. The first: {place}.",
    ),
    "without-size": note("{entities} of {file} have no size, draw nothing and were left out."),
    "xref-not-read": check(
        "{file} refers to “{path}”, which was not read: bind it, or add that file too.",
        evidence="It is the external reference {name}.",
    ),
    "block-missing": error(
        "{file} inserts blocks that it does not contain, so parts are missing: save it again with its blocks.",
        "accepting",
        evidence="Blocks: {blocks}.",
    ),
    "block-cycle": check(
        "Blocks of {file} contain themselves and were placed once: check that nothing is missing.",
        evidence="Blocks: {blocks}.",
    ),
    "block-depth": error(
        "Blocks of {file} are nested too deep and were left out: explode them in its program.",
        "accepting",
        evidence="Blocks: {blocks}.",
    ),
    "block-limit": error(
        "Blocks of {file} come to too many pieces and were left out: erase what is no plan and open it again.",
        "accepting",
        evidence="Blocks: {blocks}, up to {pieces} pieces.",
    ),
    "content-not-read": check(
        "{file} also holds things without readable lines: if walls are among them, explode them in its program.",
        evidence="Not read: {entities}.",
    ),
    "curve-by-chords": note(
        "Some curves are measured by short chords, at most 0.02 % short.",
        evidence="Chords of at most 1.5 degrees: {entities}.",
    ),
    "not-in-plan": check(
        "What stands out of the plane of the plan was projected on to it: check that it belongs there.",
        evidence="Projected: {entities}.",
    ),
    "text-encoding": note(
        "Some words are not in the encoding that the file names and were read as Western European.",
        evidence="Words: {count}.",
    ),
    "wide-lines": note(
        "Lines drawn as thick as a wall all along are taken for walls with two faces.",
        evidence="Lines drawn with a width: {count}. The others are lines along their middle.",
    ),
    "invisible": note("What is marked invisible was left out.", evidence="Entities: {count}."),
}

_PDF: dict[str, Rule] = {
    "page-chosen": check(
        "Page {page} of {file} was read, which has most lines: choose another page if that is not the plan.",
        evidence="It has {lines} lines. The file has {pages} pages; others with lines: {others}.",
        options="On the command: --page-number N.",
    ),
    "page-chosen/plan": check(
        "Page {page} of {file} was read, which says it is a floor plan: choose another page if that is not the one.",
        evidence="It has {lines} lines. The file has {pages} pages; others with lines: {others}.",
        options="On the command: --page-number N.",
    ),
    "page-chosen/alone": note(
        "Page {page} of {file} was read, the only one with a drawing.",
        evidence="It has {lines} lines. The file has {pages} pages.",
    ),
    "pages-not-read": check(
        "Damaged pages of {file} could not be read: get the file again if the plan is on them.",
        evidence="Pages: {count}.",
    ),
    "page-is-picture": error(
        "Page {page} of {file} is a picture (a scan) without lines: straighten and trace it, or ask for the DXF.",
        evidence="A PDF printed from the drawing program has lines too.",
    ),
    "no-text": note(
        "Page {page} of {file} has no text, so no names, areas or scale were read.",
        evidence="Its letters may be drawn as lines.",
    ),
    "pdf-layers": note("{file} has named layers.", evidence="Layers: {count} ({layers})."),
    "layers-hidden/pdf": note("Some layers with lines of {file} are switched off.", evidence="Layers: {layers}."),
    "picture-on-page": check(
        "Images cover {share} of page {page} of {file}: if the plan is one of them, trace it as a picture.",
        evidence="Only the lines of the page are read.",
    ),
    "curve-by-chords/pdf": note(
        "Some curves of {file} are measured by chords within 0.005 mm on paper.",
        evidence="Curves that are no circles: {count}.",
    ),
    "paths-unseen": note("White shapes of {file} were left out.", evidence="Shapes: {count}."),
    "paths-cut": note(
        "What reaches past the edge of the page or of a viewport of {file} was cut there.", evidence="Paths: {count}."
    ),
    "strips-as-lines": note("Thin filled strips of {file} are taken for lines.", evidence="Strips: {count}."),
    "strokes-as-fill": note(
        "Lines of {file} whose ink runs together are taken for the shapes that they fill.", evidence="Lines: {count}."
    ),
    "letters-as-shapes": note(
        "Small filled shapes of {file} are taken for letters, not for walls.", evidence="Shapes: {count}."
    ),
    "letters-as-lines": note(
        "Short lines of {file} are taken for letters, not for walls, and are not read.", evidence="Lines: {count}."
    ),
    "shading-left": note("Shadings of {file} were left out.", evidence="Shadings: {count}."),
    "facets-as-arc/pdf": note(
        "Curves of {file} drawn in facets are measured as the arcs that they stand for.",
        evidence="Curves: {count}. The first has a radius of {radius} mm on paper.",
    ),
    "facets-unclear/pdf": check(
        "Runs of equal sides in {file}, measured as drawn, may be curves: check whether they are.",
        evidence="Runs: {count}. The largest would have a radius of {radius} mm on paper.",
    ),
}

_IFC: dict[str, Rule] = {
    "unit-undecided/model": error("{file} gives no unit of length and was read in metres: export it again with one."),
    "schema-older": check(
        "{file} has an older schema and was read as IFC 2x3: check that nothing is missing, or export it again.",
        evidence="Its schema: {schema}.",
    ),
    "unit-decided/model": note("{file} gives its lengths in {unit}."),
    "elements-far-away": check(
        "Elements more than 20 km from the others were left out: check where they are placed.",
        evidence="Elements: {count}.",
    ),
    "storeys-missing": check(
        "{file} names no storeys, so they were made up from its doors and spaces: check their levels.",
        evidence="Storeys: {count}. Each stands on a floor of doors and spaces.",
    ),
    "storeys-empty": note("Storeys with nothing to measure were left out.", evidence="Storeys: {storeys}."),
    "openings-below-storeys": note(
        "Doors, windows and holes below the lowest measured storey were left out.", evidence="Openings: {count}."
    ),
    "storey-without-spaces": error(
        "Storeys with doors have no spaces, so their rooms are missing: draw them, or export the model with spaces.",
        "accepting",
        evidence="Storeys: {storeys}.",
    ),
    "space-without-shape": error(
        "Spaces of {file} without a sound shape are missing as rooms: draw them, or export the model again.",
        "accepting",
        evidence="Spaces: {spaces}.",
    ),
    "shapes-missing": check(
        "Elements of {file} without a sound shape were left out: check for missing walls and openings.",
        evidence="Elements: {kinds}.",
    ),
}

_PICTURE: dict[str, Rule] = {
    "picture-first-page": check(
        "{file} holds several pictures and the first was read: save the others as files of their own.",
        evidence="Pictures: {count}.",
    ),
    "picture-to-trace": error(
        "{file} is a picture without lines: mark four corners of a rectangle, or one known length, then trace its "
        "rooms.",
        evidence="It has {width} × {height} pixels.",
    ),
}

RULES: dict[str, Rule] = {**_DXF, **_PDF, **_IFC, **_PICTURE}
