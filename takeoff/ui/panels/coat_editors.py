"""What is set on chosen wall faces (coat, what stays on, what lies behind) and on chosen corners (bead, finish)."""

from __future__ import annotations

from collections.abc import Callable, Collection

from PySide6.QtWidgets import QLineEdit, QPushButton, QVBoxLayout, QWidget

from takeoff.language import mark, tr, tr_count
from takeoff.plan import edits
from takeoff.plan.edits.coat_edits import Bead, Finish
from takeoff.plan.model import BehindClass, Exclusion, Job, RoomId, SideId
from takeoff.ui.document import Document, Ref
from takeoff.ui.panels.editor import Editor
from takeoff.ui.panels.form_fields import LENGTH_PX, ChoiceField, Form, LengthField, buttons, said, small_button
from takeoff.ui.panels.page_parts import empty, fill, label, set_text, stacked
from takeoff.units.lengths import DEPTH
from takeoff.views.chosen_coats import (
    BEADS,
    FINISHES,
    GROUPS,
    FacesView,
    Group,
    Outline,
    Shared,
    corner_group,
    corners_view,
    exclusion_on,
    faces_view,
    whole_walls,
)
from takeoff.views.outside_walls import answered
from takeoff.views.substrate_choices import substrate_choices


class OutlineLine(QPushButton):
    """A part that is masked; a click coats it again."""

    def __init__(self, outline: Outline, document: Document) -> None:
        super().__init__(f"×  {outline.words}")
        self._outline, self._document = outline, document
        self.setProperty("part", "finding")
        self.setToolTip(tr("Remove the mask and coat this part: {part}", part=outline.words))
        self.setAccessibleName(tr("Remove the mask: {part}", part=outline.words))
        self.clicked.connect(self._remove)

    def _remove(self) -> None:
        room, name = RoomId(self._outline.room), self._outline.id
        self._document.apply(tr("Remove a mask"), lambda job: edits.remove_exclusion(job, room, name))


COATS = (("whole", mark("Coated in full")), ("part", mark("Near the corners only")), ("none", mark("Not coated")))
BEHIND: tuple[tuple[str, str], ...] = (
    ("", mark("As drawn")),
    ("outside", mark("Outside")),
    ("unheated", mark("Unheated space")),
    ("heated", mark("Heated space")),
    ("same", mark("Another room of this job")),
    ("neighbour", mark("A neighbour’s building")),
    ("part", mark("Several")),
)

USUAL_RETURN_MM = 600.0
"""How far a return goes that was never typed (common practice, no source)."""

Faces = dict[RoomId, Collection[SideId]]


