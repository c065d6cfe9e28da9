"""The window's own actions. Other parts of the window add theirs with ``window.acts.add``."""

from __future__ import annotations

from typing import TYPE_CHECKING

from takeoff.ui.actions import Action
from takeoff.ui.window.shortcuts import ShortcutList

if TYPE_CHECKING:
    from takeoff.ui.window.main import MainWindow


def all_rows(window: MainWindow) -> tuple[Action, ...]:
    """Every action that the window itself can do."""
    return (*file_rows(window), *edit_rows(window), *view_rows(window), *help_rows(window))


def file_rows(window: MainWindow) -> tuple[Action, ...]:
    """Open, save, close."""
    files = window.files
    return (
        Action("open", "File", "Open drawing or job…", files.ask_and_open, ("Ctrl+O",)),
        Action("open-sample", "File", "Open the sample job", files.open_sample),
        Action("save", "File", "Save", files.save, ("Ctrl+S",), group=1),
        Action("save-as", "File", "Save as…", files.save_as, ("Ctrl+Shift+S",), group=1),
        Action("close", "File", "Close", lambda: window.window().close(), ("Ctrl+Q",), group=4),
    )


def edit_rows(window: MainWindow) -> tuple[Action, ...]:
    """Undo, redo, choosing."""
    document = window.document
    stack = document.stack

    def choose_all() -> None:
        storey = document.storey
        if storey is not None:
            from takeoff.ui.document import Ref

            document.choose(tuple(Ref("room", str(room.id)) for room in storey.rooms))

    def next_room(step: int) -> None:
        window.plan.choose_next(step)

    return (
        Action("undo", "Edit", "Undo", stack.undo, ("Ctrl+Z",), stack.canUndo),
        Action("redo", "Edit", "Redo", stack.redo, ("Ctrl+Shift+Z", "Ctrl+Y"), stack.canRedo),
        Action("delete", "Edit", "Delete what is chosen", window.delete_chosen, ("Del",), window.can_delete),
        Action(
            "rename-room",
            "Edit",
            "Rename the room",
            window.rename_room,
            ("F2",),
            window.card.can_rename,
            tip="Type another name or number for the chosen room",
        ),
        Action("choose-all", "Edit", "Choose all rooms", choose_all, ("Ctrl+A",), group=1),
        Action(
            "choose-none",
            "Edit",
            "Choose nothing",
            lambda: document.choose(()),
            (),
            lambda: bool(document.choice),
            group=1,
        ),
        Action("next-room", "Edit", "Next room", lambda: next_room(1), ("Ctrl+Right",), group=1),
        Action("previous-room", "Edit", "Previous room", lambda: next_room(-1), ("Ctrl+Left",), group=1),
        Action(
            "choose-tool",
            "Edit",
            "Choose with the mouse",
            window.back_to_choosing,
            ("V",),
            checked=lambda: window.plan.view.tool is window.choose,
            group=2,
            tip="Choose rooms, walls and openings with the mouse",
        ),
    )


def view_rows(window: MainWindow) -> tuple[Action, ...]:
    """Zoom, storeys, theme, steps."""
    plan, document = window.plan, window.document

    def storey(step: int) -> None:
        storeys = [str(s.id) for s in document.job.storeys]
        here = document.storey
        if here is not None:
            at = storeys.index(str(here.id)) + step
            if 0 <= at < len(storeys):
                document.show_storey(storeys[at])

    def other_theme() -> None:
        window.set_theme("light" if window.theme.is_dark else "dark")

    def several() -> bool:
        return len(document.job.storeys) > 1

    steps = ("drawing", "rooms", "openings", "settle", "order")
    names = ("Drawing and layers", "Rooms", "Openings", "To settle", "Order")
    return (
        Action("fit", "View", "Fit the plan", plan.fit, ("Home", "F")),
        Action(
            "zoom-chosen", "View", "Zoom to what is chosen", plan.zoom_to_chosen, ("Z",), lambda: bool(document.choice)
        ),
        Action("zoom-in", "View", "Zoom in", lambda: plan.view.zoom(1.5), ("Ctrl++", "Ctrl+=")),
        Action("zoom-out", "View", "Zoom out", lambda: plan.view.zoom(1 / 1.5), ("Ctrl+-",)),
        Action("storey-up", "View", "Storey above", lambda: storey(1), ("PgUp",), several, group=1),
        Action("storey-down", "View", "Storey below", lambda: storey(-1), ("PgDown",), several, group=1),
        *(
            Action(
                f"show-{step}",
                "View",
                name,
                lambda step=step: window.show_step(step),  # type: ignore[misc]
                (f"Ctrl+{number}",),
                group=2,
            )
            for number, (step, name) in enumerate(zip(steps, names, strict=True), start=1)
        ),
        Action("dark", "View", "Dark theme", other_theme, ("Ctrl+D",), checked=lambda: window.theme.is_dark, group=3),
        Action("find", "View", "Find", window.top.field.setFocus, ("Ctrl+F",), group=3),
    )


def help_rows(window: MainWindow) -> tuple[Action, ...]:
    """The searchable list of what can be done."""
    return (
        Action(
            "shortcuts",
            "Help",
            "All actions and shortcuts…",
            lambda: ShortcutList(window, window.acts).open(),
            ("F1", "Ctrl+K"),
        ),
    )
