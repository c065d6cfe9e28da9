"""Small rooms for the tests of the plan, in mm."""

from collections.abc import Sequence
from typing import Any

from takeoff.plan.model import Job, Opening, OpeningId, Room, RoomId, Side, SideId, Storey, StoreyId

L_SHAPE = ((0, 0), (5000, 0), (5000, 2000), (3000, 2000), (3000, 4000), (0, 4000))


def ring(corners: Sequence[Sequence[float]], prefix: str = "s") -> tuple[Side, ...]:
    return tuple(
        Side(id=SideId(f"{prefix}{i}"), x_mm=c[0], y_mm=c[1], bulge=c[2] if len(c) > 2 else 0.0)
        for i, c in enumerate(corners)
    )


def box(width: float, depth: float, x: float = 0.0, y: float = 0.0) -> tuple[tuple[float, float], ...]:
    return ((x, y), (x + width, y), (x + width, y + depth), (x, y + depth))


def room(shape: Sequence[Sequence[float]] = L_SHAPE, name: str = "r1", **given: Any) -> Room:
    return Room(id=RoomId(name), outline=ring(shape), **given)


def window(**given: Any) -> Opening:
    sizes: dict[str, Any] = {
        "id": OpeningId("w1"), "kind": "window", "room": RoomId("r1"), "side": SideId("s0"),
        "offset_mm": 1000.0, "width_mm": 1200.0, "sill_mm": 900.0, "head_mm": 2100.0,
    }  # fmt: skip
    return Opening(**(sizes | given))


def storey(*rooms: Room, **given: Any) -> Storey:
    return Storey(**({"id": StoreyId("g"), "name": "Ground", "height_source": "typed", "rooms": rooms} | given))


def job(*rooms: Room, **given: Any) -> Job:
    return Job(storeys=(storey(*rooms, **given),))
