"""The window's own actions, and the menu of recent files. Parts add theirs with ``space.acts.add``."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from PySide6.QtWidgets import QMenu, QWidget

from takeoff.ui.actions import Action
from takeoff.ui.document import Ref
from takeoff.ui.settings import Settings
from takeoff.ui.window.job_files import Files
from takeoff.ui.window.shortcuts import ShortcutList
from takeoff.ui.window.workspace import Workspace


def all_rows(space: Workspace) -> tuple[Action, ...]:
    """Every action that the window itself can do."""
    return (*file_rows(space), *edit_rows(space), *view_rows(space), *help_rows(space))


def file_rows(space: Workspace) -> tuple[Action, ...]:
    """Open, save, close."""
    files = space.files
    return (
        Action("open", "File", "Open drawing or job…", files.ask_and_open, ("Ctrl+O",)),
        Action("open-sample", "File", "Open the sample job", files.open_sample),
        Action("save", "File", "Save", files.save, ("Ctrl+S",), group=1),
        Action("save-as", "File", "Save as…", files.save_as, ("Ctrl+Shift+S",), group=1),
        Action("close", "File", "Close", lambda: space.window.window().close(), ("Ctrl+Q",), group=4),
    )


def edit_rows(space: Workspace) -> tuple[Action, ...]:
    """Undo, redo, what is done with what is chosen, choosing."""
    document = space.document
    stack = document.stack

    def rename_room() -> None:
        space.frame.card.choose_room()
        space.pages.show_page("card")
        space.frame.card.names.begin()

    def can_delete() -> bool:
        return any(ref.kind in space.deletes for ref in document.choice)

    def delete_chosen() -> None:
        choice = document.choice
        for kind, delete in space.deletes.items():
            refs = tuple(ref for ref in choice if ref.kind == kind)
            if refs:
                delete(refs)

    return (
        Action("undo", "Edit", "Undo", stack.undo, ("Ctrl+Z",), stack.canUndo, names=stack.undoText),
        Action("redo", "Edit", "Redo", stack.redo, ("Ctrl+Shift+Z", "Ctrl+Y"), stack.canRedo, names=stack.redoText),
        Action("delete", "Edit", "Delete what is chosen", delete_chosen, ("Del",), can_delete),
        Action(
            "rename-room",
            "Edit",
            "Rename the room",
            rename_room,
            ("F2",),
            space.frame.card.can_rename,
            tip="Type another name or number for the chosen room",
        ),
        *choosing_rows(space),
    )


def choosing_rows(space: Workspace) -> tuple[Action, ...]:
    """Rooms and walls chosen by keys, and the tool that chooses."""
    document, plan = space.document, space.plan

    def choose_all() -> None:
        storey = document.storey
        if storey is not None:
            document.choose(tuple(Ref("room", str(room.id)) for room in storey.rooms))

    return (
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
        Action("next-room", "Edit", "Next room", partial(plan.choose_next, 1), ("Ctrl+Right",), group=1),
        Action("previous-room", "Edit", "Previous room", partial(plan.choose_next, -1), ("Ctrl+Left",), group=1),
        Action(
            "next-wall", "Edit", "Next wall of the room", partial(plan.choose_next_wall, 1), ("Ctrl+Down",), group=1
        ),
        Action(
            "previous-wall",
            "Edit",
            "Previous wall of the room",
            partial(plan.choose_next_wall, -1),
            ("Ctrl+Up",),
            group=1,
        ),
        Action(
            "choose-tool",
            "Edit",
            "Choose with the mouse",
            space.back_to_choosing,
            ("V",),
            checked=lambda: plan.view.tool is space.choose,
            group=2,
            tip="Choose rooms, walls and openings with the mouse",
        ),
    )


def view_rows(space: Workspace) -> tuple[Action, ...]:
    """Zoom, storeys, theme, steps."""
    plan, document = space.plan, space.document

    def storey(step: int) -> None:
        storeys = [str(s.id) for s in document.job.storeys]
        here = document.storey
        if here is not None:
            at = storeys.index(str(here.id)) + step
            if 0 <= at < len(storeys):
                document.show_storey(storeys[at])

    def other_theme() -> None:
        space.set_theme("light" if space.theme.is_dark else "dark")

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
            Action(f"show-{step}", "View", name, partial(space.show_step, step), (f"Ctrl+{number}",), group=2)
            for number, (step, name) in enumerate(zip(steps, names, strict=True), start=1)
        ),
        Action("dark", "View", "Dark theme", other_theme, ("Ctrl+D",), checked=lambda: space.theme.is_dark, group=3),
        Action("find", "View", "Find", space.frame.top.field.setFocus, ("Ctrl+F",), group=3),
    )


def help_rows(space: Workspace) -> tuple[Action, ...]:
    """The searchable list of what can be done."""
    return (
        Action(
            "shortcuts",
            "Help",
            "All actions and shortcuts…",
            lambda: ShortcutList(space.window, space.acts).open(),
            ("F1", "Ctrl+K"),
        ),
    )


class RecentMenu(QMenu):
    """Files that were opened or saved last, the newest first; those that are gone are left out."""

    def __init__(self, files: Files, settings: Settings, parent: QWidget) -> None:
        # insertMenu does not take a menu over: without a parent it would outlive the window, and hold it
        super().__init__("Open recent", parent)
        self._files, self._settings = files, settings
        self.aboutToShow.connect(self.fill)

    def fill(self) -> None:
        """List the files that are still there."""
        self.clear()
        paths = [Path(name) for name in self._settings.value.recent if Path(name).is_file()]
        for path in paths:
            action = self.addAction(f"{path.name}    {path.parent}")
            action.triggered.connect(partial(self._files.open, path))
        if not paths:
            self.addAction("No recent file").setEnabled(False)
