"""The step "Coat": outside walls by one rule, walls of which nobody knows, chosen rooms, the job's usual."""

from __future__ import annotations

from collections.abc import Callable, Collection
from functools import partial

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import (
    QAbstractButton,
    QButtonGroup,
    QCheckBox,
    QLabel,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from takeoff.language import mark, tr, tr_count
from takeoff.measure.outside_rule import OutsideRule
from takeoff.plan import edits
from takeoff.plan.edits.coat_edits import Bead, Finish
from takeoff.plan.edits.custom_edits import Custom
from takeoff.plan.model import AboveClass, BehindClass, Job, RoomId
from takeoff.ui.document import Document, Ref
from takeoff.ui.panels.asking_panel import AskingPanel
from takeoff.ui.panels.coat_editors import OutlineLine
from takeoff.ui.panels.form_fields import ChoiceField, Form, LengthField, buttons, said, small_button
from takeoff.ui.panels.page_parts import FORM_PX, empty, fill, hair, label, scrolled, set_text, stacked
from takeoff.ui.panels.table import ROW_PX, Head, Row, Table
from takeoff.units.lengths import DEPTH
from takeoff.units.printing import shown
from takeoff.views.chosen_coats import BEADS, FINISHES, Outline, RoomsView, reveals_of, rooms_view
from takeoff.views.coat_questions import ABOVE_ANSWERS, above_questions, claim_words, run_questions
from takeoff.views.outside_walls import Unknown, answered, coat_outside, coat_words, rule_of, unknown_walls
from takeoff.views.substrate_choices import substrate_choices

ANSWERS: tuple[tuple[BehindClass, str, str], ...] = (
    ("outside", mark("Outside"), mark("Open air lies behind the walls selected in the list")),
    ("unheated", mark("Unheated"), mark("An unheated space lies behind the walls selected in the list")),
    ("heated", mark("Heated"), mark("A heated room lies behind the walls selected in the list")),
    ("neighbour", mark("Neighbour"), mark("The neighbour’s building lies behind the walls selected in the list")),
)


ABOVE: tuple[tuple[AboveClass, str], ...] = (("unknown", mark("Not known")), *ABOVE_ANSWERS)

_HEAD_PX, _ROWS = 32, 6
"""The list is as high as its rows, up to so many; more are scrolled."""


class UnknownWalls(QWidget):
    """Walls of which somebody must say what lies behind: click one to see it, answer one or many."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self._walls: tuple[Unknown, ...] = ()
        self.heading, self.note = label("", "heading"), label("", "grey", wrap=True)
        self.table = Table(
            (Head(tr("Room"), stretch=True), Head(tr("Wall")), Head("m", True)), tr("Walls to say what lies behind")
        )
        self.table.keep_to_one_line()
        self.buttons: dict[str, QPushButton] = {}
        self._group = QButtonGroup(self)
        for cls, words, tip in ANSWERS:
            button = self.buttons[cls] = small_button(tr(words), tr(tip))
            self._group.addButton(button)
        self._group.buttonClicked.connect(self._answered)
        down = stacked(self, (0, 2, 0, 2), 4)
        made = tuple(self.buttons.values())
        for widget in (self.heading, self.note, self.table, buttons(*made[:2]), buttons(*made[2:])):
            down.addWidget(widget)

    def refresh(self) -> None:
        """Show the walls that are not known now."""
        self._walls = unknown_walls(self._document.state)
        rows = tuple(
            Row(
                f"{wall.room}:{wall.side}",
                (wall.room_words, wall.wall_words, shown(wall.length_mm / 1000.0)),
                Ref("side", str(wall.side), str(wall.room)),
            )
            for wall in self._walls
        )
        marked = {
            self.table.rows.rows[i.row()].key
            for i in self.table.selectionModel().selectedRows()
            if i.row() < len(self.table.rows.rows)
        }
        if rows != self.table.rows.rows:
            self.table.rows.show_rows(rows)
            for number, row in enumerate(rows):
                if row.key in marked:
                    self.table.selectRow(number)
        count = len(rows)
        self.table.setFixedHeight(_HEAD_PX + ROW_PX * min(count, _ROWS) + 2)
        words = tr_count("Not known: {count} wall", "Not known: {count} walls", count)
        set_text(self.heading, words if count else tr("Every wall is known"))
        set_text(
            self.note, tr("What lies behind them? Until you say, they do not count as outside walls.") if count else ""
        )
        for widget in (self.note, self.table, *self.buttons.values()):
            widget.setVisible(count > 0)

    def marked(self) -> tuple[Unknown, ...]:
        """The walls that are marked in the list."""
        rows = {index.row() for index in self.table.selectionModel().selectedRows()}
        return tuple(wall for number, wall in enumerate(self._walls) if number in rows)

    def answer(self, cls: BehindClass) -> None:
        """Say what lies behind the marked walls; the next one is marked and shown."""
        walls, state = self.marked(), self._document.state
        if not walls:
            self._document.refused.emit(tr("Select a wall in the list first: a click shows it on the plan."))
            return
        first = self._walls.index(walls[0])
        words = tr(next(words for key, words, _ in ANSWERS if key == cls))
        name = tr_count(
            "Behind wall {wall}: {answer}",
            "Behind {count} walls: {answer}",
            len(walls),
            wall=walls[0].wall_words,
            answer=words,
        )
        if self._document.apply(name, lambda job: answered(state, job, walls, cls)):
            self.refresh()
            if self._walls:
                at = min(first, len(self._walls) - 1)
                self.table.selectRow(at)
                self.table.picked.emit(self.table.rows.rows[at].ref)

    def _answered(self, button: QAbstractButton) -> None:
        for cls, _, _ in ANSWERS:
            if self.buttons[cls] is button:
                self.answer(cls)


class RoomCoats(QWidget):
    """What is coated in the chosen rooms: walls, ceiling, reveals, and what stays on."""

    def __init__(self, document: Document) -> None:
        super().__init__()
        self._document = document
        self.title, self.hint = label("", "heading"), label("", "grey", wrap=True)
        self.walls, self.ceiling, self.reveals = (
            QCheckBox(words) for words in (tr("Walls"), tr("Ceiling"), tr("Reveals (jambs and head)"))
        )
        self.skirting, self.coving, self.band = (
            LengthField(name, True, DEPTH)
            for name in (
                tr("Kept skirting, height"),
                tr("Kept coving, down the wall and out"),
                tr("Band of ceiling coated along the walls"),
            )
        )
        self.above = ChoiceField(tr("What lies above the ceiling"), said(ABOVE))
        self.walls_on = ChoiceField(tr("Substrate of the walls, under the coat"), ())
        self.ceiling_on = ChoiceField(tr("Substrate of the ceiling, under the coat"), ())
        form = Form()
        self._words: tuple[QLabel, ...] = (
            *form.pair((tr("Skirting"), self.skirting), (tr("Coving"), self.coving)),
            *form.pair((tr("Band"), self.band)),
            *form.pair((tr("Above"), self.above)),
            *form.pair((tr("Walls on"), self.walls_on)),
            *form.pair((tr("Ceiling on"), self.ceiling_on)),
        )
        down = stacked(self, (0, 2, 0, 2), 5)
        for widget in (self.title, self.hint):
            down.addWidget(widget)
        for box in (self.walls, self.ceiling, self.reveals):
            # no wider than its word, so that a click anywhere on it counts
            down.addWidget(box, 0, Qt.AlignmentFlag.AlignLeft)
        down.addLayout(form)
        self.outlines = QVBoxLayout()
        self.outlines.setSpacing(2)
        down.addLayout(self.outlines)
        self._shown: tuple[Outline, ...] = ()
        self.walls.clicked.connect(self._set_walls)
        self.ceiling.clicked.connect(self._set_ceiling)
        self.reveals.clicked.connect(self._set_reveals)
        self.skirting.typed.connect(self._set_skirting)
        self.coving.typed.connect(self._set_coving)
        self.band.typed.connect(self._set_band)
        self.above.picked.connect(self._set_above)
        self.walls_on.picked.connect(lambda key: self._set_substrates(walls=key))
        self.ceiling_on.picked.connect(lambda key: self._set_substrates(ceiling=key))
        for field in (self.skirting, self.coving, self.band):
            field.refused.connect(document.refused)
        for box, name in (
            (self.walls, tr("Walls coated")),
            (self.ceiling, tr("Ceiling coated")),
            (self.reveals, tr("Reveals coated")),
        ):
            box.setAccessibleName(name)

    def refresh(self) -> None:
        """Show the chosen rooms as they are."""
        view = rooms_view(self._document.state, chosen_rooms(self._document))
        set_text(self.title, view.title if view else tr("Room by room"))
        set_text(self.hint, "" if view else tr("Select rooms on the plan to set what is coated in them."))
        self.hint.setVisible(view is None)
        fields = (self.walls, self.ceiling, self.reveals, self.skirting, self.coving, self.band, self.above)
        for widget in (*fields, self.walls_on, self.ceiling_on, *self._words):
            widget.setVisible(view is not None)
        outlines = view.outlines if view is not None else ()
        if outlines != self._shown:
            self._shown = outlines
            empty(self.outlines)
            for outline in outlines:
                self.outlines.addWidget(OutlineLine(outline, self._document))
        if view is not None:
            self._show(view)

    def _show(self, view: RoomsView) -> None:
        for box, state in ((self.walls, view.walls), (self.ceiling, view.ceiling), (self.reveals, view.reveals)):
            box.setTristate(state is None)
            box.setCheckState(
                Qt.CheckState.PartiallyChecked
                if state is None
                else Qt.CheckState.Checked
                if state
                else Qt.CheckState.Unchecked
            )
        self.reveals.setEnabled(view.has_reveals)
        self.above.show_key(view.above)
        for choice, key in ((self.walls_on, view.walls_on), (self.ceiling_on, view.ceiling_on)):
            choice.offer(substrate_choices(self._document.job, tr("as the job")))
            choice.show_key(key)
        for field, value in ((self.skirting, view.skirting), (self.coving, view.coving), (self.band, view.band)):
            field.show_mm(value.mm, value.mixed)

    # -- what the user does

    def _rooms(self) -> tuple[RoomId, ...]:
        return tuple(RoomId(name) for name in chosen_rooms(self._document))

    def _edit(self, name: str, edit: Callable[[Job, Collection[RoomId]], Job]) -> None:
        rooms = self._rooms()
        if not self._document.apply(name, lambda job: edit(job, rooms)):
            self.refresh()

    def _set_walls(self) -> None:
        coat = self.walls.checkState() != Qt.CheckState.Unchecked
        self._edit(
            tr("Coat the walls") if coat else tr("Do not coat the walls"),
            lambda job, rooms: edits.coat_sides(
                job, {name: edits.all_sides(edits.room_of(job, name)) for name in rooms}, coat
            ),
        )

    def _set_ceiling(self) -> None:
        coat = self.ceiling.checkState() != Qt.CheckState.Unchecked
        self._edit(
            tr("Coat the ceiling") if coat else tr("Do not coat the ceiling"),
            lambda job, rooms: edits.coat_ceilings(job, rooms, coat),
        )

    def _set_reveals(self) -> None:
        coat, state = self.reveals.checkState() != Qt.CheckState.Unchecked, self._document.state
        self._edit(
            tr("Coat the reveals") if coat else tr("Do not coat the reveals"),
            lambda job, rooms: edits.coat_reveals(job, reveals_of(state, rooms), coat),
        )

    def _set_skirting(self, mm: float | None) -> None:
        self._edit(
            tr("Keep the skirting"),
            lambda job, rooms: edits.set_band(
                job, {name: edits.all_sides(edits.room_of(job, name)) for name in rooms}, "bottom", mm
            ),
        )

    def _set_coving(self, mm: float | None) -> None:
        self._edit(tr("Keep the coving"), lambda job, rooms: edits.set_coving(job, rooms, mm))

    def _set_above(self, above: AboveClass) -> None:
        name = tr("Above the ceiling: {answer}", answer=tr(dict(ABOVE)[above]))
        self._edit(name, lambda job, rooms: edits.answer_above(job, rooms, above))

    def _set_substrates(self, walls: str | None = None, ceiling: str | None = None) -> None:
        self._edit(
            tr("Substrate of the walls") if ceiling is None else tr("Substrate of the ceiling"),
            lambda job, rooms: edits.set_room_substrates(job, rooms, walls, ceiling),
        )

    def _set_band(self, mm: float | None) -> None:
        def banded(job: Job, rooms: Collection[RoomId]) -> Job:
            if mm is None:
                return edits.coat_ceilings(job, rooms, True)
            for name in rooms:
                job = edits.set_ceiling_band(job, name, mm)
            return job

        self._edit(tr("Coat a band of the ceiling") if mm else tr("Coat the whole ceiling"), banded)


def chosen_rooms(document: Document) -> tuple[str, ...]:
    """The rooms of what is chosen, each once."""
    return tuple(dict.fromkeys(ref.room_id for ref in document.choice if ref.room_id))


USUAL_MM = 600.0
"""Return and ceiling band that are offered first (common practice, no source)."""

PARTLY = (("part", mark("Coat that part")), ("whole", mark("Coat the whole wall")))

SCOPES = (
    ("job", mark("In the whole job")),
    ("storey", mark("On this storey")),
    ("rooms", mark("In the selected rooms")),
)


_CUSTOMS: dict[Custom, tuple[str, str, str]] = {
    "skirting": (
        mark("Ask about skirting everywhere"),
        mark("Keep skirting everywhere"),
        mark("Skirting comes off everywhere"),
    ),
    "coving": (
        mark("Ask about coving everywhere"),
        mark("Keep coving everywhere"),
        mark("Coving comes off everywhere"),
    ),
    "architrave": (
        mark("Ask about architraves everywhere"),
        mark("Keep architraves everywhere"),
        mark("Architraves come off everywhere"),
    ),
}
"""The names of the edits that say what becomes of them: not said, kept, taken off."""


class CoatPage(QWidget):
    """What is coated, over the job or the chosen rooms. ``unknown_clicked``: go to a wall."""

    unknown_clicked = Signal(object)

    def __init__(self, document: Document) -> None:
        super().__init__()
        self.document = document
        self.says = label("", "grey", wrap=True)
        self.returns = LengthField(tr("Return on to partitions that meet an outside wall"), True, DEPTH)
        self.band = LengthField(tr("Ceiling band along outside walls; empty leaves ceilings as they are"), True, DEPTH)
        self.scope = ChoiceField(tr("Where outside walls are coated"), said(SCOPES))
        self.outside = QPushButton(tr("Coat outside walls"))
        self.everything = small_button(tr("Everything"), tr("Coat all walls and ceilings there"))
        self.partly = ChoiceField(tr("Walls that are only partly outside walls"), said(PARTLY))
        self.claims = label("", "grey", wrap=True)
        self.say = small_button(
            tr("Say what stands there…"), tr("Say for each run of the outline what stands beyond it")
        )
        self.roof = small_button(
            tr("Ceilings under the roof"), tr("Coat the ceilings under a roof, no others; asks first")
        )
        self.asking = AskingPanel(document)
        self.asked = UnknownWalls(document)
        self.rooms = RoomCoats(document)
        self.bead = ChoiceField(tr("Bead on external corners not set by hand"), said(BEADS))
        self.finish = ChoiceField(tr("Stop edges not set by hand"), said(FINISHES))
        self.walls_on = ChoiceField(tr("Substrate of walls where neither wall nor room has one"), ())
        self.ceilings_on = ChoiceField(tr("Substrate of ceilings where the room has none"), ())
        self.customs: dict[Custom, LengthField] = {
            "skirting": LengthField(tr("Kept skirting everywhere, height; 0 if it comes off"), True, DEPTH),
            "coving": LengthField(tr("Kept coving everywhere, depth; 0 if it comes off"), True, DEPTH),
            "architrave": LengthField(tr("Kept architraves round doors, width; 0 if they come off"), True, DEPTH),
        }
        self._build()
        self.outside.clicked.connect(self._coat_outside)
        self.everything.clicked.connect(self._coat_everything)
        self.say.clicked.connect(self.ask_runs)
        self.roof.clicked.connect(self.coat_under_roof)
        self.bead.picked.connect(self._set_bead)
        self.finish.picked.connect(self._set_finish)
        self.asked.table.picked.connect(self.unknown_clicked)
        self.asking.shown.connect(self._show_claims)
        self.walls_on.picked.connect(self._set_walls_on)
        self.ceilings_on.picked.connect(self._set_ceilings_on)
        self.asking.shown.connect(self._bring_up)
        for custom, size in self.customs.items():
            size.setPlaceholderText(tr("not set"))
            size.typed.connect(partial(self._set_custom, custom))
        for field in (self.returns, self.band, *self.customs.values()):
            field.refused.connect(document.refused)
        document.opened.connect(self._anew)
        document.changed.connect(self._listen)
        document.chosen_changed.connect(self._listen)
        self._anew()

    def _build(self) -> None:
        self.outside.setProperty("part", "main")
        self.outside.setToolTip(tr("Coat the outside walls there, with returns and ceiling band, and no others"))
        rule, usual = Form(), Form()
        rule.pair((tr("Return on to partitions"), self.returns))
        rule.pair((tr("Ceiling band"), self.band))
        rule.pair((tr("Where"), self.scope))
        rule.pair((tr("Partly outside"), self.partly))
        usual.pair((tr("Corners"), self.bead))
        usual.pair((tr("Stop edges"), self.finish))
        usual.pair((tr("Skirting"), self.customs["skirting"]), (tr("Coving"), self.customs["coving"]))
        usual.pair((tr("Architraves"), self.customs["architrave"]))
        usual.pair((tr("Walls on"), self.walls_on))
        usual.pair((tr("Ceilings on"), self.ceilings_on))
        down = scrolled(self, FORM_PX, takes_keys=True)
        fill(
            down,
            label(tr("Coat"), "title"),
            self.says,
            label(tr("Outside walls only"), "heading"),
            rule,
            buttons(self.outside, self.everything),
            buttons(self.roof),
            self.asking,
            self.claims,
            buttons(self.say),
            self.asked,
            hair(),
            self.rooms,
            hair(),
            label(tr("Corners and edges not set by hand"), "heading", wrap=True),
            usual,
        )
        down.addStretch(1)

    def _anew(self) -> None:
        """Another job: its own rule, else the usual one."""
        rule = rule_of(self.document.state)
        self.returns.show_mm(rule.return_mm if rule else USUAL_MM)
        self.band.show_mm(rule.band_mm if rule else USUAL_MM)
        self.partly.show_key("whole" if rule and rule.whole_walls else "part")
        self.scope.show_key("job")
        self.refresh()

    def refresh(self) -> None:
        """Show what is coated now."""
        job = self.document.job
        words = coat_words(self.document.state)
        set_text(self.says, tr("Now: {what_is_coated}.", what_is_coated=words))
        self._show_claims()
        self.asked.refresh()
        self.rooms.refresh()
        self.bead.show_key(job.bead_default)
        self.finish.show_key(job.coat_edge_default)
        choices = substrate_choices(job, tr("not set"))
        for choice, key in ((self.walls_on, job.wall_substrate), (self.ceilings_on, job.ceiling_substrate)):
            choice.offer(choices)
            choice.show_key(key)
        said = job.customs
        self.customs["skirting"].show_mm(said.skirting_mm)
        self.customs["coving"].show_mm(said.coving_mm)
        self.customs["architrave"].show_mm(said.architrave_mm)

    def _show_claims(self) -> None:
        claims = claim_words(self.document.state)
        set_text(self.claims, claims)
        for widget in (self.claims, self.say):
            widget.setVisible(bool(claims) and self.asking.current is None)

    def _bring_up(self, question: object) -> None:
        """In a low window the question lies below what is seen: it is scrolled to once it has its place."""
        if question is not None:
            QTimer.singleShot(0, self, self._scroll_to_question)

    def _scroll_to_question(self) -> None:
        scroll = self.findChild(QScrollArea)
        if scroll is not None and self.asking.isVisible():
            scroll.ensureWidgetVisible(self.asking)

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

    def _rooms(self) -> tuple[bool, tuple[str, ...] | None]:
        """Whether any room is meant, and which (None: all); says so where none is."""
        rooms = self.scoped()
        if rooms == ():
            self.document.refused.emit(tr("No room is selected: click one, or coat the whole job."))
        return rooms != (), rooms

    def _coat_outside(self) -> None:
        meant, rooms = self._rooms()
        if meant:
            self.asking.begin(lambda: run_questions(self.document.state, rooms), lambda: self._put_on(rooms))

    def ask_runs(self) -> None:
        """Ask what stands beyond each run that is outside only as drawn, and leave the coat to its rule."""
        self.asking.begin(lambda: run_questions(self.document.state), self.refresh)

    def coat_under_roof(self) -> None:
        """Coat the ceilings under a roof, no others; what nobody has said of them is asked first."""
        meant, rooms = self._rooms()
        if meant:
            names = None if rooms is None else [RoomId(name) for name in rooms]
            self.asking.begin(lambda: above_questions(self.document.state, rooms), lambda: self._put_on_ceilings(names))

    def _put_on_ceilings(self, rooms: Collection[RoomId] | None) -> None:
        self.document.apply(tr("Coat ceilings under the roof"), lambda job: edits.coat_ceilings_under_roof(job, rooms))

    def _put_on(self, rooms: tuple[str, ...] | None) -> None:
        state = self.document.state
        rule = OutsideRule(self.returns.mm or 0.0, self.band.mm, self.partly.currentData() == "whole")
        self.document.apply(
            tr("Coat outside walls, returns {length} m", length=shown(rule.return_mm / 1000.0)),
            lambda job: coat_outside(state, job, rule, rooms),
        )

    def _coat_everything(self) -> None:
        chosen = self.scoped()
        every = [room for storey in self.document.job.storeys for room in storey.rooms]
        rooms = [room for room in every if chosen is None or room.id in chosen]

        def coated(job: Job) -> Job:
            job = edits.coat_sides(job, {room.id: edits.all_sides(room) for room in rooms}, True)
            return edits.coat_ceilings(job, [room.id for room in rooms], True)

        self.document.apply(tr("Coat walls and ceilings"), coated)

    def _set_bead(self, bead: Bead) -> None:
        name = tr("External corners not set by hand: {choice}", choice=tr(dict(BEADS)[bead]))
        self.document.apply(name, lambda job: edits.set_bead_default(job, bead))

    def _set_walls_on(self, key: str) -> None:
        self.document.apply(tr("Usual substrate of walls"), lambda job: edits.set_job_substrates(job, walls=key))

    def _set_ceilings_on(self, key: str) -> None:
        self.document.apply(tr("Usual substrate of ceilings"), lambda job: edits.set_job_substrates(job, ceilings=key))

    def _set_custom(self, custom: Custom, mm: float | None) -> None:
        ask, keep, take_off = _CUSTOMS[custom]
        name = tr(ask if mm is None else keep if mm else take_off)
        if not self.document.apply(name, lambda job: edits.set_custom(job, custom, mm)):
            self.refresh()

    def _set_finish(self, finish: Finish) -> None:
        self.document.apply(
            tr("Stop edges not set by hand: {choice}", choice=tr(dict(FINISHES)[finish])),
            lambda job: edits.set_coat_edge_default(job, finish),
        )

    def _listen(self) -> None:
        if self.isVisible():
            self.refresh()
