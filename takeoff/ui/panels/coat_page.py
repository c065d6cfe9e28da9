"""The step "Coat": outside walls by one rule, walls of which nobody knows, chosen rooms, the job's usual."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QPushButton, QScrollArea, QVBoxLayout, QWidget

from takeoff.plan import edits
from takeoff.plan.edits.coat_edits import Bead, Finish
from takeoff.plan.model import Job
from takeoff.ui.document import Document
from takeoff.ui.panels.fields import ChoiceField, Form, LengthField, buttons, small_button
from takeoff.ui.panels.room_coats import RoomCoats, chosen_rooms
from takeoff.ui.panels.unknown_walls import UnknownWalls
from takeoff.ui.panels.words import hair, label, set_text
from takeoff.ui.tools.entry import THICK_MM_FROM
from takeoff.units.printing import fmt2
from takeoff.views.coats import OutsideRule, coat_outside, coat_words, rule_of
from takeoff.views.corners import BEADS, FINISHES

USUAL_MM = 600.0
"""Return and ceiling band that are offered first (common practice, no source)."""

SCOPES = (("job", "In the whole job"), ("storey", "On this storey"), ("rooms", "In the chosen rooms"))


class CoatPage(QWidget):
    """What is coated, over the job or the chosen rooms. ``unknown_clicked``: go to a wall."""

    unknown_clicked = Signal(object)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self.document = document
        self.says = label("", "grey", wrap=True)
        self.returns = LengthField("Returns along the walls that meet an outside wall", True, THICK_MM_FROM)
        self.band = LengthField(
            "Band of ceiling along outside walls; none leaves ceilings as they are", True, THICK_MM_FROM
        )
        self.scope = ChoiceField("Where outside walls are coated", SCOPES)
        self.outside = QPushButton("Coat outside walls")
        self.everything = small_button("Everything", "Coat all walls and ceilings there")
        self.asked = UnknownWalls(document)
        self.rooms = RoomCoats(document)
        self.bead = ChoiceField("Bead on external corners that were not picked", BEADS)
        self.finish = ChoiceField("Coat edges that were not picked", FINISHES)
        self._build()
        self.outside.clicked.connect(self._coat_outside)
        self.everything.clicked.connect(self._coat_everything)
        self.bead.picked.connect(self._set_bead)
        self.finish.picked.connect(self._set_finish)
        self.asked.table.picked.connect(self.unknown_clicked)
        for field in (self.returns, self.band):
            field.refused.connect(document.refused)
        document.opened.connect(self._anew)
        document.changed.connect(self._listen)
        document.chosen_changed.connect(self._listen)
        self._anew()

    def _build(self) -> None:
        self.outside.setProperty("part", "main")
        self.outside.setToolTip("Coat the outside walls there, with returns and ceiling band, and no others")
        rule, usual = Form(), Form()
        rule.pair(("Returns", self.returns), ("Ceiling", self.band))
        rule.pair(("Where", self.scope))
        usual.pair(("Corners", self.bead))
        usual.pair(("Coat edge", self.finish))
        inner = QWidget()
        inner.setProperty("part", "page")
        down = QVBoxLayout(inner)
        down.setContentsMargins(16, 16, 8, 16)
        down.setSpacing(6)
        down.addWidget(label("Coat", "title"))
        down.addWidget(self.says)
        down.addWidget(label("Outside walls only", "heading"))
        down.addLayout(rule)
        down.addWidget(buttons(self.outside, self.everything))
        down.addWidget(self.asked)
        down.addWidget(hair())
        down.addWidget(self.rooms)
        down.addWidget(hair())
        down.addWidget(label("What others get", "heading"))
        down.addLayout(usual)
        down.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidget(inner)
        scroll.setWidgetResizable(True)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addWidget(scroll)

    def _anew(self) -> None:
        """Another job: its own rule, else the usual one."""
        rule = rule_of(self.document.state)
        self.returns.show_mm(rule.return_mm if rule else USUAL_MM)
        self.band.show_mm(rule.band_mm if rule else USUAL_MM)
        self.scope.show_key("job")
        self.refresh()

    def refresh(self) -> None:
        """Show what is coated now."""
        job = self.document.job
        words = coat_words(self.document.state)
        set_text(self.says, f"Now: {words}.")
        self.asked.refresh()
        self.rooms.refresh()
        self.bead.show_key(job.bead_default)
        self.finish.show_key(job.coat_edge_default)

    def showEvent(self, event: object) -> None:  # noqa: N802 - Qt's name
        """What changed while another page was shown."""
        del event
        self.refresh()

    def scoped(self) -> tuple[str, ...] | None:
        """The rooms that are meant; None for all of the job."""
        where = self.scope.currentData()
        if where == "storey":
            storey = self.document.storey
            return tuple(str(room.id) for room in storey.rooms) if storey else ()
        return chosen_rooms(self.document) if where == "rooms" else None

    # -- what the user does

    def _coat_outside(self) -> None:
        rooms, state = self.scoped(), self.document.state
        if rooms == ():
            self.document.refused.emit("No room is chosen: click one, or coat the whole job.")
            return
        rule = OutsideRule(self.returns.mm or 0.0, self.band.mm)
        self.document.apply(
            f"Coat outside walls, returns {fmt2(rule.return_mm / 1000.0)} m",
            lambda job: coat_outside(state, job, rule, rooms),
        )

    def _coat_everything(self) -> None:
        chosen = self.scoped()
        every = [room for storey in self.document.job.storeys for room in storey.rooms]
        rooms = [room for room in every if chosen is None or room.id in chosen]

        def coated(job: Job) -> Job:
            job = edits.coat_sides(job, {room.id: edits.all_sides(room) for room in rooms}, True)
            return edits.coat_ceilings(job, [room.id for room in rooms], True)

        self.document.apply("Coat walls and ceilings", coated)

    def _set_bead(self, bead: Bead) -> None:
        self.document.apply(f"{dict(BEADS)[bead]} unless picked", lambda job: edits.set_bead_default(job, bead))

    def _set_finish(self, finish: Finish) -> None:
        self.document.apply(
            f"Coat edges {dict(FINISHES)[finish].lower()} unless picked",
            lambda job: edits.set_coat_edge_default(job, finish),
        )

    def _listen(self, before: object, after: object) -> None:
        del before, after
        if self.isVisible():
            self.refresh()
