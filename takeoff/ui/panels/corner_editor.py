"""Chosen corners and coat edges: bead, finish, and more of them to choose at once."""

from __future__ import annotations

from takeoff.plan import edits
from takeoff.plan.edits.coat_edits import Bead, Finish
from takeoff.plan.model import RoomId
from takeoff.ui.document import Document, Ref
from takeoff.ui.panels.editor import Editor
from takeoff.ui.panels.fields import ChoiceField, Form, buttons, small_button
from takeoff.ui.panels.words import label, set_text
from takeoff.views.corners import BEADS, FINISHES, GROUPS, Group, corner_group, corners_view


class CornerEditor(Editor):
    """What one sets on corners, one or many."""

    kind = "corner"

    def __init__(self, document: Document) -> None:
        super().__init__(document)
        self.title, self.about = label("", "heading", wrap=True), label("", "dims", wrap=True)
        self.bead = ChoiceField("Bead of the chosen corners", BEADS)
        self.finish = ChoiceField("How the chosen coat edges end", FINISHES)
        self.as_job = small_button("As the job", "As the job says of all: take the choice by hand back")
        self.group = ChoiceField("Which corners to choose", GROUPS)
        self.of_room = small_button("In the room", "Choose all of these in the room")
        self.of_storey = small_button("Storey", "Choose all of these on the storey that is shown")
        form = Form()
        (self._bead_word,) = form.pair(("Bead", self.bead))
        (self._finish_word,) = form.pair(("Coat edge", self.finish))
        form.pair(("Choose", self.group))
        self.down.addWidget(self.title)
        self.down.addWidget(self.about)
        self.down.addLayout(form)
        self.down.addWidget(buttons(self.of_room, self.of_storey, self.as_job))
        self.bead.picked.connect(self._set_bead)
        self.finish.picked.connect(self._set_finish)
        self.as_job.clicked.connect(self._unpick)
        self.of_room.clicked.connect(self._choose_room)
        self.of_storey.clicked.connect(self._choose_storey)
        self.group.show_key("external")
        self.refresh()

    def show_refs(self) -> None:
        """How many, how long, and what they get."""
        view = corners_view(self.document.state, [(ref.room, ref.id) for ref in self.refs])
        if view is None:
            set_text(self.title, "This corner is no longer there")
            set_text(self.about, "Choose it again where it is now.")
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
        words = dict(GROUPS)[group].lower()
        if not found:
            self.refuse(f"There are no {words} here: coat both faces that meet, or choose another room.")
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
        self.apply(f"{dict(BEADS)[bead]} on {self._counted()}", lambda job: edits.pick_corners(job, corners, bead=bead))

    def _set_finish(self, finish: Finish) -> None:
        corners = self.corners()
        self.apply(
            f"{dict(FINISHES)[finish]}: {self._counted()}", lambda job: edits.pick_corners(job, corners, finish=finish)
        )

    def _unpick(self) -> None:
        corners = self.corners()
        self.apply(f"{self._counted().capitalize()} as the job says", lambda job: edits.unpick_corners(job, corners))

    def _counted(self) -> str:
        return "a corner" if len(self.refs) == 1 else f"{len(self.refs)} corners"

    def _group(self) -> Group:
        key: Group = self.group.currentData()
        return key

    def _choose_room(self) -> None:
        self.choose_group(self._group(), tuple(dict.fromkeys(ref.room for ref in self.refs)))

    def _choose_storey(self) -> None:
        storey = self.document.storey
        self.choose_group(self._group(), tuple(str(r.id) for r in storey.rooms) if storey else ())
