"""A user who does anything at all: every action of the window, the mouse and keys everywhere.

What it does is drawn from a seed, and kept as plain values, so that a failure can be done again from
the job as it stood a few steps before. Actions and widgets are found at run time: what a part of the
window adds is tried without a word here.
"""

from __future__ import annotations

import os
import random
import sys
import traceback
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from PySide6.QtCore import QEvent, QKeyCombination, QPoint, QPointF, Qt, QTimer, qInstallMessageHandler
from PySide6.QtGui import QAction, QKeyEvent, QKeySequence, QMouseEvent, QPainterPath, QWheelEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QDialog,
    QLineEdit,
    QPlainTextEdit,
    QWidget,
)
from shiboken6 import isValid

from takeoff.drawing.model import Drawing
from takeoff.measure import Memory
from takeoff.plan.check import check
from takeoff.plan.model import DrawingId, Job
from takeoff.storage import jobs
from takeoff.ui.canvas.pieces import Board
from takeoff.ui.canvas.plan import Plan
from takeoff.ui.document import Document, Ref, exists
from takeoff.ui.panels.system_page import SystemPage
from takeoff.ui.window.main_window import MainWindow
from takeoff.views.board import stand

LEFT, MIDDLE, RIGHT = Qt.MouseButton.LeftButton, Qt.MouseButton.MiddleButton, Qt.MouseButton.RightButton
NONE, SHIFT, CONTROL = (
    Qt.KeyboardModifier.NoModifier,
    Qt.KeyboardModifier.ShiftModifier,
    Qt.KeyboardModifier.ControlModifier,
)

PRESS, RELEASE = QEvent.Type.MouseButtonPress, QEvent.Type.MouseButtonRelease
DOUBLE, MOVE = QEvent.Type.MouseButtonDblClick, QEvent.Type.MouseMove
NO_BUTTON = Qt.MouseButton.NoButton

LOG = os.environ.get("TAKEOFF_MONKEY_LOG", "")
"""A file to which every event is written before it is done."""

NEVER = frozenset({"close"})
"""Actions that end the window."""

SELDOM = frozenset({"open", "open-sample", "sheets", "write-sheets", "print-sheets", "save", "save-as", "new"})
"""Actions that read, write or start anew: a few are enough."""

TEXTS = (
    "3.45",
    "2.4",
    "2400",
    "0.9",
    "11'4 1/2\"",
    "-1",
    "0",
    "1e9",
    "abc",
    "",
    "0, 850, 2050",
    "45°",
    "°",
    "٣",
    "9" * 40,
    "Kitchen",
    "½",
    "1.2.3",
    "  ",
    "2.5 90",
)

