"""The window's own actions, and the menu of recent files. Parts add theirs with ``space.acts.add``."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from PySide6.QtWidgets import QMenu, QWidget

from takeoff.language import LANGUAGES, language, tr
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
        Action("open", "File", tr("Open drawing or job…"), files.ask_and_open, ("Ctrl+O",)),
        Action("open-sample", "File", tr("Open the sample job"), files.open_sample),
        Action("save", "File", tr("Save"), files.save, ("Ctrl+S",), group=1),
        Action("save-as", "File", tr("Save as…"), files.save_as, ("Ctrl+Shift+S",), group=1),
        Action("close", "File", tr("Close"), lambda: space.window.window().close(), ("Ctrl+Q",), group=4),
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
        Action("undo", "Edit", tr("Undo"), stack.undo, ("Ctrl+Z",), stack.canUndo, names=stack.undoText),
        Action("redo", "Edit", tr("Redo"), stack.redo, ("Ctrl+Shift+Z", "Ctrl+Y"), stack.canRedo, names=stack.redoText),
        Action("delete", "Edit", tr("Delete the selection"), delete_chosen, ("Del",), can_delete),
        Action(
            "rename-room",
            "Edit",
            tr("Rename the room"),
            rename_room,
            ("F2",),
            space.frame.card.can_rename,
            tip=tr("Type another name or number for the selected room"),
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
        Action("choose-all", "Edit", tr("Select all rooms"), choose_all, ("Ctrl+A",), group=1),
        Action(
            "choose-none",
            "Edit",
            tr("Select none"),
            lambda: document.choose(()),
            (),
            lambda: bool(document.choice),
            group=1,
        ),
        Action("next-room", "Edit", tr("Next room"), partial(plan.choose_next, 1), ("Ctrl+Right",), group=1),
        Action("previous-room", "Edit", tr("Previous room"), partial(plan.choose_next, -1), ("Ctrl+Left",), group=1),
        Action(
            "next-wall", "Edit", tr("Next wall of the room"), partial(plan.choose_next_wall, 1), ("Ctrl+Down",), group=1
        ),
        Action(
            "previous-wall",
            "Edit",
            tr("Previous wall of the room"),
            partial(plan.choose_next_wall, -1),
            ("Ctrl+Up",),
            group=1,
        ),
        Action(
            "choose-tool",
            "Edit",
            tr("Select with the mouse"),
            space.back_to_choosing,
            (),
            checked=lambda: plan.view.tool is space.choose,
            group=2,
            tip=tr("Select rooms, walls and openings with the mouse"),
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
    names = (tr("Drawing and layers"), tr("Rooms"), tr("Openings"), tr("To fix and to check"), tr("Order"))
    return (
        Action("fit", "View", tr("Fit the plan"), plan.fit, ("Home", "F")),
        Action(
            "zoom-chosen",
            "View",
            tr("Zoom to the selection"),
            plan.zoom_to_chosen,
            ("Z",),
            lambda: bool(document.choice),
        ),
        Action("zoom-in", "View", tr("Zoom in"), lambda: plan.view.zoom(1.5), ("Ctrl++", "Ctrl+=")),
        Action("zoom-out", "View", tr("Zoom out"), lambda: plan.view.zoom(1 / 1.5), ("Ctrl+-",)),
        Action("storey-up", "View", tr("Storey above"), lambda: storey(1), ("PgUp",), several, group=1),
        Action("storey-down", "View", tr("Storey below"), lambda: storey(-1), ("PgDown",), several, group=1),
        *(
            Action(f"show-{step}", "View", name, partial(space.show_step, step), (f"Ctrl+{number}",), group=2)
            for number, (step, name) in enumerate(zip(steps, names, strict=True), start=1)
        ),
        Action(
            "dark", "View", tr("Dark theme"), other_theme, ("Ctrl+D",), checked=lambda: space.theme.is_dark, group=3
        ),
        *language_rows(space),
        Action("find", "View", tr("Find"), space.frame.top.field.setFocus, ("Ctrl+F",), group=3),
    )


def language_rows(space: Workspace) -> tuple[Action, ...]:
    """What the window speaks: all that is shown is said when it is made, so another language begins with a start."""

    def speak(code: str) -> None:
        space.settings.change(language=code)
        space.tell(tr("Takeoff will speak {language} the next time it starts.", language=LANGUAGES[code]))

    def set_to(code: str) -> bool:
        return (space.settings.value.language or language()) == code

    return tuple(
        Action(
            f"language-{code}",
            "View",
            tr("Language: {language}", language=name),
            partial(speak, code),
            (),
            checked=partial(set_to, code),
            tip=tr("From the next start on"),
            group=4,
        )
        for code, name in LANGUAGES.items()
    )


def help_rows(space: Workspace) -> tuple[Action, ...]:
    """The searchable list of what can be done."""
    return (
        Action(
            "shortcuts",
            "Help",
            tr("All actions and shortcuts…"),
            lambda: ShortcutList(space.window, space.acts).open(),
            ("F1", "Ctrl+K"),
        ),
    )


class RecentMenu(QMenu):
    """Files that were opened or saved last, the newest first; those that are gone are left out."""

    def __init__(self, files: Files, settings: Settings, parent: QWidget) -> None:
        # insertMenu does not take a menu over: without a parent it would outlive the window, and hold it
        super().__init__(tr("Open recent"), parent)
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
            self.addAction(tr("No recent files")).setEnabled(False)
