"""Names of rooms: never over a door, never missing, number or line beside the building at the least."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import msgspec
import pytest
import shapely
from PySide6.QtCore import QRectF

from takeoff.plan.edits.lookup import with_opening
from takeoff.plan.model import Job, Opening, OpeningId, Swing
from takeoff.ui.canvas.label_spots import swings
from takeoff.ui.canvas.pieces import Words
from takeoff.ui.canvas.room_labels import places

SAMPLES = Path(__file__).parents[2] / "sample_plans"


def labels_of(window) -> dict[str, object]:
    shown = window.plan.items._shown.values()
    return {s.label.words.name: s.label for s in shown if s.label is not None and s.label.words is not None}


def boxes_of(window, label) -> list[QRectF]:
    """The lines of a label in plan mm."""
    scale, origin = window.plan.view.px_per_mm, window.plan.items.origin
    at = label.pivot.pos()
    found = []
    for item in label._lines[: len(label.shown)]:
        box, spot = item.boundingRect(), item.pos()
        x = at.x() + origin[0] + spot.x() / scale
        y = at.y() + origin[1] - (spot.y() + box.height()) / scale
        # letters are lower than their line
        found.append(QRectF(x, y + 5 / scale, box.width() / scale, (box.height() - 10) / scale))
    return found


def covered(window):
    state, storey = window.document.state, window.document.storey
    drawn = window.plan._board._plans.draw(state, storey, True)
    return swings(drawn.openings.values()).buffer(-35.0)


@pytest.mark.parametrize("name", ["terrace.job.json", "flat_feet.dxf", "loft.dxf", "stairwell.dxf"])
@pytest.mark.parametrize("zoom", [0.6, 1.0, 2.0, 4.0])
def test_no_label_lies_over_a_door(window, name: str, zoom: float) -> None:
    window.files.open(SAMPLES / name)
    window.plan.view.zoom(zoom)
    doors = covered(window)
    for label in labels_of(window).values():
        if label.has_room:
            for line in boxes_of(window, label):
                area = shapely.box(line.left(), line.top(), line.right(), line.bottom())
                assert not doors.intersects(area), label.words.name


def test_every_room_of_the_sample_is_named_on_a_small_screen(sample) -> None:
    for label in labels_of(sample).values():
        assert label.shown, label.words.name


def _with_the_stores_door_swinging_in(job: Job) -> Job:
    def swung(opening: Opening) -> Opening:
        leaf = Swing(hinge="end", into="host", leaf_mm=700.0)
        return msgspec.structs.replace(opening, swings=(leaf,)) if opening.id == "D5" else opening

    return with_opening(job, OpeningId("D5"), swung)


def test_cupboard_is_named_beside_the_building_with_a_line_to_it(sample) -> None:
    sample.document.apply("Turn the door", _with_the_stores_door_swinging_in)
    store = labels_of(sample)["G4 Store"]
    assert store.shown == ("G4 Store",)
    assert not store.has_room
    right = max(words.box[2] for words in (label.words for label in labels_of(sample).values()))
    assert store._stands[0] > right
    assert sample.plan.items._callouts._items
    sample.plan.view.zoom(4.0)
    assert store.has_room
    assert store.shown[0] == "G4 Store"
    assert not sample.plan.items._callouts._items


def test_number_alone_stands_where_the_name_has_no_room(sample) -> None:
    sample.plan.view.zoom(0.083 / sample.plan.view.px_per_mm)
    assert labels_of(sample)["G4 Store"].shown in (("G4",), ("G4 Store",))


def test_names_beside_the_building_do_not_lie_over_each_other() -> None:
    box = (0.0, 0.0, 9000.0, 8000.0)
    words = [Words((8000.0, 100.0 * k), f"Cupboard {k}", "", (7500.0, 0.0, 8500.0, 900.0)) for k in range(5)]
    for wide in (False, True):
        found = places(words, box, 0.05, wide)
        spots = sorted(point[0 if wide else 1] for point in found)
        assert all(b - a >= 19.0 / 0.05 for a, b in pairwise(spots))
        assert all(not (0 < x < 9000 and 0 < y < 8000) for x, y in found)


def test_line_to_a_name_beside_the_building_goes_round_the_names_of_other_rooms() -> None:
    box = (0.0, 0.0, 9000.0, 8000.0)
    words = [Words((6000.0, 4000.0), "Cupboard", "", (5600.0, 3600.0, 6400.0, 4400.0))]
    ((x, _),) = places(words, box, 0.05, wide=False)
    assert x > 9000.0
    ((x, _),) = places(words, box, 0.05, False, ((7000.0, 3900.0, 8000.0, 4100.0),))
    assert x < 0.0
    # over names at both sides the nearer one has it
    ((x, _),) = places(words, box, 0.05, False, ((7000.0, 3900.0, 8000.0, 4100.0), (900.0, 3900.0, 1900.0, 4100.0)))
    assert x > 9000.0


def test_bead_is_an_l_in_the_void_about_its_arris(sample) -> None:
    piece = sample.plan.items.pieces["marks:G2"]
    from takeoff.sheets import palette

    (pads,) = (shape for shape in piece.shapes if shape.fill == palette.BEAD)
    areas = [shapely.polygons([(x, y) for x, y, _ in path]) for path in pads.paths]
    assert len(areas) == 4
    for area in areas:
        left, low, right, high = area.bounds
        assert right - left == pytest.approx(high - low)
        # an L covers little of its box, a square mark all of it
        assert area.area < 0.6 * (right - left) * (high - low)
