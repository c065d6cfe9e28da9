"""Chosen wall faces: coated whole, near the corners or not; what stays on; what lies behind."""

from __future__ import annotations

from collections.abc import Callable, Collection
from typing import Literal

from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from takeoff.plan import edits
from takeoff.plan.model import BehindClass, Exclusion, Job, RoomId, SideId
from takeoff.ui.document import Document
from takeoff.ui.panels.editor import Editor
from takeoff.ui.panels.fields import LENGTH_PX, ChoiceField, Form, LengthField, buttons, small_button
from takeoff.ui.panels.outline_lines import OutlineLine
from takeoff.ui.panels.words import empty, label, set_text
from takeoff.ui.tools.entry import THICK_MM_FROM
from takeoff.views.behind import answered
from takeoff.views.faces import FacesView, Outline, Shared, exclusion_on, faces_view, whole_walls

COATS = (("whole", "Coated whole"), ("part", "Near the corners only"), ("none", "Not coated"))
BEHIND: tuple[tuple[str, str], ...] = (
    ("", "As drawn"),
    ("outside", "Outside"),
    ("unheated", "An unheated space"),
    ("same", "A heated room"),
    ("neighbour", "A neighbour's"),
    ("part", "Several"),
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
        self.coat = ChoiceField("How the wall is coated", COATS)
        self.behind = ChoiceField("What lies behind the wall", BEHIND)
        self.left, self.right = (LengthField(f"Coated so far from the {end} corner", True) for end in ("left", "right"))
        self.skirting, self.coving, self.dado_from, self.dado_to = (
            LengthField(name, True, THICK_MM_FROM)
            for name in (
                "Skirting that stays on, its height",
                "Coving that stays on, its depth down the wall",
                "Dado that stays on, its lower edge above the floor",
                "Dado that stays on, its upper edge above the floor",
            )
        )
        self.outlines = QVBoxLayout()
        self.adding = OutlineForm()
        self._build()
        self._connect()
        self.refresh()

    def _build(self) -> None:
        form = Form()
        form.pair(("Coat", self.coat))
        self._return_words = form.pair(("From left", self.left), ("Right", self.right))
        form.pair(("Behind it", self.behind))
        stays = Form()
        stays.pair(("Skirting", self.skirting), ("Coving", self.coving))
        stays.pair(("Dado from", self.dado_from), ("to", self.dado_to))
        for widget in (self.title, self.about):
            self.down.addWidget(widget)
        self.down.addLayout(form)
        self.down.addWidget(label("Stays on, is not coated", "heading"))
        self.down.addLayout(stays)
        self.outlines.setSpacing(2)
        self.down.addLayout(self.outlines)
        self.down.addWidget(self.adding)

    def _connect(self) -> None:
        self.coat.picked.connect(self._set_coat)
        self.behind.picked.connect(self._set_behind)
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
        walls = "a wall" if len(self.refs) == 1 else f"{len(self.refs)} walls"
        self.apply(name.format(walls), lambda job: edit(job, faces))

    def _set_coat(self, coat: str) -> None:
        if coat == "part":
            self._edit(
                "Coat {} near the corners",
                lambda job, faces: edits.set_returns(job, faces, USUAL_RETURN_MM, USUAL_RETURN_MM),
            )
        else:
            self._edit(
                "Coat {}" if coat == "whole" else "Leave {} out",
                lambda job, faces: edits.coat_sides(job, faces, coat == "whole"),
            )

    def _set_left(self, mm: float | None) -> None:
        start = self._value(lambda view: view.right)
        self._edit("Set the returns of {}", lambda job, faces: edits.set_returns(job, faces, start, mm))

    def _set_right(self, mm: float | None) -> None:
        end = self._value(lambda view: view.left)
        self._edit("Set the returns of {}", lambda job, faces: edits.set_returns(job, faces, mm, end))

    def _value(self, of: Callable[[FacesView], Shared]) -> float | None:
        return of(self._view).mm if self._view is not None else None

    def _set_skirting(self, mm: float | None) -> None:
        self._set_band("bottom", mm, "skirting")

    def _set_coving(self, mm: float | None) -> None:
        self._set_band("top", mm, "coving")

    def _set_band(self, edge: Literal["bottom", "top"], mm: float | None, what: str) -> None:
        self._edit(f"Leave the {what} on {{}}", lambda job, faces: edits.set_band(job, faces, edge, mm, what))

    def _set_dado_from(self, mm: float | None) -> None:
        to = self._value(lambda view: view.dado_to)
        if mm is not None and to is None:
            return  # half of it: the other field says the rest
        self._set_dado(mm, to)

    def _set_dado_to(self, mm: float | None) -> None:
        typed = self.dado_from.mm
        self._set_dado(typed, mm)

    def _set_dado(self, low: float | None, high: float | None) -> None:
        self._edit(
            "Leave the dado on {}", lambda job, faces: edits.set_band(job, faces, "bottom", high, "dado", low or 0.0)
        )

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

            self._edit("Take what is behind {} from the drawing", drawn)
        else:
            cls: BehindClass = behind  # type: ignore[assignment]
            walls = whole_walls(state, names)
            self._edit(
                f"Behind {{}}: {dict(BEHIND)[behind].lower()}", lambda job, faces: answered(state, job, walls, cls)
            )

    def _add_outline(self) -> None:
        lengths = self.adding.lengths()
        if lengths is None:
            self.refuse("Type how far from the left, how wide, how far up and how high the part is that is left out.")
            return
        left, width, up, height = lengths
        face = (self.refs[-1].room, self.refs[-1].id)
        new: Exclusion = exclusion_on(
            self.document.state, face, left, width, up, height, self.adding.what.text().strip()
        )
        self._edit(
            f"Leave {new.what or 'a part'} of {{}} out",
            lambda job, faces: edits.add_exclusion(job, RoomId(face[0]), SideId(face[1]), new),
        )
        self.adding.clear()


class OutlineForm(QWidget):
    """A rectangle to leave out, as one stands before the wall."""

    def __init__(self) -> None:
        super().__init__()
        self.what = QLineEdit()
        self.what.setPlaceholderText("tiles, units")
        self.what.setAccessibleName("What is left out")
        self.what.setProperty("part", "length")
        self.left, self.wide, self.up, self.high = self.fields = tuple(
            LengthField(name, True)
            for name in (
                "Left out, from the left corner",
                "Left out, its width",
                "Left out, above the floor",
                "Left out, its height",
            )
        )
        for field in self.fields:
            field.setPlaceholderText("")
            field.setFixedWidth(LENGTH_PX)
        self.begin = small_button("Leave a part out…", "Tiles, units: a rectangle of the wall left out")
        self.begin.setCheckable(True)
        self.wanted = small_button("Leave it out", "Leave this part of the wall out")
        self._form = QWidget()
        form = Form()
        form.pair(("Part", self.what))
        form.pair(("From left", self.left), ("Width", self.wide))
        form.pair(("Up", self.up), ("Height", self.high))
        down = QVBoxLayout(self)
        down.setContentsMargins(0, 2, 0, 0)
        down.setSpacing(5)
        inner = QVBoxLayout(self._form)
        inner.setContentsMargins(0, 0, 0, 0)
        inner.setSpacing(5)
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