KEYS = (
    Qt.Key.Key_Escape,
    Qt.Key.Key_Return,
    Qt.Key.Key_Tab,
    Qt.Key.Key_Backspace,
    Qt.Key.Key_Delete,
    Qt.Key.Key_Left,
    Qt.Key.Key_Right,
    Qt.Key.Key_Up,
    Qt.Key.Key_Down,
    Qt.Key.Key_Space,
    Qt.Key.Key_Home,
    *(Qt.Key(ord(letter)) for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"),
)


_ALL = (CONTROL | SHIFT).value
KINDS = (
    *((int(Qt.Key(ord(letter))), NONE.value) for letter in "WDON"),
    (int(Qt.Key.Key_Return), NONE.value),
    (int(Qt.Key.Key_Tab), NONE.value),
    (int(Qt.Key.Key_Return), _ALL),
)
"""What is answered on the page of proposals: (key, held)."""
WALK = (
    ("2.5", int(Qt.Key.Key_Return), NONE.value),
    ("Kitchen", int(Qt.Key.Key_Return), NONE.value),
    ("", int(Qt.Key.Key_Return), NONE.value),
    *(("", int(Qt.Key(ord(digit))), NONE.value) for digit in "12345"),
    ("", int(Qt.Key.Key_1), CONTROL.value),
    ("", int(Qt.Key.Key_Return), _ALL),
    ("", int(Qt.Key.Key_Escape), NONE.value),
)
"""What is said on the pages of the first pass: (text, key, held)."""
MOST_DRAWINGS = 3


class Event(NamedTuple):
    """Something the monkey did: enough to do it again."""

    kind: str
    args: tuple[Any, ...]


class Failure(AssertionError):
    """What went wrong, after which event."""


class Answers:
    """Answers every question at random and never blocks."""

    def __init__(self, rng: random.Random, folder: Path, files: Sequence[Path]) -> None:
        self._rng, self._folder, self._files = rng, folder, tuple(files)
        self._count = 0

    def tell(self, parent: QWidget | None, sentence: str, details: str = "") -> None:
        assert sentence.strip()

    def ask(self, parent: QWidget | None, sentence: str, answers: Sequence[tuple[str, str]]) -> str:
        return self._rng.choice(answers)[0]

    def file_to_open(self, parent: QWidget | None, title: str, kinds: str) -> Path | None:
        return self._rng.choice((*self._files, None))

    def file_to_save(self, parent: QWidget | None, title: str, kinds: str, name: str) -> Path | None:
        return self._rng.choice((self._new(".takeoff"), self._new(".json"), None))

    def folder(self, parent: QWidget | None, title: str) -> Path | None:
        return self._rng.choice((self._new(""), None))

    def __getattr__(self, name: str) -> Callable[..., None]:
        # questions that a part added: the user thinks better of it
        if name.startswith("_"):
            raise AttributeError(name)
        return lambda *args, **kwargs: None

    def _new(self, ending: str) -> Path:
        self._count += 1
        return self._folder / f"kept{self._count % 3}{ending}"


class Snapshot(NamedTuple):
    """A job as it stood before an event."""

    job: Job
    drawings: dict[DrawingId, Drawing]
    storey: str


class Monkey:
    """Acts in one window and looks after each act whether all is as it should be."""

    def __init__(self, window: MainWindow, seed: int) -> None:
        self.window, self.rng = window, random.Random(seed)
        self.done: list[tuple[Snapshot, Event]] = []
        self.changes = 0
        self._errors: list[str] = []
        self._checked: Job | None = None
        self._closer = QTimer()
        self._closer.setInterval(5)
        self._closer.timeout.connect(self._close_dialogs)

    # -- running

    def run(self, steps: int) -> None:
        """So many events. Raises Failure for the first after which something is wrong."""
        for _ in range(steps):
            self.step(self.draw())

    def step(self, event: Event) -> None:
        """One event and the look after it."""
        self.done.append((self.snapshot(), event))
        if LOG:
            # a crash of the interpreter itself leaves this behind
            with open(LOG, "a", encoding="utf-8") as log:
                log.write(f"{len(self.done)} {event}\n")
        before = sys.excepthook
        messages = qInstallMessageHandler(self._qt_says)
        sys.excepthook = self._hook
        self._closer.start()
        try:
            self.act(event)
            QApplication.processEvents()
        except Exception as error:  # noqa: BLE001 - every failure is told with what led to it
            self._errors.append("".join(traceback.format_exception(error)))
        finally:
            self._closer.stop()
            sys.excepthook = before
            qInstallMessageHandler(messages)
        if self._errors:
            raise Failure("\n".join(self._errors))
        self.look()

    def snapshot(self) -> Snapshot:
        document = self.window.document
        storey = document.storey
        return Snapshot(document.job, dict(document.drawings), str(storey.id) if storey else "")

    def open(self, snapshot: Snapshot) -> None:
        """Start from a job as it stood."""
        self.window.document.open(snapshot.job, snapshot.drawings)
        self.window.document.show_storey(snapshot.storey)

    def _hook(self, kind: type[BaseException], error: BaseException, trace: Any) -> None:
        self._errors.append("".join(traceback.format_exception(kind, error, trace)))

    def _qt_says(self, kind: Any, context: Any, text: str) -> None:
        if not text.startswith("This plugin does not support"):
            self._errors.append(f"Qt says: {text}")

    def _close_dialogs(self) -> None:
        """Nothing that asks in a window of its own may block: it is closed as Escape does."""
        modal = QApplication.activeModalWidget()
        popup = QApplication.activePopupWidget()
        if popup is not None:
            popup.close()
        elif isinstance(modal, QDialog):
            modal.reject()
        elif modal is not None:
            modal.close()

    # -- drawing events

    def draw(self) -> Event:
        """Any event; undo and redo come in between."""
        kinds = {
            "undo": 6,
            "redo": 5,
            "action": 22,
            "mouse": 26,
            "key": 10,
            "type": 6,
            "strip": 4,
            "widget": 18,
            "wheel": 2,
            "choose": 4,
            "rename": 2,
            "kinds": 3,
            "walk": 4,
            "add": 1,
            "lay": 1,
            "system": 2,
        }
        kind = self.rng.choices(list(kinds), list(kinds.values()))[0]
        return Event(kind, getattr(self, f"_draw_{kind}")())

    def _draw_undo(self) -> tuple[Any, ...]:
        return (self.rng.choice((1, 1, 1, 2, 5, 30)),)

    _draw_redo = _draw_undo

    def _draw_action(self) -> tuple[Any, ...]:
        acts = self.window.acts
        enabled = [row.id for row in acts.rows() if row.id not in NEVER and acts.q(row.id).isEnabled()]
        often = [name for name in enabled if name not in SELDOM]
        seldom = [name for name in enabled if name in SELDOM]
        return (self.rng.choice(seldom if seldom and self.rng.random() < 0.03 else often),)

    def _draw_mouse(self) -> tuple[Any, ...]:
        way = self.rng.choice(("click", "click", "click", "drag", "drag", "double", "move", "right", "pan"))
        held = self.rng.choice((NONE, NONE, NONE, SHIFT, CONTROL))
        points = [self._point() for _ in range(self.rng.choice((2, 2, 3)))]
        return way, held.value, tuple(points)

    def _draw_key(self) -> tuple[Any, ...]:
        held = self.rng.choice((NONE, NONE, NONE, NONE, SHIFT, CONTROL))
        key = self.rng.choice(KEYS)
        return ("key", int(key), held.value) if not self._ends(key, held) else ("key", int(Qt.Key.Key_A), 0)

    def _draw_type(self) -> tuple[Any, ...]:
        return ("type", self.rng.choice(TEXTS), self.rng.random() < 0.7)

    def _draw_strip(self) -> tuple[Any, ...]:
        faces = self.window.strip.faces
        spots = [
            (self.rng.randrange(max(faces.width(), 1)), self.rng.randrange(max(faces.height(), 1))) for _ in range(2)
        ]
        return self.rng.choice(("click", "drag", "double")), tuple(spots)

    def _draw_widget(self) -> tuple[Any, ...]:
        widgets = self._widgets()
        if not widgets:
            return (-1, "", "", 0.0, 0.0)
        number = self.rng.randrange(len(widgets))
        called = _called(widgets[number])
        return (number, called, self.rng.choice(TEXTS), self.rng.random(), self.rng.random())

    def _draw_wheel(self) -> tuple[Any, ...]:
        return self._point(), self.rng.choice((-240, -120, 120, 240))

    def _draw_choose(self) -> tuple[Any, ...]:
        return (self.rng.random(), self.rng.randrange(5))

    def _draw_rename(self) -> tuple[Any, ...]:
        return self.rng.random(), self.rng.choice(TEXTS)

    def _draw_kinds(self) -> tuple[Any, ...]:
        """Openings and rooms that are asked about, one by one, by groups, or all at once."""
        return (tuple(self.rng.choice(KINDS) for _ in range(self.rng.choice((1, 2, 5)))),)

    def _draw_walk(self) -> tuple[Any, ...]:
        """Some steps of the first pass: texts with Enter, digits, all that is left."""
        return (tuple(self.rng.choice(WALK) for _ in range(self.rng.choice((1, 3, 6)))),)

    def _draw_add(self) -> tuple[Any, ...]:
        return ()

    def _draw_lay(self) -> tuple[Any, ...]:
        return (tuple(self._point() for _ in range(4)),)

    def _draw_system(self) -> tuple[Any, ...]:
        return self.rng.random(), self.rng.choice(("use", "use", "copy", "usual", "remove", "open"))

    def _ends(self, key: Qt.Key, held: Qt.KeyboardModifier) -> bool:
        return held == CONTROL and key in (Qt.Key.Key_Q, Qt.Key.Key_O, Qt.Key.Key_P, Qt.Key.Key_S)

    def _point(self) -> tuple[float, float]:
        """A plan point, most often where something is."""
        storey = self.window.document.storey
        rng = self.rng
        rooms = storey.rooms if storey is not None else ()
        if not rooms or rng.random() < 0.25:
            view = self.window.plan.view
            port = view.viewport()
            return view.plan_point(QPointF(rng.uniform(0, port.width()), rng.uniform(0, port.height())))
        ring = rng.choice(rooms).outline
        k = rng.randrange(len(ring))
        one, two = ring[k], ring[(k + 1) % len(ring)]
        t = rng.choice((0.0, 0.5, rng.random()))
        x, y = one.x_mm + t * (two.x_mm - one.x_mm), one.y_mm + t * (two.y_mm - one.y_mm)
        if rng.random() < 0.4:
            middle = [sum(s.x_mm for s in ring) / len(ring), sum(s.y_mm for s in ring) / len(ring)]
            x, y = (x + middle[0]) / 2, (y + middle[1]) / 2
        away = rng.choice((0.0, 0.0, 40.0, 300.0))
        return x + rng.uniform(-away, away), y + rng.uniform(-away, away)

    def _widgets(self) -> list[QWidget]:
        """Everything beside the canvas that can be clicked, chosen or typed in now."""
        kinds = (QAbstractButton, QComboBox, QLineEdit, QAbstractSpinBox, QAbstractItemView, QPlainTextEdit)
        found = [
            w
            for w in self.window.findChildren(QWidget)
            if isinstance(w, kinds) and w.isVisible() and w.isEnabled() and not _within_field(w) and not _seldom(w)
        ]
        return sorted(found, key=lambda w: (type(w).__name__, _called(w)))

    # -- acting

    def act(self, event: Event) -> None:
        """Do it."""
        getattr(self, f"_act_{event.kind}")(*event.args)

    def _act_undo(self, times: int) -> None:
        for _ in range(times):
            self.window.document.stack.undo()

    def _act_redo(self, times: int) -> None:
        for _ in range(times):
            self.window.document.stack.redo()

    def _act_action(self, name: str) -> None:
        self.window.acts.do(name)

    def _act_mouse(self, way: str, held: int, points: tuple[tuple[float, float], ...]) -> None:
        view = self.window.plan.view
        port, keys = view.viewport(), Qt.KeyboardModifier(held)
        spots = [view.spot(point) for point in points]
        # a mouse stays within the window
        spots = [QPoint(min(max(s.x(), 0), port.width() - 1), min(max(s.y(), 0), port.height() - 1)) for s in spots]
        if way == "click":
            _mouse(port, MOVE, spots[0], NO_BUTTON)
            _click(port, spots[0], LEFT, keys)
        elif way == "double":
            _click(port, spots[0], LEFT, keys)
            _mouse(port, DOUBLE, spots[0], LEFT, keys)
            _mouse(port, RELEASE, spots[0], LEFT, keys)
        elif way == "right":
            _click(port, spots[0], RIGHT, keys)
        elif way == "move":
            for spot in spots:
                _mouse(port, MOVE, spot, NO_BUTTON)
        else:
            button = MIDDLE if way == "pan" else LEFT
            _mouse(port, PRESS, spots[0], button, keys)
            for spot in spots[1:]:
                _mouse(port, MOVE, (spots[0] + spot) / 2, button)
                _mouse(port, MOVE, spot, button)
            _mouse(port, RELEASE, spots[-1], button, keys)

    def _act_key(self, how: str, key: int, held: int) -> None:
        _press_key(self._keys_go_to(), key, Qt.KeyboardModifier(held))

    def _act_type(self, how: str, text: str, enter: bool) -> None:
        for letter in text:
            # each goes where the keys go now: a widget may be gone after the letter before
            _type(self._keys_go_to(), letter)
        if enter:
            _press_key(self._keys_go_to(), Qt.Key.Key_Return, NONE)

    def _keys_go_to(self) -> QWidget:
        view = self.window.plan.view
        focus = QApplication.focusWidget()
        return focus if focus is not None and self.window.isAncestorOf(focus) else view

    def _act_strip(self, way: str, spots: tuple[tuple[int, int], ...]) -> None:
        faces = self.window.strip.faces
        first, last = (QPoint(*spot) for spot in spots)
        if way == "drag":
            _mouse(faces, PRESS, first, LEFT)
            _mouse(faces, MOVE, last, LEFT)
            _mouse(faces, RELEASE, last, LEFT)
        elif way == "double":
            _mouse(faces, DOUBLE, first, LEFT)
        else:
            _click(faces, first)

    def _act_widget(self, number: int, called: str, text: str, x: float, y: float) -> None:
        widgets = self._widgets()
        same = [w for w in widgets if _called(w) == called]
        widget = widgets[number] if number < len(widgets) and _called(widgets[number]) == called else None
        widget = widget or (same[0] if same else None)
        if widget is None:
            return
        if isinstance(widget, QAbstractButton):
            # not widget.click(): see _press_key
            QTimer.singleShot(0, widget.click)
            _settle()
        elif isinstance(widget, QComboBox):
            index = int(x * widget.count())
            if widget.count():
                widget.setCurrentIndex(index)
                widget.activated.emit(index)
        elif isinstance(widget, QAbstractItemView):
            port = widget.viewport()
            spot = QPoint(int(x * port.width()), int(y * port.height()))
            _click(port, spot)
            if y > 0.8 and isValid(port):
                _mouse(port, DOUBLE, spot, LEFT)
        else:
            widget.setFocus()
            if isinstance(widget, QLineEdit):
                widget.selectAll()
            for letter in text:
                if isValid(widget):
                    _type(widget, letter)
            if isValid(widget):
                _press_key(widget, Qt.Key.Key_Escape if y < 0.2 else Qt.Key.Key_Return, NONE)

    def _act_wheel(self, at: tuple[float, float], turn: int) -> None:
        view = self.window.plan.view
        spot = QPointF(view.spot(at))
        view.wheelEvent(
            QWheelEvent(
                spot,
                spot,
                QPoint(),
                QPoint(0, turn),
                Qt.MouseButton.NoButton,
                NONE,
                Qt.ScrollPhase.NoScrollPhase,
                False,
            )
        )

    def _act_choose(self, part: float, step: int) -> None:
        if part < 0.2:
            self.window.document.choose(())
        else:
            self.window.plan.choose_next(step - 2)

    def _act_rename(self, part: float, text: str) -> None:
        document = self.window.document
        rooms = [room for storey in document.job.storeys for room in storey.rooms]
        if rooms:
            document.choose((Ref("room", str(rooms[int(part * len(rooms))].id)),))
            self._do_if_it_can("rename-room")
            self._act_type("type", text, True)

    def _act_kinds(self, keys: tuple[tuple[int, int], ...]) -> None:
        self._do_if_it_can("check-proposals")
        for key, held in keys:
            _press_key(self._keys_go_to(), key, Qt.KeyboardModifier(held))

    def _act_walk(self, acts: tuple[tuple[str, int, int], ...]) -> None:
        self._do_if_it_can("first-pass")
        for text, key, held in acts:
            # a step that is done leads on to the next a moment later
            _settle()
            self._act_type("type", text, False)
            _press_key(self._keys_go_to(), key, Qt.KeyboardModifier(held))

    def _act_add(self) -> None:
        if len(self.window.document.job.drawings) < MOST_DRAWINGS:
            self._do_if_it_can("add-drawing")

    def _act_lay(self, points: tuple[tuple[float, float], ...]) -> None:
        self._do_if_it_can("lay-over")
        for point in points:
            self._act_mouse("click", NONE.value, (point,))

    def _act_system(self, part: float, what: str) -> None:
        self._do_if_it_can("system")
        page = self.window.sides.page("system")
        assert isinstance(page, SystemPage)
        index = int(part * page.choice.count())
        page.choice.setCurrentIndex(index)
        page.choice.activated.emit(index)
        if page.buttons[what].isEnabled():
            QTimer.singleShot(0, page.buttons[what].click)
            _settle()

    def _do_if_it_can(self, name: str) -> None:
        if self.window.acts.q(name).isEnabled():
            self.window.acts.do(name)

    # -- looking

    def look(self) -> None:
        """Whether what is shown, measured and saved is what the job says. Raises Failure."""
        document = self.window.document
        for ref in document.choice:
            if not exists(document.job, ref):
                raise Failure(f"{ref} is chosen and is not in the job")
        self._look_at_items()
        if document.job is self._checked:
            return
        self._checked = document.job
        self.changes += 1
        job = document.job
        if jobs.load(jobs.dump(job), "kept") != job:
            raise Failure("the job does not come back from its file as it was")
        fresh = stand(job, Memory())
        if fresh.takeoff != document.state.takeoff:
            raise Failure(f"measured anew the job gives other figures: {_differences(fresh, document.state)}")
        if fresh.totals != {k: v for k, v in document.state.totals.items() if k in fresh.totals}:
            raise Failure("the running totals are not those of the job measured anew")
        check(job)

    def _look_at_items(self) -> None:
        plan, document = self.window.plan, self.window.document
        plan.draw_whole()
        storey = document.storey
        board = Board(plan.items.origin)
        expected = board.pieces(document.state, storey, whole=True) if storey is not None else {}
        shown = {name: piece for name, piece in plan.items.pieces.items() if not name.startswith("preview")}
        if shown != expected:
            wrong = [name for name in {*shown, *expected} if shown.get(name) != expected.get(name)]
            raise Failure(f"the plan shows other pieces than the job has: {sorted(wrong)}")

    def compare_with_fresh_plan(self) -> None:
        """Whether a plan made anew of the job shows the same items, path by path. Raises Failure."""
        plan, document = self.window.plan, self.window.document
        plan.draw_whole()
        again = Document()
        again.open(document.job, document.drawings)
        if document.storey is not None:
            again.show_storey(str(document.storey.id))
        fresh = Plan(again, plan.theme)
        fresh.view.origin = fresh.items.origin = plan.items.origin
        fresh._board = Board(plan.items.origin)
        fresh.items.clear()
        fresh.draw_whole()
        fresh.items.fit_labels(plan.view.px_per_mm)
        one, other = described(plan), described(fresh)
        if one != other:
            wrong = sorted(name for name in {*one, *other} if one.get(name) != other.get(name))
            told = [(name, one.get(name), other.get(name)) for name in wrong[:1]]
            raise Failure(f"a plan made anew shows other items: {wrong}: {told}")


def described(plan: Plan) -> dict[str, tuple[Any, ...]]:
    """What the items of a plan are: their paths, pens and brushes, and the words of labels."""
    found = {}
    for name, shown in plan.items._shown.items():
        shapes = tuple(
            (points_of(item.path()), item.pen().color().name(), item.brush().color().name(), item.zValue())
            for item in shown.shapes
        )
        label = (shown.label.shown, shown.label.pivot.pos().toTuple()) if shown.label else ()
        found[name] = (shapes, label, tuple(ask.pos().toTuple() for ask in shown.asks))
    return found


def points_of(path: QPainterPath) -> tuple[tuple[float, float], ...]:
    """The points of a path, to a hundredth of a mm; none for a path that goes nowhere."""
    every = (path.elementAt(k) for k in range(path.elementCount()))
    points = tuple((round(element.x, 2), round(element.y, 2)) for element in every)
    return points if len(points) > 1 else ()


def shortest_tail(make: Callable[[], Monkey], done: Sequence[tuple[Snapshot, Event]]) -> list[Event]:
    """The fewest last events that fail again from the job as it stood before them; () where it took
    more than these to fail."""
    count = 1
    while count <= len(done):
        tail = done[-count:]
        monkey = make()
        try:
            monkey.open(tail[0][0])
            for _, event in tail:
                monkey.step(event)
                monkey.compare_with_fresh_plan()
        except Failure:
            return [event for _, event in tail]
        count = count + 1 if count < 8 else count * 2
    return []


def _differences(fresh: Any, state: Any) -> str:
    names = [room.room for room, other in zip(fresh.takeoff.rooms, state.takeoff.rooms, strict=False) if room != other]
    return f"rooms {names}" if names else "totals"


def _called(widget: QWidget) -> str:
    text = widget.text() if isinstance(widget, QAbstractButton) else ""
    return f"{type(widget).__name__}:{widget.accessibleName() or widget.objectName() or text}"


def _within_field(widget: QWidget) -> bool:
    """A part of another field: the line of a spin box, the arrow of a combo box."""
    parent = widget.parentWidget()
    return isinstance(parent, QComboBox | QAbstractSpinBox | QLineEdit)


def _seldom(widget: QWidget) -> bool:
    """The button that writes the sheets is an action of the table too."""
    return isinstance(widget, QAbstractButton) and widget.text() == "Sheets"


def _type(widget: QWidget, letter: str) -> None:
    """One letter."""
    key = ord(letter.upper()) if letter.isascii() else 0
    _press_key(widget, key, NONE, letter)


def _press_key(widget: QWidget, key: int, held: Qt.KeyboardModifier, text: str = "") -> None:
    """A key as Qt takes it: who has the keys may want it, else it may be a shortcut, else it is typed.

    WORKAROUND: posted and not sent. PySide6 6.11 on Python 3.11 ends the process when an override that
    Python calls through Qt fails in C code (an index out of range); called from Qt's own loop the
    failure comes to ``sys.excepthook`` as in the program.
    """
    text = text or (chr(key).lower() if 32 < key < 127 and held != CONTROL else "")
    wanted = QKeyEvent(QEvent.Type.ShortcutOverride, key, held, text)
    wanted.ignore()
    QApplication.sendEvent(widget, wanted)
    if not wanted.isAccepted() and not isinstance(widget, QLineEdit | QAbstractSpinBox | QPlainTextEdit):
        sequence = QKeySequence(QKeyCombination(held, Qt.Key(key))) if key else QKeySequence()
        for action in widget.window().findChildren(QAction):
            if key and sequence in action.shortcuts() and action.isEnabled():
                QTimer.singleShot(0, action.trigger)
                _settle()
                return
    for kind in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
        QApplication.postEvent(widget, QKeyEvent(kind, key, held, text))
    _settle()


def _mouse(
    widget: QWidget, kind: QEvent.Type, spot: QPoint, button: Qt.MouseButton, held: Qt.KeyboardModifier = NONE
) -> None:
    """Press, release, double click or move at a spot of a widget."""
    at = QPointF(spot)
    moves, releases = kind == QEvent.Type.MouseMove, kind == QEvent.Type.MouseButtonRelease
    down = NO_BUTTON if releases else button
    which = NO_BUTTON if moves else button
    event = QMouseEvent(kind, at, widget.mapToGlobal(at), which, down, held)
    QApplication.postEvent(widget, event)
    _settle()


def _click(widget: QWidget, spot: QPoint, button: Qt.MouseButton = LEFT, held: Qt.KeyboardModifier = NONE) -> None:
    _mouse(widget, PRESS, spot, button, held)
    if isValid(widget):
        _mouse(widget, RELEASE, spot, button, held)


def _settle() -> None:
    QApplication.processEvents()
