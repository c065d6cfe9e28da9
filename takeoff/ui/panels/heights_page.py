"""Heights: of the storey, of the chosen room, its slopes, its corners, its build-ups and parts."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import cast

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from takeoff.errors import InputError
from takeoff.language import mark, tr
from takeoff.plan import edits
from takeoff.plan.edits.height_edits import Form as SlopeForm
from takeoff.plan.edits.height_edits import Others
from takeoff.plan.model import Job, RoomId, SideId, StoreyId
from takeoff.ui.document import Document
from takeoff.ui.panels.form_fields import ChoiceField, DegreesField, Form, LengthField, buttons, said, small_button
from takeoff.ui.panels.page_parts import FORM_PX, empty, fill, hair, label, restyle, scroll_frame, set_text, stacked
from takeoff.ui.panels.parts_page import PartLines
from takeoff.units.lengths import CEILING_HEIGHT, DEPTH, STOREY_HEIGHT
from takeoff.units.printing import shown
from takeoff.views.naming import place_of
from takeoff.views.quick_parts import parts_in
from takeoff.views.storey_heights import RoomView, SlopesView, WallView, corner_words, room_view, storey_view

FORMS = (("one", mark("One slope")), ("two", mark("Two slopes, a ridge")), ("all", mark("From every wall")))
USUAL_EAVES_MM, USUAL_PITCH_DEG = 1200.0, 45.0
"""What stands there first (common practice, no source)."""


class SlopesForm(QWidget):
    """``wanted``: the slopes that are typed are to be set."""

    wanted = Signal()
    refused = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self._walls: tuple[WallView, ...] = ()
        self.form = ChoiceField(tr("Form of the ceiling"), said(FORMS))
        self.wall = ChoiceField(tr("Wall at the eaves, from which the slope rises"), ())
        self.eaves = LengthField(tr("Height of the ceiling at the eaves"), size=CEILING_HEIGHT)
        self.other = LengthField(tr("Height at the opposite eaves, if different"), True, CEILING_HEIGHT)
        self.pitch = DegreesField(tr("Pitch of the slope"))
        self.top = LengthField(tr("Height at the ridge, or at the far end of one slope"), True, CEILING_HEIGHT)
        self.flat = LengthField(tr("Height of a level ceiling between the slopes"), True, CEILING_HEIGHT)
        self.set_button = QPushButton(tr("Set the slopes"))
        self.set_button.setToolTip(tr("Make the room's ceiling of these slopes"))
        rows = Form()
        rows.pair((tr("Form"), self.form))
        rows.pair((tr("Eaves at"), self.wall))
        rows.pair((tr("Eaves"), self.eaves), (tr("Pitch"), self.pitch))
        self._across = rows.pair((tr("Ridge"), self.top), (tr("Flat"), self.flat))
        self._other = rows.pair((tr("Opposite"), self.other))
        down = stacked(self, spacing=5)
        down.addLayout(rows)
        down.addWidget(buttons(self.set_button))
        self.form.show_key("two")
        self.eaves.show_mm(USUAL_EAVES_MM)
        self.pitch.show_degrees(USUAL_PITCH_DEG)
        self._fit()
        # a pitch and a ridge say the same: the one that is typed last counts
        self.pitch.typed.connect(self._pitch_typed)
        self.top.typed.connect(self._top_typed)
        self.form.picked.connect(self._fit)
        self.set_button.clicked.connect(self.wanted)
        for field in (self.eaves, self.other, self.top, self.flat, self.pitch):
            field.refused.connect(self.refused)

    def show_walls(self, walls: Sequence[WallView], chosen: str) -> None:
        """Offer these walls; the chosen one, or the longest where none of them is."""
        if tuple(walls) != self._walls:
            before = self.wall.currentData()
            self._walls = tuple(walls)
            self.wall.offer(
                [
                    (
                        wall.side,
                        tr("Wall {letter}, {length} m", letter=wall.letter, length=shown(wall.length_mm / 1000.0)),
                    )
                    for wall in walls
                ]
            )
            names = [wall.side for wall in walls]
            longest = max(walls, key=lambda wall: wall.length_mm).side if walls else None
            self.wall.show_key(before if before in names else longest)
        if any(wall.side == chosen for wall in walls):
            self.wall.show_key(chosen)

    def show_slopes(self, slopes: SlopesView | None) -> None:
        """Show the slopes that a room has; what stands there stays where it has none."""
        if slopes is None:
            return
        self.form.show_key(slopes.form)
        self.wall.show_key(slopes.side)
        self.eaves.show_mm(slopes.eaves_mm)
        self.pitch.show_degrees(slopes.pitch_deg)
        self.top.show_mm(None)
        self.flat.show_mm(slopes.flat_mm)
        self.other.show_mm(slopes.other_eaves_mm)
        self._fit()

    def edited(self, job: Job, room_id: RoomId) -> Job:
        """The job with these slopes. Raises InputError where they cannot be."""
        side = self.wall.currentData()
        if side is None or self.eaves.mm is None:
            raise InputError(tr("Slopes rise from a straight wall, and this room has none."))
        form = cast("SlopeForm", self.form.currentData())
        return edits.slope_ceiling(
            job,
            room_id,
            SideId(side),
            form,
            self.eaves.mm,
            self.pitch.degrees,
            self.top.mm,
            self.flat.mm,
            self.other.mm if form == "two" else None,
        )

    def _pitch_typed(self, value: object) -> None:
        if value is not None:
            self.top.show_mm(None)

    def _top_typed(self, value: object) -> None:
        if value is not None:
            self.pitch.show_degrees(None)

    def _fit(self) -> None:
        two = self.form.currentData() == "two"
        for widget in (*self._other, self.other):
            widget.setVisible(two)
        self._across[0].setText({"one": tr("Far end"), "two": tr("Ridge"), "all": tr("Top")}[self.form.currentData()])


OTHERS = (("stay", mark("Stay as they are")), ("follow", mark("Follow in one plane")))
_MOST_CORNERS = 24
"""A room with more corners is no room whose ceiling is set corner by corner."""


class HeightsPage(QWidget):
    """What one sets of heights, each as an edit of its own."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._view: RoomView | None = None
        self._corner_names: tuple[str, ...] = ()
        self._typed: dict[str, float] = {}
        """Heights at corners that were typed one after another, for the others to follow."""
        self._building_room = QWidget()
        self.storey_title, self.storey_says = label("", "heading"), label("", "grey", wrap=True)
        self.storey_height = LengthField(tr("Height of the storey's rooms, floor to ceiling"), size=STOREY_HEIGHT)
        self.title, self.says = label("", "heading"), label("", "grey", wrap=True)
        self.finished, self.told = label("", "grey", wrap=True), label("", "grey", wrap=True)
        self.room_height = LengthField(tr("Height of this room; empty: as the storey"), True, STOREY_HEIGHT)
        self.floor = LengthField(tr("Level of the room's floor above the storey's"))
        self.screed = LengthField(tr("Build-up on the floor: screed, boards"), size=DEPTH)
        self.lining = LengthField(tr("Build-up under the ceiling: lining, battens"), size=DEPTH)
        self.everywhere = small_button(
            tr("All rooms of the storey"), tr("Give every room of the storey these build-ups")
        )
        self.slopes = SlopesForm()
        self.others = ChoiceField(tr("What the other corners do"), said(OTHERS))
        self.corners: dict[str, LengthField] = {}
        self.corner_rows = QVBoxLayout()
        self.parts = PartLines(document)
        self.parts_title = label(tr("Bulkheads and raised ceilings"), "heading", wrap=True)
        self.hint = label(tr("Select a room on the plan to set its heights."), "grey", wrap=True)
        self._build()
        self._connect()
        self.refresh()

    # -- arrangement

    def _build(self) -> None:
        usual, own, build_up, others = Form(), Form(), Form(), Form()
        usual.pair((tr("Height"), self.storey_height))
        own.pair((tr("Height"), self.room_height), (tr("Floor at"), self.floor))
        build_up.pair((tr("Screed"), self.screed), (tr("Lining"), self.lining))
        others.pair((tr("Others"), self.others))
        self.others.show_key("stay")
        room = stacked(self._building_room)
        fill(
            room,
            hair(),
            self.title,
            self.says,
            own,
            label(tr("Build-ups"), "heading"),
            build_up,
            self.finished,
            buttons(self.everywhere),
            hair(),
            label(tr("Slopes"), "heading"),
            self.slopes,
            hair(),
            label(tr("Height of the ceiling at corners"), "heading", wrap=True),
            self.corner_rows,
            others,
            self.told,
            self.parts_title,
            self.parts,
        )
        self._scroll, down = scroll_frame(FORM_PX, 6, takes_keys=True)
        stacked(self).addWidget(self._scroll)
        fill(
            down,
            label(tr("Heights"), "title"),
            self.storey_title,
            usual,
            self.storey_says,
            self.hint,
            self._building_room,
        )
        down.addStretch(1)

    def _connect(self) -> None:
        document = self._document
        self.storey_height.typed.connect(self._set_storey_height)
        self.room_height.typed.connect(self._set_height)
        self.floor.typed.connect(self._set_floor)
        self.screed.typed.connect(self._set_build_ups)
        self.lining.typed.connect(self._set_build_ups)
        self.everywhere.clicked.connect(self._set_everywhere)
        self.slopes.wanted.connect(self._set_slopes)
        self.others.picked.connect(self._others_picked)
        self.slopes.refused.connect(document.refused)
        for field in (self.storey_height, self.room_height, self.floor, self.screed, self.lining):
            field.refused.connect(document.refused)
        document.opened.connect(self.refresh)
        document.changed.connect(self._listen)
        document.chosen_changed.connect(self._listen)
        document.storey_changed.connect(self.refresh)

    # -- what is shown

    @property
    def room_id(self) -> str:
        """The room whose heights are shown; "" for none."""
        return self._view.id if self._view is not None else ""

    def refresh(self) -> None:
        """Show the heights as they are."""
        storey = self._document.storey
        set_text(self.storey_title, tr("No storey yet") if storey is None else "")
        self.storey_height.setEnabled(storey is not None)
        if storey is not None:
            view = storey_view(storey)
            set_text(self.storey_title, view.title)
            set_text(self.storey_says, view.says)
            self.storey_height.show_mm(view.height_mm)
        choice = self._document.choice
        shown = self._view.slopes if self._view is not None else None
        before, self._view = self.room_id, (room_view(self._document.state, choice[-1].room_id) if choice else None)
        if self._view is not None and (self.room_id != before or self._view.slopes != shown):
            self.slopes.show_walls(self._view.walls, "")
            self.slopes.show_slopes(self._view.slopes)
        if self.room_id != before:
            self._typed.clear()
            self._tell("")
        self.hint.setVisible(self._view is None)
        self._building_room.setVisible(self._view is not None)
        if self._view is not None:
            self._show_room(self._view, choice[-1].id if choice[-1].kind == "side" else "")

    def show_part(self, which: str) -> None:
        """Scroll to the slopes or the build-ups, ready to be typed."""
        field = {"slopes": self.slopes.eaves, "screed": self.screed}[which]
        self._scroll.ensureWidgetVisible(self.slopes.set_button if which == "slopes" else field)
        field.setFocus()
        field.selectAll()

    def _show_room(self, view: RoomView, chosen_side: str) -> None:
        set_text(self.title, view.title)
        set_text(self.says, view.says)
        set_text(self.finished, view.finished)
        self.finished.setVisible(bool(view.finished))
        self.room_height.show_mm(view.own_mm)
        self.room_height.setPlaceholderText(tr("storey") if view.follows else tr("slopes"))
        self.floor.show_mm(view.floor_mm)
        self.screed.show_mm(view.floor_build_up_mm)
        self.lining.show_mm(view.ceiling_build_up_mm)
        self.slopes.show_walls(view.walls, chosen_side)
        self._show_corners(view)
        place = place_of(self._document.job, view.id)
        parts = [p for p in parts_in(place[1]) if p.kind == "region"] if place is not None else []
        self.parts.show_parts(parts)
        self.parts_title.setVisible(bool(parts))

    def _show_corners(self, view: RoomView) -> None:
        names = tuple(f"{c.side} {c.name}" for c in view.corners)
        if names != self._corner_names:
            self._corner_names = names
            self._make_corners(view)
        for corner in view.corners:
            if corner.side in self.corners:
                self.corners[corner.side].show_mm(corner.height_mm)

    def _make_corners(self, view: RoomView) -> None:
        empty(self.corner_rows)
        self.corners = {}
        holder = QWidget()
        form = Form()
        holder.setLayout(form)
        pairs: list[tuple[str, QWidget]] = []
        for corner in view.corners[:_MOST_CORNERS]:
            field = LengthField(
                tr("Height of the ceiling at the corner of walls {walls}", walls=corner.name), size=CEILING_HEIGHT
            )
            field.typed.connect(self._corner_typed(corner.side))
            field.refused.connect(self._document.refused)
            self.corners[corner.side] = field
            pairs.append((corner.name, field))
        for start in range(0, len(pairs), 2):
            form.pair(*pairs[start : start + 2])
        if len(view.corners) > _MOST_CORNERS:
            form.wide(label(tr("This room has too many corners for that: set slopes instead."), "grey", wrap=True))
        self.corner_rows.addWidget(holder)

    def _tell(self, sentence: str, wrong: bool = False) -> None:
        restyle(self.told, "urgent" if wrong else "grey")
        set_text(self.told, sentence)
        self.told.setVisible(bool(sentence))

    def showEvent(self, event: object) -> None:  # noqa: N802 - Qt's name
        """What changed while another page was shown."""
        del event
        self.refresh()

    # -- what the user does

    def _edit(self, name: str, edit: Callable[[Job, RoomId], Job]) -> bool:
        room = RoomId(self.room_id)
        done = bool(room) and self._document.apply(name, lambda job: edit(job, room))
        if not done:
            self.refresh()
        return done

    def _set_storey_height(self, mm: float) -> None:
        storey = self._document.storey
        if storey is not None and not self._document.apply(
            tr("Storey {height} m high", height=shown(mm / 1000.0)),
            lambda job: edits.set_storey_height(job, StoreyId(storey.id), mm),
        ):
            self.refresh()

    def _set_height(self, mm: float | None) -> None:
        if mm is None:
            self._edit(tr("Room as high as its storey"), _as_storey)
        else:
            name = tr("Room {height} m high", height=shown(mm / 1000.0))
            self._edit(name, lambda job, room: edits.set_flat_ceiling(job, room, mm))

    def _set_floor(self, mm: float) -> None:
        name = tr("Floor at {level} m", level=shown(mm / 1000.0))
        self._edit(name, lambda job, room: edits.set_flat_floor(job, room, mm))

    def _set_build_ups(self, mm: object) -> None:
        del mm
        screed, lining = self.screed.mm or 0.0, self.lining.mm or 0.0
        self._edit(tr("Set build-ups"), lambda job, room: edits.set_build_ups(job, room, screed, lining))

    def _set_everywhere(self) -> None:
        storey = self._document.storey
        screed, lining = self.screed.mm or 0.0, self.lining.mm or 0.0
        if storey is not None:
            self._document.apply(
                tr("Set build-ups of the storey"),
                lambda job: edits.set_storey_build_ups(job, storey.id, screed, lining),
            )

    def _set_slopes(self) -> None:
        self._edit(tr("Set the slopes"), self.slopes.edited)

    def _others_picked(self, key: str) -> None:
        del key
        self._typed.clear()
        self._tell("")

    def _corner_typed(self, side: str) -> Callable[[object], None]:
        def typed(mm: object) -> None:
            if isinstance(mm, float):
                self.set_corner(side, mm)

        return typed

    def set_corner(self, side: str, mm: float) -> None:
        """The ceiling through this height, and through those typed before where the others follow."""
        others: Others = "follow" if self.others.currentData() == "follow" else "stay"
        heights = {**(self._typed if others == "follow" else {}), side: mm}
        typed = {SideId(name): height for name, height in heights.items()}
        words, fits = corner_words(self._document.job, self.room_id, heights, others)
        self._edit(
            tr("Ceiling {height} m at a corner", height=shown(mm / 1000.0)),
            lambda job, room: edits.set_corner_heights(job, room, typed, others),
        )
        if fits:
            self._typed = heights
        self._tell(words, wrong=not fits)

    # -- listeners

    def _listen(self) -> None:
        if self.isVisible():
            self.refresh()


def _as_storey(job: Job, room: RoomId) -> Job:
    """The room level at its storey's height again, with its parts where it has some."""
    ceiling = edits.room_of(job, room).ceiling
    if ceiling is None or not ceiling.regions:
        return edits.set_room_ceiling(job, room, None)
    storey = next(s for s in job.storeys if any(r.id == room for r in s.rooms))
    return edits.set_flat_ceiling(job, room, storey.height_mm, storey.height_source)
