"""Photos in the window: pinned to a room, a face or an opening, marked on the plan, looked at, noted."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QVBoxLayout, QWidget

from takeoff.language import mark, tr, tr_count
from takeoff.plan import edits
from takeoff.plan.model import Job, OpeningId, Photo, RoomId, SideId
from takeoff.ui import messages
from takeoff.ui.actions import Action
from takeoff.ui.canvas.photo_marks import PhotoMarks, mark_at
from takeoff.ui.canvas.tool import Pointer
from takeoff.ui.document import Ref
from takeoff.ui.panels.form_fields import ActionButton
from takeoff.ui.panels.page_parts import label
from takeoff.ui.panels.photos_page import PhotosPage, PhotoTiles, PhotoViewer, Tile
from takeoff.ui.window.workspace import Workspace
from takeoff.views.naming import storey_name
from takeoff.views.pinned_photos import Pinned, TakenPhoto, photo_title, photos_of, pinned, refuse_too_many, take_photos

PAGE = "photos"
KINDS = mark("Photos (*.jpg *.jpeg *.png *.tif *.tiff);;All files (*)")
PINS = ("room", "side", "opening")


def add(space: Workspace) -> None:
    """Give the window its photos."""
    Photos(space)


class PhotoCard(QWidget):
    """Under the figures of what is chosen: its photos, and a button for more."""

    def __init__(self, data_of: Callable[[str], bytes | None], button: ActionButton) -> None:
        super().__init__()
        self.tiles = PhotoTiles(data_of)
        self.head = label(tr("Photos"), "heading")
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 10, 0, 0)
        down.setSpacing(6)
        down.addWidget(self.head)
        down.addWidget(self.tiles)
        down.addWidget(button)

    def show_tiles(self, tiles: Sequence[Tile]) -> None:
        """Show these."""
        self.tiles.show_tiles(tiles)
        self.head.setVisible(bool(tiles))
        self.tiles.setVisible(bool(tiles))


class Photos(QObject):
    """Keeps page, card, marks and the open photo in step with the job."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self.setObjectName("photos")
        self._space, self._document = space, space.document
        self._page: PhotosPage | None = None
        self.viewer: PhotoViewer | None = None
        space.acts.add(self._rows())
        space.pages.register(PAGE, self._make_page)
        space.stays |= {(PAGE, kind) for kind in PINS}
        self.card = PhotoCard(space.files.keeping.picture, ActionButton(space.acts.q("add-photos"), tr("Add photos…")))
        self.card.tiles.opened.connect(self.open)
        self.card.tiles.removed.connect(self.remove)
        space.frame.card.add_below(self.card)
        self.marks = PhotoMarks(space.plan.view.scene(), space.theme)
        space.choose.marks.append(self._marked)
        self._document.opened.connect(self.refresh)
        self._document.changed.connect(self._listen)
        self._document.chosen_changed.connect(self._listen)
        self._document.storey_changed.connect(self._storey_shown)
        space.plan.redrawn.connect(self.refresh)
        self.refresh()

    def _rows(self) -> tuple[Action, ...]:
        return (
            Action(
                PAGE,
                "Site",
                tr("Photos"),
                partial(self._space.pages.show_page, PAGE),
                ("Ctrl+Shift+I",),
                group=4,
                tip=tr("All photos of the job, by place"),
            ),
            Action(
                "add-photos",
                "Site",
                tr("Add photos to the selection…"),
                self.add,
                ("Ctrl+I",),
                self._has_pin,
                group=4,
                tip=tr("Pin photos to the selected room, wall face or opening"),
            ),
            Action(
                "remove-photos",
                "Site",
                tr("Remove the photos of the selection"),
                self.remove_chosen,
                (),
                self._has_photos,
                group=4,
                tip=tr("Undo brings them back"),
            ),
        )

    def _make_page(self) -> QWidget:
        page = self._page = PhotosPage(self._space.files.keeping.picture)
        page.add.connect(self.add)
        page.dropped.connect(self.take)
        page.opened.connect(self.open)
        page.removed.connect(self.remove)
        self.refresh()
        return page

    # -- what the user does

    def add(self) -> None:
        """Ask for photos and pin them to what is chosen."""
        if self._pin() is not None:
            self.take(messages.current().files_to_open(self._space.window, tr("Add photos"), tr(KINDS)))

    def take(self, paths: object) -> None:
        """Read photos beside the window and pin them to what is chosen now."""
        pin = self._pin()
        if not isinstance(paths, tuple) or not paths:
            return
        if pin is None:
            self._space.tell(tr("Select a room, a wall face or an opening on the plan first: photos are pinned to it."))
            return
        self._space.long_work.do(tr("Reading photos"), take_photos, (paths,), partial(self._put, pin))

    def _put(self, pin: Ref, taken: tuple[TakenPhoto, ...]) -> None:
        keeping, kept = self._space.files.keeping, [one for one in taken if one.kept is not None]
        refuse_too_many(keeping.pictures, self._document.job, taken)
        for one in kept:
            if one.kept is not None:
                keeping.pictures.setdefault(one.kept.sha256, one.kept)

        def with_photos(job: Job) -> Job:
            for one in kept:
                if one.kept is not None:
                    job = edits.pin_photo(job, one.kept.sha256, one.name, *_where(pin))
            return job

        if kept:
            self._document.apply(tr_count("Pin {count} photo", "Pin {count} photos", len(kept)), with_photos)
        refused = [one.refused for one in taken if one.refused]
        if refused:
            self._space.tell("\n".join(refused))

    def open(self, photo_id: str) -> None:
        """Show a photo large, with those that are listed beside it."""
        viewer = self.viewer = PhotoViewer(self._space.window, self._space.files.keeping.picture)
        viewer.noted.connect(self.note)
        viewer.removed.connect(self.remove)
        viewer.moved.connect(self.move)
        viewer.shown_on_plan.connect(self.show_place)
        viewer.destroyed.connect(self._closed)
        viewer.show_photos(self._tiles(self._document.job.photos), photo_id)
        viewer.open()

    def note(self, photo_id: str, text: str) -> None:
        """What a photo shows."""
        self._document.apply(tr("Note on a photo"), lambda job: edits.note_photo(job, photo_id, text))

    def remove(self, photo_id: str) -> None:
        """Take a photo away; undo brings it back."""
        self._document.apply(tr("Remove a photo"), lambda job: edits.remove_photo(job, photo_id))

    def remove_chosen(self) -> None:
        """Take all photos of what is chosen away."""
        photos = self._chosen_photos()

        def without(job: Job) -> Job:
            for photo in photos:
                job = edits.remove_photo(job, photo.id)
            return job

        name = tr_count("Remove {count} photo", "Remove {count} photos", len(photos))
        self._document.apply(name, without)

    def move(self, photo_id: str) -> None:
        """Pin a photo to what is chosen."""
        pin = self._pin()
        if pin is None:
            self._space.tell(
                tr("Select a room, a wall face or an opening on the plan first, then open the photo again.")
            )
            return
        self._document.apply(tr("Pin a photo elsewhere"), lambda job: edits.move_photo(job, photo_id, *_where(pin)))

    def show_place(self, photo_id: str) -> None:
        """Choose and show what a photo is pinned to."""
        (at,) = pinned(self._document.job, (edits.photo_of(self._document.job, photo_id),))
        if at.kind is not None:
            self._space.pages.show_page("card")
            self._document.choose((_ref(at),))
            self._space.plan.zoom_to_chosen()

    # -- what is shown

    def refresh(self) -> None:
        """Show the photos as they are, everywhere."""
        job = self._document.job
        tiles = self._tiles(job.photos)
        if self._page is not None:
            pin = self._pin()
            chosen = pinned(job, (_photo_at(pin),))[0].words if pin is not None else ""
            self._page.show_photos(tiles, chosen)
        self.card.setVisible(self._pin() is not None)
        self.card.show_tiles(self._tiles(self._chosen_photos()))
        if self.viewer is not None:
            self.viewer.show_photos(tiles, self.viewer.tile.id)
        self._show_marks()

    def _tiles(self, photos: Sequence[Photo]) -> tuple[Tile, ...]:
        """Thumbnails sorted by place, in the job's order of rooms; those without one last."""
        if not photos:
            return ()
        job = self._document.job
        several = len(job.storeys) > 1
        order = {str(room.id): k for k, room in enumerate(r for s in job.storeys for r in s.rooms)}
        names = {str(s.id): storey_name(s) for s in job.storeys}
        found = list(zip(photos, pinned(job, photos), strict=True))
        found.sort(key=lambda pair: (order.get(pair[1].room, len(order)), pair[1].words))
        return tuple(
            Tile(
                photo.id,
                photo.sha256,
                photo_title(photo),
                tr("{storey}, {place}", storey=names[at.storey], place=at.words) if several and at.storey else at.words,
                photo.note,
            )
            for photo, at in found
        )

    def _show_marks(self) -> None:
        storey, job = self._document.storey, self._document.job
        found: dict[Ref, int] = {}
        for at in pinned(job, job.photos):
            if storey is not None and at.kind is not None and at.storey == storey.id:
                found[_ref(at)] = found.get(_ref(at), 0) + 1
        plan = self._space.plan
        marks = [mark_at(storey, ref, count, plan.items.label_at) for ref, count in found.items()] if storey else []
        self.marks.show([mark for mark in marks if mark is not None], plan.view.origin, self._space.theme)

    # -- small help and listeners

    def _pin(self) -> Ref | None:
        """What new photos are pinned to: what was chosen last, if photos can be."""
        choice = self._document.choice
        return choice[-1] if choice and choice[-1].kind in PINS else None

    def _has_pin(self) -> bool:
        return self._pin() is not None

    def _chosen_photos(self) -> tuple[Photo, ...]:
        pin = self._pin()
        return photos_of(self._document.job, pin.kind, pin.id, pin.room) if pin is not None else ()

    def _has_photos(self) -> bool:
        return bool(self._chosen_photos())

    def _marked(self, pointer: Pointer) -> Ref | None:
        return self.marks.at(pointer.at, self._space.plan.view.px_per_mm)

    def _closed(self) -> None:
        self.viewer = None

    def _listen(self, before: object, after: object) -> None:
        del before, after
        self.refresh()

    def _storey_shown(self, storey_id: str) -> None:
        del storey_id
        self.refresh()


def _ref(at: Pinned) -> Ref:
    if at.kind == "room" or at.kind is None:
        return Ref("room", at.room)
    return Ref(at.kind, at.id, at.room)


def _where(pin: Ref) -> tuple[RoomId, SideId | None, OpeningId | None]:
    return (
        RoomId(pin.room_id),
        SideId(pin.id) if pin.kind == "side" else None,
        OpeningId(pin.id) if pin.kind == "opening" else None,
    )


def _photo_at(pin: Ref) -> Photo:
    room, side, opening = _where(pin)
    return Photo(id="", sha256="", room=room, side=side, opening=opening)