class FaceEditor(Editor):
    """What one sets on wall faces, one or many."""

    kind = "side"

    def __init__(self, document: Document) -> None:
        super().__init__(document)
        self._view: FacesView | None = None
        self.title, self.about = label("", "heading"), label("", "grey", wrap=True)
        self.coat = ChoiceField(tr("How the wall is coated"), said(COATS))
        self.behind = ChoiceField(tr("What lies behind the wall"), said(BEHIND))
        self.substrate = ChoiceField(tr("Substrate of the wall, under the coat"), ())
        self.left = LengthField(tr("Coated width from the left corner"), True)
        self.right = LengthField(tr("Coated width from the right corner"), True)
        self.skirting, self.coving, self.dado_from, self.dado_to = (
            LengthField(name, True, DEPTH)
            for name in (
                tr("Kept skirting, height"),
                tr("Kept coving, depth down the wall"),
                tr("Kept dado, lower edge above the floor"),
                tr("Kept dado, upper edge above the floor"),
            )
        )
        self.outlines = QVBoxLayout()
        self.adding = OutlineForm()
        self._build()
        self._connect()

    def _build(self) -> None:
        form = Form()
        form.pair((tr("Coat"), self.coat))
        self._return_words = form.pair((tr("From left"), self.left), (tr("Right"), self.right))
        form.pair((tr("Behind it"), self.behind))
        form.pair((tr("Substrate"), self.substrate))
        stays = Form()
        stays.pair((tr("Skirting"), self.skirting), (tr("Coving"), self.coving))
        stays.pair((tr("Dado from"), self.dado_from), (tr("to"), self.dado_to))
        for widget in (self.title, self.about):
            self.down.addWidget(widget)
        fill(self.down, form, label(tr("Kept on the wall"), "heading"), stays)
        self.outlines.setSpacing(2)
        self.down.addLayout(self.outlines)
        self.down.addWidget(self.adding)

    def _connect(self) -> None:
        self.coat.picked.connect(self._set_coat)
        self.behind.picked.connect(self._set_behind)
        self.substrate.picked.connect(self._set_substrate)
        self.left.typed.connect(self._set_left)
        self.right.typed.connect(self._set_right)
        self.skirting.typed.connect(self._set_skirting)
        self.coving.typed.connect(self._set_coving)
        self.dado_from.typed.connect(self._set_dado_from)
        self.dado_to.typed.connect(self._set_dado_to)
        self.adding.wanted.clicked.connect(self._add_outline)
        for field in (
            self.left,
            self.right,
            self.skirting,
            self.coving,
            self.dado_from,
            self.dado_to,
            *self.adding.fields,
        ):
            field.refused.connect(self.refuse)

    # -- what is shown

    def show_refs(self) -> None:
        """What the chosen faces have in common."""
        view = faces_view(self.document.state, [(ref.room, ref.id) for ref in self.refs])
        if view is None:
            self.hide()
            return
        shown, self._view = self._view, view
        several = len(self.refs) > 1
        set_text(self.title, view.title if several else "")
        self.title.setVisible(several)
        set_text(self.about, view.about)
        self.about.setVisible(bool(view.about))
        self.coat.show_key(view.coat)
        self.behind.show_key(view.behind)
        self.substrate.offer(substrate_choices(self.document.job, tr("as the room")))
        self.substrate.show_key(view.substrate)
        for widget in (*self._return_words, self.left, self.right):
            widget.setVisible(view.coat == "part")
        for field, value in (
            (self.left, view.left),
            (self.right, view.right),
            (self.skirting, view.skirting),
            (self.coving, view.coving),
            (self.dado_from, view.dado_from),
            (self.dado_to, view.dado_to),
        ):
            field.show_mm(value.mm, value.mixed)
        if shown is None or shown.outlines != view.outlines:
            self._show_outlines(view.outlines)
        self.adding.setVisible(not several)

    def _show_outlines(self, outlines: tuple[Outline, ...]) -> None:
        empty(self.outlines)
        for outline in outlines:
            self.outlines.addWidget(OutlineLine(outline, self.document))

    def faces(self) -> Faces:
        """The chosen faces by room."""
        found: dict[RoomId, list[SideId]] = {}
        for ref in self.refs:
            found.setdefault(RoomId(ref.room), []).append(SideId(ref.id))
        return dict(found)

    # -- what the user does

    def _edit(self, name: str, edit: Callable[[Job, Faces], Job]) -> None:
        faces = self.faces()
        self.apply(name, lambda job: edit(job, faces))

    def _set_coat(self, coat: str) -> None:
        count = len(self.refs)
        if coat == "part":
            self._edit(
                tr_count("Coat a wall near the corners", "Coat {count} walls near the corners", count),
                lambda job, faces: edits.set_returns(job, faces, USUAL_RETURN_MM, USUAL_RETURN_MM),
            )
        else:
            self._edit(
                tr_count("Coat a wall", "Coat {count} walls", count)
                if coat == "whole"
                else tr_count("Do not coat a wall", "Do not coat {count} walls", count),
                lambda job, faces: edits.coat_sides(job, faces, coat == "whole"),
            )

    def _set_left(self, mm: float | None) -> None:
        start = self._value(lambda view: view.right)
        self._edit(self._returns_set(), lambda job, faces: edits.set_returns(job, faces, start, mm))

    def _set_right(self, mm: float | None) -> None:
        end = self._value(lambda view: view.left)
        self._edit(self._returns_set(), lambda job, faces: edits.set_returns(job, faces, mm, end))

    def _returns_set(self) -> str:
        return tr_count("Set the returns of a wall", "Set the returns of {count} walls", len(self.refs))

    def _value(self, of: Callable[[FacesView], Shared]) -> float | None:
        return of(self._view).mm if self._view is not None else None

    def _set_skirting(self, mm: float | None) -> None:
        name = tr_count("Keep the skirting of a wall", "Keep the skirting of {count} walls", len(self.refs))
        self._edit(name, lambda job, faces: edits.set_band(job, faces, "bottom", mm, "skirting"))

    def _set_coving(self, mm: float | None) -> None:
        name = tr_count("Keep the coving of a wall", "Keep the coving of {count} walls", len(self.refs))
        self._edit(name, lambda job, faces: edits.set_band(job, faces, "top", mm, "coving"))

    def _set_dado_from(self, mm: float | None) -> None:
        to = self._value(lambda view: view.dado_to)
        if mm is not None and to is None:
            return  # half of it: the other field says the rest
        self._set_dado(mm, to)

    def _set_dado_to(self, mm: float | None) -> None:
        typed = self.dado_from.mm
        self._set_dado(typed, mm)

    def _set_dado(self, low: float | None, high: float | None) -> None:
        name = tr_count("Keep the dado of a wall", "Keep the dado of {count} walls", len(self.refs))
        self._edit(name, lambda job, faces: edits.set_band(job, faces, "bottom", high, "dado", low or 0.0))

    def _set_substrate(self, key: str) -> None:
        name = tr_count("Substrate of a wall", "Substrate of {count} walls", len(self.refs))
        self._edit(name, lambda job, faces: edits.set_face_substrate(job, faces, key))

    def _set_behind(self, behind: str) -> None:
        state = self.document.state
        names = [(ref.room, ref.id) for ref in self.refs]
        if behind == "part":
            self.refresh()  # several stretches are said one by one, by what is not known of them
        elif behind == "":

            def drawn(job: Job, faces: Faces) -> Job:
                for room, sides in faces.items():
                    for side in sides:
                        job = edits.set_behind(job, room, side, ())
                return job

            self._edit(_behind_set(len(self.refs), ""), drawn)
        else:
            cls: BehindClass = behind  # type: ignore[assignment]
            walls = whole_walls(state, names)
            self._edit(_behind_set(len(self.refs), behind), lambda job, faces: answered(state, job, walls, cls))

    def _add_outline(self) -> None:
        lengths = self.adding.lengths()
        if lengths is None:
            self.refuse(tr("Type the width and height of the masked part, and where it starts."))
            return
        left, width, up, height = lengths
        face = (self.refs[-1].room, self.refs[-1].id)
        new: Exclusion = exclusion_on(
            self.document.state, face, left, width, up, height, self.adding.what.text().strip()
        )
        self._edit(
            tr("Mask {part} on a wall", part=new.what) if new.what else tr("Mask a part of a wall"),
            lambda job, faces: edits.add_exclusion(job, RoomId(face[0]), SideId(face[1]), new),
        )
        self.adding.clear()


