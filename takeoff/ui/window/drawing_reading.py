"""What a drawing leaves open, asked on the Drawing page: unit, scale, page, walls, layers."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

import msgspec
from PySide6.QtCore import QObject, QTimer

from takeoff.drawing.model import Drawing
from takeoff.errors import Finding, OutputError, TakeoffError
from takeoff.files.paths import state_folder
from takeoff.language import mark, number, tr, tr_count
from takeoff.plan.model import DrawingId, Job
from takeoff.recognise.walls.layer_roles import LayerGuess
from takeoff.services import layers
from takeoff.services.opening import Answers, Opened, Thumbnail, answered, thumbnails
from takeoff.services.room_proposals import LOST, Proposed, apart_from_rooms, merged, propose_with
from takeoff.sheets.sheet_values import Point
from takeoff.ui import messages
from takeoff.ui.panels.drawing_page import DrawingPage
from takeoff.ui.tools.pick_points import PickPoints
from takeoff.ui.window.adding_drawings import AddingDrawings, Read
from takeoff.ui.window.workspace import Workspace
from takeoff.views import drawing_asks

_NEAR_MM = 2500.0
"""How much round a wall in question is shown."""
_AT_ONCE = 6000
"""Drawings with fewer lines are proposed anew here and now, in tenths of a second."""

PAGE_ANSWERS = (("add", mark("Add it as a storey")), ("instead", mark("Open it instead")), ("stay", mark("Neither")))


class Reading(QObject):
    """Keeps the Drawing page and the drawing of the storey that is shown together."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self._space = space
        self._document = space.document
        self._read: dict[DrawingId, Read] = {}
        self.adding = AddingDrawings(space, self.keep, self.fill)
        self._thumbnails: tuple[Path, tuple[Thumbnail, ...]] | None = None
        self._page: DrawingPage | None = None
        self._pick: PickPoints | None = None
        self._shown: (
            tuple[Drawing, tuple[LayerGuess, ...], tuple[layers.LayerRow, ...], tuple[layers.WallQuestion, ...]] | None
        ) = None
        self._document.opened.connect(self._start_anew)
        self._document.changed.connect(self._changed)
        self._document.storey_changed.connect(self._storey_shown)
        space.files.taken.connect(self.take)
        space.files.stopped.connect(self._show_question)

    @property
    def _here(self) -> Read:
        """What is known of the drawing under the storey that is shown."""
        ref = self._document.ref
        return self._read.setdefault(ref.id, Read()) if ref is not None else Read()

    # -- the page

    def make_page(self) -> DrawingPage:
        """The page, made when it is first shown."""
        page = DrawingPage()
        page.question.answered.connect(self.answer)
        page.question.pick.connect(self.pick_length)
        page.question.length_typed.connect(self.take_length)
        page.question.refused.connect(self._space.say)
        page.pages.chosen.connect(self.read_page)
        page.walls.answered.connect(self.say_of_walls)
        page.walls.shown_at.connect(self._show_place)
        page.layers.role_chosen.connect(self.say_of_layer)
        page.layers.show_changed.connect(self._show_layer)
        page.layers.anew.connect(self.guess_anew)
        page.undo.connect(partial(self._space.acts.do, "undo"))
        self._page = page
        self.fill()
        page.say(self._remembered())
        return page

    def fill(self) -> None:
        """Show everything as it is."""
        page, drawing = self._page, self._document.drawing
        if page is None:
            return
        page.about.setText(self._about())
        self._show_question()
        self._show_pages()
        if drawing is None or drawing.picture is not None:
            page.walls.show_questions(())
            page.layers.show_rows((), {}, {}, False)
            return
        rows, asked = self._seen(drawing)
        page.walls.show_questions(() if drawing_asks.is_model(drawing) else asked)
        numbers = {layer.name: k for k, layer in enumerate(drawing.layers)}
        page.layers.show_rows(
            rows,
            numbers,
            self._space.plan.linework.shows,
            bool(self._remembered()),
            sortable=not drawing_asks.is_model(drawing),
        )

    def _seen(self, drawing: Drawing) -> tuple[tuple[layers.LayerRow, ...], tuple[layers.WallQuestion, ...]]:
        """The layer table and the questions on walls; worked out once for a drawing and its guesses."""
        guesses = self._guesses()
        if self._shown is None or self._shown[0] is not drawing or self._shown[1] != guesses:
            rows, asked = layers.seen(drawing, guesses)
            self._shown = (drawing, guesses, rows, asked)
        return self._shown[2:]

    def _about(self) -> str:
        drawing, ref = self._document.drawing, self._document.ref
        if drawing is not None and drawing.picture is not None:
            wide, high = drawing.picture.width_px, drawing.picture.height_px
            return tr(
                "{drawing}: a picture of {width} × {height} pixels.",
                drawing=drawing.name,
                width=number(wide),
                height=number(high),
            )
        if drawing is not None:
            return tr_count(
                "{drawing}: {lines} line.",
                "{drawing}: {lines} lines.",
                len(drawing.lines),
                drawing=drawing.name,
                lines=number(len(drawing.lines)),
            )
        if ref is not None:
            return tr("Measured from {drawing}; its lines are not in this job.", drawing=ref.name)
        return tr("No drawing. Open one, or drop one on the window.")

    def _show_question(self) -> None:
        if self._page is not None:
            self._page.question.show_question(None)
            self._page.question.show_question(self._question())

    def _question(self) -> drawing_asks.Question | None:
        drawing = self._document.drawing
        opened = self._here.opened
        if drawing is None or opened is None or opened.raw is None:
            return None
        return drawing_asks.question(drawing, opened.job, self._document.read_findings)

    def size_in_doubt(self) -> bool:
        """Whether unit or scale have to be said."""
        asked = self._question()
        return asked is not None and asked.doubtful

    def doubtful(self) -> bool:
        """Whether the drawing leaves something open that the page asks about."""
        drawing, asked = self._document.drawing, self._question()
        if drawing is None:
            return False
        walls = drawing.picture is None and not drawing_asks.is_model(drawing) and bool(self._seen(drawing)[1])
        return (
            drawing.picture is not None
            or walls
            or drawing_asks.pages_of(drawing) > 1
            or (asked is not None and asked.doubtful)
        )

    # -- another drawing

    def _start_anew(self) -> None:
        self._read.clear()
        if self._page is not None:
            self._page.say("")
        # What belongs to the file comes right after; a job that was taken back has nothing more to come.
        QTimer.singleShot(0, self, self.fill)

    def take(self, opened: Opened) -> None:
        """A file was opened: ask what it leaves open."""
        job, drawing = opened.job, opened.drawing
        read = Read(opened)
        if drawing is not None and opened.kind == "drawing" and opened.guesses:
            roles = job.drawings[0].layer_roles if job.drawings else ()
            read.proposed = Proposed(drawing, job, opened.found, opened.guesses, roles)
            read.before[roles] = read.proposed, opened.findings
        if job.drawings and opened.kind == "drawing":
            self._read[job.drawings[0].id] = read
        self.fill()
        if opened.kind == "drawing" and self.doubtful():
            self._space.show_step("drawing")
        if self._page is not None:
            self._page.say(self._remembered())

    def _remembered(self) -> str:
        """What was taken as it was said of an earlier drawing, in words; "" where nothing was."""
        if all(f.code != "layers-remembered" for f in self._document.read_findings):
            return ""
        return layers.remembered_words(tuple(self._roles().items()))

    # -- unit, scale, page

    def answer(self, key: str) -> None:
        """Read the drawing in that unit, or at that scale."""
        opened, drawing, ref = self._here.opened, self._document.drawing, self._document.ref
        several = len(self._document.job.drawings) > 1
        if opened is None or drawing is None or not (several or self._space.files.may_leave()):
            self._show_question()
            return
        sheet = drawing_asks.is_sheet(drawing)
        said = ref.layer_roles if ref is not None else ()
        answers = Answers(unit=None if sheet else key, scale=key if sheet else None, said=said, lenient=True)
        lean = msgspec.structs.replace(opened, drawings={}, guesses=(), findings=())
        files = self._space.files
        then = partial(self.adding.take_anew, ref.id) if several and ref is not None else files.take
        files.work(tr("Reading {file} again", file=opened.path.name), answered, (lean, answers), then)
        self._show_question()

    def pick_length(self) -> None:
        """Let two ends of a known length be clicked."""
        self._pick = PickPoints(
            self._space.plan, tr("Click both ends of a length that you know"), 2, self._picked, self._space.say
        )
        self._space.take(self._pick)

    def _picked(self, points: tuple[Point, ...]) -> None:
        if self._page is not None:
            self._page.question.show_picked(_apart(points))

    def take_length(self, length_mm: float | None) -> None:
        """The known length was typed: read the drawing so that it is right."""
        drawing, pick = self._document.drawing, self._pick
        if drawing is None or pick is None or len(pick.points) != 2 or length_mm is None:
            return
        try:
            if drawing_asks.is_sheet(drawing):
                key = f"{drawing_asks.scale_by_length(drawing, _apart(pick.points), length_mm):.9g}"
            else:
                key = drawing_asks.unit_by_length(drawing, _apart(pick.points), length_mm)
        except TakeoffError as error:
            self._space.say(str(error))
            return
        self._space.back_to_choosing()
        self.answer(key)

    def read_page(self, page: int) -> None:
        """Read another page of the PDF, in place of this one or as a storey more."""
        opened = self._here.opened
        answer = "instead"
        if opened is not None and any(storey.rooms for storey in self._document.job.storeys):
            answer = messages.current().ask(
                self._space.window, tr("What is page {page} for?", page=page), messages.in_words(PAGE_ANSWERS)
            )
        if opened is not None and answer == "add":
            self.adding.add(opened.path, page)
        elif opened is not None and answer == "instead" and self._space.files.may_leave():
            self._space.files.open_with(opened.path, Answers(page=page))
        self._show_pages()

    def keep(self, of: DrawingId, read: Read) -> None:
        """What is known of a drawing that has come into the job, or was read otherwise; its page asks what it
        leaves open."""
        self._read[of] = read
        if self.doubtful():
            self._space.show_step("drawing")
        self.fill()

    def _show_pages(self) -> None:
        page, drawing, opened = self._page, self._document.drawing, self._here.opened
        if page is None:
            return
        count = drawing_asks.pages_of(drawing) if drawing is not None else 0
        ref = self._document.ref
        at = (ref.page or 1) if ref is not None else 1
        if count < 2 or opened is None or opened.kind != "drawing":
            page.pages.show_pages(at, 0)
            return
        page.pages.show_pages(at, count)
        path = opened.path
        if self._thumbnails is not None and self._thumbnails[0] == path:
            page.pages.show_thumbnails(self._thumbnails[1], at)
            return

        def come(shown: tuple[Thumbnail, ...]) -> None:
            self._thumbnails = path, shown
            now = self._here.opened
            if self._page is not None and now is not None and now.path == path:
                self._page.pages.show_thumbnails(shown, at)

        self._space.run(partial(_pages, path), come)

    # -- layers and walls

    def say_of_walls(self, asked: tuple[str, ...], role: str) -> None:
        """Walls drawn in one way stand or come down."""
        self._sort({**self._roles(), **dict.fromkeys(asked, role)})

    def say_of_layer(self, layer: str, role: str) -> None:
        """A layer is for something else than was guessed."""
        self._sort({**self._roles(), layer: role})

    def guess_anew(self) -> None:
        """Nothing is said of layers any more, here or for the next drawing."""
        self._sort({})

    def _roles(self) -> dict[str, str]:
        ref = self._document.ref
        return dict(ref.layer_roles) if ref is not None else {}

    def _guesses(self) -> tuple[LayerGuess, ...]:
        proposed = self._here.proposed
        if proposed is not None and proposed.drawing is self._document.drawing:
            return proposed.guesses
        drawing = self._document.drawing
        return layers.as_said(drawing, tuple(self._roles().items())) if drawing is not None else ()

    def _sort(self, roles: dict[str, str]) -> None:
        """Propose the rooms of the drawing anew, with the layers for what is said."""
        drawing = self._document.drawing
        if drawing is None or drawing_asks.is_model(drawing):
            return
        said = tuple(roles.items())
        if self._here.proposed is None:
            # A job from its file does not say what was proposed: that is found again first.
            old = tuple(self._roles().items())
            self._run(old, lambda found: self._found_before(found, said))
        else:
            self._run(said, self._found)

    def _run(self, said: layers.Said, then: Callable[[Proposed], None]) -> None:
        drawing, ref, files = self._document.drawing, self._document.ref, self._space.files
        if drawing is None or ref is None:
            return
        if len(drawing.lines) <= _AT_ONCE:
            try:
                then(propose_with(drawing, said, ref.id))
            except TakeoffError as error:
                self._space.say(str(error))
        else:
            files.work(tr("Finding the rooms again"), propose_with, (drawing, said, ref.id), then)

    def _found_before(self, found: Proposed, said: layers.Said) -> None:
        self._read.setdefault(found.of, Read()).proposed = found
        self._run(said, self._found)

    def _found(self, now: Proposed) -> None:
        """Put the user's job and the new proposal together, as one edit."""
        read = self._read.setdefault(now.of, Read())
        before = read.proposed
        if before is None:
            return
        told: list[tuple[Finding, ...]] = []

        def edit(job: Job) -> Job:
            job, findings = merged(before, job, now)
            told.append(findings)
            return job

        about = apart_from_rooms(self._document.read_findings, before)
        if not self._document.apply(tr("Set what layers are for"), edit):
            self.fill()
            return
        findings = (*about, *(told[-1] if told else ()))
        read.before[now.roles] = now, findings
        self._show_proposed(now, findings)
        self._remember(now)
        lost = [f"{f.text} {f.evidence}".strip() for f in findings if f.code in LOST]
        if self._page is not None:
            self._page.say(" ".join(lost), can_undo=True)

    def _show_proposed(self, now: Proposed, findings: tuple[Finding, ...]) -> None:
        self._read.setdefault(now.of, Read()).proposed = now
        self._document.read_again(now.of, now.drawing, findings)
        self._space.files.keeping.read_again()
        plan = self._space.plan
        shows = {
            layer.name: plan.linework.shows.get(k)
            for k, layer in enumerate(now.drawing.layers)
            if k in plan.linework.shows
        }
        plan.show_drawing()
        if now.drawing is not self._document.drawing:
            return  # of another storey than the one that is shown
        kept = {k: shows[layer.name] for k, layer in enumerate(now.drawing.layers) if layer.name in shows}
        plan.linework.show_layers({k: show for k, show in kept.items() if show is not None})
        self.fill()

    def _remember(self, now: Proposed) -> None:
        try:
            layers.remember(state_folder(), now.drawing, now.roles)
        except OutputError as error:
            self._space.say(str(error))

    def _changed(self, before: object, after: object) -> None:
        """An edit, undo or redo: where it took other roles along, the page and the findings follow."""
        del before, after
        for ref in self._document.job.drawings:
            read = self._read.get(ref.id)
            if read is not None and read.laid not in (None, ref.laid):
                # it lies otherwise now: what was proposed is found again where it lies, when it is asked for
                read.proposed, read.laid = None, ref.laid
                read.before.clear()
            known = read.before.get(ref.layer_roles) if read is not None else None
            if read is not None and known is not None and read.proposed is not None and known[0] is not read.proposed:
                if self._page is not None:
                    self._page.say("")
                self._show_proposed(*known)

    def _storey_shown(self, storey_id: str) -> None:
        del storey_id
        self.fill()

    def _show_layer(self, number: int, show: str) -> None:
        if show in ("on", "dimmed", "off"):
            self._space.plan.linework.show_layers({number: show})  # type: ignore[dict-item]

    def _show_place(self, at: Point) -> None:
        x, y = at
        self._space.plan.view.show_area(x - _NEAR_MM, y - _NEAR_MM, x + _NEAR_MM, y + _NEAR_MM)


def _pages(path: Path) -> tuple[Thumbnail, ...]:
    try:
        return thumbnails(path, 1, _silent)
    except TakeoffError:
        return ()  # reading the page that is shown has said what is wrong with the file


def _silent(part: float, text: str) -> None:
    del part, text


def _apart(points: tuple[Point, ...]) -> float:
    (x0, y0), (x1, y1) = points
    return float(((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5)
