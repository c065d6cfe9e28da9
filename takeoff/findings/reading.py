"""The ledger, one part: what the readers of files notice."""

from __future__ import annotations

from takeoff.findings.rules import Rule, check, error, note

_DXF: dict[str, Rule] = {
    "dxf-recovered": check(
        "{file} is damaged ({reason}) and was recovered: check that nothing is missing, or save it again in its "
        "program."
    ),
    "dxf-recovered-in-part": error(
        "{file} is badly damaged ({reason}) and only parts of it could be read: save it again in its program and "
        "open that.",
        "accepting",
    ),
    "dxf-repaired": note("{file}: {count} faults repaired: {kinds}."),
    "dxf-repaired/values": note("{file}: {count} faulty values were repaired or skipped, first: {first}."),
    "dxf-not-repaired": check("{file}: {count} faults not repaired: {kinds}."),
    "paper-space-left": note(
        "{file}: model space was read; of the entities with linework {elsewhere} (paper space) were left out."
    ),
    "paper-space-read": check(
        '{file} has no linework in model space: paper space "{space}" was read, whose scale may be that of the '
        "sheet{rest}."
    ),
    "layers-hidden": note("Layers with linework are off or frozen: {layers}."),
    "facets-as-arc": note(
        "{count} curves drawn in facets ({sides} sides) are measured as the arcs they stand for, the first of radius "
        "{radius:.6g} drawing units."
    ),
    "facets-unclear": check(
        "{sides} equal sides that turn {turn_deg:.1f}° each at {x:.6g}, {y:.6g} may be a curve of radius {radius:.6g} "
        "or a polygon: they are measured as drawn."
    ),
    "entity-not-read": Rule(
        ("error", "check"),
        "{file}: {entities} could not be read ({reasons}): save the drawing again in its program and open it again.",
    ),
    "coordinates-dropped": Rule(
        ("error", "check"),
        "{file}: {entities} with coordinates that are no numbers or beyond the Earth left out, the first on {place}: "
        "mend or erase them.",
    ),
    "without-size": note("{file}: {entities} of no size draw nothing and were left out."),
    "xref-not-read": check(
        '{file}: what the drawing takes from "{path}" (external reference {name}) is in that file and was not read: '
        "bind it, or open that file too."
    ),
    "block-missing": error("{file}: blocks are inserted that the file does not contain: {blocks}.", "accepting"),
    "block-cycle": check("{file}: blocks contain themselves ({blocks}): each was placed once."),
    "block-depth": error(
        "{file}: blocks are nested too deep to follow ({blocks} left out): explode them in the drawing's program.",
        "accepting",
    ),
    "block-limit": error(
        "{file}: inserts of {blocks} would make {pieces:,} pieces, more than this program places: they are left out. "
        "Erase what is no plan and open it again.",
        "accepting",
    ),
    "content-not-read": check(
        "{file} also holds {entities}, which carry no readable linework: if walls are among them, explode them in the "
        "drawing's program."
    ),
    "curve-by-chords": note("{entities} measured by chords of at most 1.5 degrees (lengths at most 0.02 % short)."),
    "not-in-plan": check("{entities} stand out of the plan's plane and were projected on it."),
    "text-encoding": note("{count} words were not in the encoding the file names; read as Western European."),
    "wide-lines": note(
        "{count} polylines are drawn with a width: as thick as a wall, and so all along, one is taken for a wall with "
        "two faces; others are lines along their middle."
    ),
    "invisible": note("{count} entities are marked invisible and were left out."),
}

_PDF: dict[str, Rule] = {
    "page-chosen": check(
        "{file} has {pages} pages: page {page}, with most linework ({lines:,} lines), was read. Other pages with "
        "linework: {others}; name one to read it instead."
    ),
    "page-chosen/alone": note(
        "{file} has {pages} pages: page {page}, with most linework ({lines:,} lines), was read. The other pages hold "
        "next to no linework."
    ),
    "pages-not-read": check("{file}: {count} damaged pages could not be read."),
    "page-is-picture": error(
        "Page {page} of {file} is a picture (a scan) without lines: straighten and trace it, or ask for the plan as "
        "DXF or as a PDF printed from the drawing program."
    ),
    "no-text": note(
        "Page {page} of {file} has no text: letters may be drawn as lines, so no names, areas or scale could be read."
    ),
    "pdf-layers": note("{file} names {count} layers ({layers})."),
    "layers-hidden/pdf": note("{file}: layers with linework that are switched off: {layers}."),
    "picture-on-page": check(
        "Images cover {share:.0%} of page {page} of {file}, and only its lines are read: if the plan is one of the "
        "images, open the page as a picture and trace it."
    ),
    "curve-by-chords/pdf": note(
        "{file}: {count} curves that are no circles are measured by chords within 0.005 mm on paper."
    ),
    "paths-unseen": note("{file}: {count} shapes in white or as paper colour were left out."),
    "paths-cut": note("{file}: {count} paths were cut at the edge of the page or of a viewport."),
    "strips-as-lines": note("{file}: {count} thin filled strips are taken for the lines they stand for."),
    "letters-as-shapes": note("{file}: {count} small filled shapes are taken for letters, not for walls."),
    "letters-as-lines": note(
        "{file}: {count} short lines are taken for letters drawn stroke by stroke, not for walls, and are not read."
    ),
    "shading-left": note("{file}: {count} shadings were left out."),
    "facets-as-arc/pdf": note(
        "{file}: {count} curves drawn in facets are measured as the arcs they stand for, the first of radius "
        "{radius:.4g} mm on paper."
    ),
    "facets-unclear/pdf": check(
        "{file}: {count} runs of equal sides may be curves or polygons, the largest of radius {radius:.4g} mm on "
        "paper: they are measured as drawn."
    ),
}

_IFC: dict[str, Rule] = {
    "unit-undecided/model": error(
        "{file} declares no length unit that can be read: it was taken to be in metres; export it again."
    ),
    "schema-older": check(
        "{file} is written in the older schema {schema} and was read as IFC 2x3: look whether anything is missing, or "
        "export it again."
    ),
    "unit-decided/model": note("{file} says that its lengths are in {unit}."),
    "elements-far-away": check(
        "{count} elements lie more than 20 km from the others and were left out: check their placements."
    ),
    "storeys-missing": check(
        "{file} names no storeys: {count} made up from the floors that its doors and spaces stand on; check the levels."
    ),
    "storeys-empty": note("Storeys with nothing to measure were left out: {storeys}."),
    "openings-below-storeys": note(
        "Doors, windows and holes below every storey with something to measure were left out: {count}."
    ),
    "storey-without-spaces": error(
        "Storeys with doors but without a space are missing from the rooms: {storeys}; draw their rooms, or export "
        "the model with its spaces.",
        "accepting",
    ),
    "space-without-shape": error(
        "Spaces of {file} have no shape that can be measured and are missing from the rooms: {spaces}; draw them, or "
        "export the model again.",
        "accepting",
    ),
    "shapes-missing": check(
        "Elements of {file} have no shape that can be made and were left out: {kinds}; look for walls and openings "
        "that are missing."
    ),
}

_PICTURE: dict[str, Rule] = {
    "picture-first-page": check(
        "{file} holds {count} pictures: the first was read; save the others as their own files."
    ),
    "picture-to-trace": error(
        "{file} is a picture ({width} × {height} pixels) without lines to measure: give four corners of a rectangle "
        "of known sides, or one known length, and trace the rooms over it."
    ),
}

RULES: dict[str, Rule] = {**_DXF, **_PDF, **_IFC, **_PICTURE}
