"""Make the invented sample plans, their truth and the sample job: ``python sample_plans/make.py``.

Writes beside itself, or into the folder named as first argument. The same bytes every time.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

import draughting
from job import job
from plans import SHEETS, Plan
from shapely.geometry import Polygon

from takeoff.storage import jobs


def truth(sheet: tuple[Plan, ...]) -> dict[str, object]:
    """What a reader must find: areas and perimeters by construction, openings by their holes."""
    unit = sheet[0].unit
    unit_mm = 1.0 if unit == "mm" else 25.4
    rooms = [
        {
            "name": room.name,
            "area_m2": round(draughting.area_m2(room, unit), 6),
            "perimeter_m": round(Polygon(room.outline).length * unit_mm / 1000 + room.arc_m, 6),
            "printed": draughting.printed_area(room, unit),
            "at": list(room.label_at),
        }
        for plan in sheet
        for room in plan.rooms
    ]
    holes = [
        {"mark": h.mark, "kind": h.kind, "width_mm": round(h.width * unit_mm, 6), "rooms": list(h.rooms)}
        for plan in sheet
        for h in plan.holes
    ]
    return {"unit": unit, "rooms": rooms, "openings": holes}


def main(folder: Path) -> None:
    """Write every drawing and its truth into the folder."""
    for sheet in SHEETS:
        name = sheet[0].file
        draughting.write(sheet, folder / f"{name}.dxf")
        text = json.dumps(truth(sheet), indent=1, ensure_ascii=False)
        (folder / f"{name}.truth.json").write_text(text + "\n", encoding="utf-8")
        print(f"{name}.dxf")
    (folder / "terrace.job.json").write_bytes(jobs.dump(job()))
    print("terrace.job.json")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
