"""What is done next, drawn from a seed. Actions and widgets are found at run time: what a part of the window adds
is tried without a word here."""

from __future__ import annotations

import random
from typing import Any

from monkey_acts import Event, clickable, words_of
from posted import CONTROL, NONE, SHIFT
from PySide6.QtCore import QPointF, Qt

from takeoff.ui.window.main_window import MainWindow

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


class Events:
    """Draws them for one window, as it is at the moment."""

    def __init__(self, window: MainWindow, rng: random.Random) -> None:
        self.window, self.rng = window, rng

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
        widgets = clickable(self.window)
        if not widgets:
            return (-1, "", "", 0.0, 0.0)
        number = self.rng.randrange(len(widgets))
        called = words_of(widgets[number])
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