def _behind_set(count: int, behind: str) -> str:
    """The name of the edit that says what lies behind so many walls."""
    answer = tr(dict(BEHIND)[behind])
    return tr_count("Behind a wall: {answer}", "Behind {count} walls: {answer}", count, answer=answer)


class OutlineForm(QWidget):
    """A rectangle to mask, as one stands before the wall."""

    def __init__(self) -> None:
        super().__init__()
        self.what = QLineEdit()
        self.what.setPlaceholderText(tr("tiles, units"))
        self.what.setAccessibleName(tr("What is masked"))
        self.what.setProperty("part", "length")
        self.left, self.wide, self.up, self.high = self.fields = tuple(
            LengthField(name, True)
            for name in (
                tr("Masked part, from the left corner"),
                tr("Masked part, width"),
                tr("Masked part, above the floor"),
                tr("Masked part, height"),
            )
        )
        for field in self.fields:
            field.setPlaceholderText("")
            field.setFixedWidth(LENGTH_PX)
        self.begin = small_button(tr("Mask a part…"), tr("Mask a rectangle of the wall: tiles, units"))
        self.begin.setCheckable(True)
        self.wanted = small_button(tr("Mask it"), tr("Mask this part of the wall"))
        self._form = QWidget()
        form = Form()
        form.pair((tr("Part"), self.what))
        form.pair((tr("From left"), self.left), (tr("Width"), self.wide))
        form.pair((tr("Up"), self.up), (tr("Height"), self.high))
        down = stacked(self, (0, 2, 0, 0), 5)
        inner = stacked(self._form, spacing=5)
        inner.addLayout(form)
        inner.addWidget(buttons(self.wanted))
        down.addWidget(buttons(self.begin))
        down.addWidget(self._form)
        self._form.hide()
        self.begin.toggled.connect(self._form.setVisible)

    def lengths(self) -> tuple[float, float, float, float] | None:
        """(from the left, width, up, height) in mm; None where width or height is missing. What is not
        said of the place is at the corner, on the floor."""
        left, wide, up, high = (field.mm for field in self.fields)
        return (left or 0.0, wide, up or 0.0, high) if wide and high else None

    def clear(self) -> None:
        """For the next part."""
        for field in self.fields:
            field.show_mm(None)
        self.what.clear()
        self.begin.setChecked(False)


