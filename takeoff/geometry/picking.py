"""What lies under a click: areas, courses and spots with a name, found by box and then exactly."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from typing import Generic, Literal, TypeVar

import msgspec
import shapely
from shapely.geometry.base import BaseGeometry

N = TypeVar("N", bound=Hashable)


class Target(msgspec.Struct, Generic[N], frozen=True):
    """Something to hit. An *area* is hit from within, a *course* or *spot* from within reach;
    of what is hit the highest ``rank`` wins, then the nearest, then the smallest."""

    name: N
    shape: BaseGeometry
    rank: int = 0
    how: Literal["area", "near"] = "area"


class Picking(Generic[N]):
    """Targets in an index; built once, asked often. No targets: nothing is ever hit."""

    def __init__(self, targets: Sequence[Target[N]]) -> None:
        self._targets = [target for target in targets if not target.shape.is_empty]
        self._tree = shapely.STRtree([target.shape for target in self._targets])

    def at(self, x_mm: float, y_mm: float, reach_mm: float) -> N | None:
        """The best target at a point; None where there is none within reach."""
        found = self.all_at(x_mm, y_mm, reach_mm)
        return found[0] if found else None

    def all_at(self, x_mm: float, y_mm: float, reach_mm: float) -> tuple[N, ...]:
        """Every target at a point, the best first."""
        point = shapely.points(x_mm, y_mm)
        box = shapely.box(x_mm - reach_mm, y_mm - reach_mm, x_mm + reach_mm, y_mm + reach_mm)
        hits = []
        for index in self._tree.query(box):
            target = self._targets[index]
            distance = float(shapely.distance(target.shape, point))
            if distance <= (reach_mm if target.how == "near" else 0.0):
                hits.append((-target.rank, distance, target.shape.area, int(index)))
        return tuple(self._targets[hit[-1]].name for hit in sorted(hits))

    def within(self, x0: float, y0: float, x1: float, y1: float) -> tuple[N, ...]:
        """The names of targets that lie wholly in a box, in the order in which they were given."""
        box = shapely.box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))
        found = sorted(int(k) for k in self._tree.query(box, predicate="contains"))
        return tuple(self._targets[k].name for k in found)
