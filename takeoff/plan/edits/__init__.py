"""Everything a user does to a job, as pure functions Job → Job.

Ids stay, what is not touched stays the very same object, and an edit that changes nothing gives
the job itself back. An id that the job does not know, or a number that is none, raises InputError
with a sentence; whether the result makes sense is for ``check`` to say.
"""

from takeoff.plan.edits.coats import (
    add_exclusion,
    coat_outside_walls,
    pick_corner,
    remove_exclusion,
    set_ceiling_treatment,
    set_wall_treatment,
)
from takeoff.plan.edits.corners import delete_corner, insert_corner, move_corner, move_side
from takeoff.plan.edits.heights import (
    add_region,
    remove_region,
    set_build_ups,
    set_flat_ceiling,
    set_room_ceiling,
    set_room_floor,
    set_storey_height,
    set_storey_level,
)
from takeoff.plan.edits.joining import join_rooms
from takeoff.plan.edits.lookup import opening_of, room_of, storey_of
from takeoff.plan.edits.openings import (
    add_opening,
    add_rooflight,
    move_opening,
    remove_opening,
    set_opening_confidence,
    set_opening_mark,
    set_opening_reveal,
    set_opening_sizes,
    set_reveal_depth,
)
from takeoff.plan.edits.outlines import (
    add_pier,
    bend_side,
    draw_room,
    new_room_id,
    remove_pier,
    with_new_room,
)
from takeoff.plan.edits.rooms import (
    add_room,
    add_storey,
    add_wall_type,
    duplicate_storey,
    remove_room,
    remove_storey,
    rename_room,
    rename_storey,
    set_behind,
    set_room_confidence,
    set_side_kind,
    set_side_wall_type,
    set_storey_times,
    set_times,
)
from takeoff.plan.edits.splitting import split_room

__all__ = [
    "add_exclusion",
    "add_opening",
    "add_pier",
    "add_region",
    "add_rooflight",
    "add_room",
    "add_storey",
    "add_wall_type",
    "bend_side",
    "coat_outside_walls",
    "delete_corner",
    "draw_room",
    "duplicate_storey",
    "insert_corner",
    "join_rooms",
    "move_corner",
    "move_opening",
    "move_side",
    "new_room_id",
    "opening_of",
    "pick_corner",
    "remove_exclusion",
    "remove_opening",
    "remove_pier",
    "remove_region",
    "remove_room",
    "remove_storey",
    "rename_room",
    "rename_storey",
    "room_of",
    "set_behind",
    "set_build_ups",
    "set_ceiling_treatment",
    "set_flat_ceiling",
    "set_opening_confidence",
    "set_opening_mark",
    "set_opening_reveal",
    "set_opening_sizes",
    "set_reveal_depth",
    "set_room_ceiling",
    "set_room_confidence",
    "set_room_floor",
    "set_side_kind",
    "set_side_wall_type",
    "set_storey_height",
    "set_storey_level",
    "set_storey_times",
    "set_times",
    "set_wall_treatment",
    "split_room",
    "storey_of",
    "with_new_room",
]