class CornerEditor(Editor):
    """What one sets on corners, one or many."""

    kind = "corner"

    def __init__(self, document: Document) -> None:
        super().__init__(document)
        self.title, self.about = label("", "heading", wrap=True), label("", "dims", wrap=True)
        self.bead = ChoiceField(tr("Bead of the selected corners"), said(BEADS))
        self.finish = ChoiceField(tr("How the selected stop edges are finished"), said(FINISHES))
        self.as_job = small_button(tr("As the job"), tr("Use the job’s usual choice again"))
        self.group = ChoiceField(tr("Which corners to select"), said(GROUPS))
        self.of_room = small_button(tr("In the room"), tr("Select all of these in the room"))
        self.of_storey = small_button(tr("Storey"), tr("Select all of these on the storey shown"))
        form = Form()
        (self._bead_word,) = form.pair((tr("Bead"), self.bead))
        (self._finish_word,) = form.pair((tr("Stop edge"), self.finish))
        form.pair((tr("Select"), self.group))
        fill(self.down, self.title, self.about, form, buttons(self.of_room, self.of_storey, self.as_job))
        self.bead.picked.connect(self._set_bead)
        self.finish.picked.connect(self._set_finish)
        self.as_job.clicked.connect(self._unpick)
        self.of_room.clicked.connect(self._choose_room)
        self.of_storey.clicked.connect(self._choose_storey)
        self.group.show_key("external")

    def show_refs(self) -> None:
        """How many, how long, and what they get."""
        view = corners_view(self.document.state, [(ref.room, ref.id) for ref in self.refs])
        if view is None:
            set_text(self.title, tr("This corner is no longer there"))
            set_text(self.about, tr("Select it again where it is now."))
        else:
            set_text(self.title, view.title)
            set_text(self.about, view.about)
        has_bead, has_finish = bool(view and view.has_bead), bool(view and view.has_finish)
        for widget, shown in (
            (self._bead_word, has_bead),
            (self.bead, has_bead),
            (self._finish_word, has_finish),
            (self.finish, has_finish),
        ):
            widget.setVisible(shown)
        self.bead.show_key(view.bead if view else None)
        self.finish.show_key(view.finish if view else None)
        self.as_job.setVisible(bool(view and view.is_picked))

    # -- what the user does

    def choose_group(self, group: Group, rooms: tuple[str, ...]) -> None:
        """Choose every corner of a group in these rooms."""
        found = corner_group(self.document.state, rooms, group)
        if not found:
            group_words = tr(dict(GROUPS)[group])
            self.refuse(
                tr("None here ({group}): coat both faces that meet, or select another room.", group=group_words)
            )
            return
        self.document.choose(tuple(Ref("corner", name, room) for room, name in found))

    def corners(self) -> dict[RoomId, list[str]]:
        """The chosen corners by room."""
        found: dict[RoomId, list[str]] = {}
        for ref in self.refs:
            found.setdefault(RoomId(ref.room), []).append(ref.id)
        return found

    def _set_bead(self, bead: Bead) -> None:
        corners = self.corners()
        self.apply(self._named(tr(dict(BEADS)[bead])), lambda job: edits.pick_corners(job, corners, bead=bead))

    def _set_finish(self, finish: Finish) -> None:
        corners = self.corners()
        self.apply(self._named(tr(dict(FINISHES)[finish])), lambda job: edits.pick_corners(job, corners, finish=finish))

    def _unpick(self) -> None:
        corners = self.corners()
        self.apply(self._named(tr("As the job")), lambda job: edits.unpick_corners(job, corners))

    def _named(self, choice: str) -> str:
        """The name of an edit that gives the chosen corners something."""
        return tr_count("{choice}: 1 corner", "{choice}: {count} corners", len(self.refs), choice=choice)

    def _group(self) -> Group:
        key: Group = self.group.currentData()
        return key

    def _choose_room(self) -> None:
        self.choose_group(self._group(), tuple(dict.fromkeys(ref.room for ref in self.refs)))

    def _choose_storey(self) -> None:
        storey = self.document.storey
        self.choose_group(self._group(), tuple(str(r.id) for r in storey.rooms) if storey else ())
