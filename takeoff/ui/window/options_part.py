"""Options in the window: treatments side by side on their page, the one that is taken becomes the job."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QWidget

from takeoff.language import tr
from takeoff.plan.edits.option_edits import add_option, keep_coat, option_of, remove_option
from takeoff.plan.model import Job
from takeoff.services.offered.treatment_options import option_name, option_typed, taken
from takeoff.ui.actions import Action
from takeoff.ui.panels.options_page import OptionsPage
from takeoff.ui.window.workspace import Workspace
from takeoff.views.options_seen import OptionsSeen, options_seen

PAGE = "options"


def add(space: Workspace) -> None:
    """Give the window its page of options."""
    Options(space)


class Options(QObject):
    """Keeps the page and the job together. What options come to is worked out beside the window."""

    def __init__(self, space: Workspace) -> None:
        super().__init__(space)
        self.setObjectName("options")
        self._space, self._document = space, space.document
        self.page: OptionsPage | None = None
        space.pages.register(PAGE, self._make)
        space.pages.shown.connect(self._seen)
        space.acts.add(
            (
                Action(
                    "options",
                    "Site",
                    tr("Options side by side…"),
                    self.show,
                    (),
                    group=8,
                    tip=tr("Up to four treatments of the plan with area, days and price; take one"),
                ),
            )
        )
        self._document.opened.connect(self.refresh)
        self._document.changed.connect(self._seen)
        self._document.considered_changed.connect(self.refresh)

    def show(self) -> None:
        """Bring the page up."""
        self._space.pages.show_page(PAGE)
        self.refresh()

    def _make(self) -> QWidget:
        self.page = page = OptionsPage()
        page.added.connect(self._added)
        page.kept.connect(self._kept)
        page.take.connect(lambda name: self._edit(tr("Take an option"), lambda job: taken(job, name)))
        page.remove.connect(
            lambda name: self._edit(tr("Remove an option"), lambda job: remove_option(job, option_of(job, name).id))
        )
        self.refresh()
        return page

    def _seen(self, *_: object) -> None:
        self.refresh()

    def refresh(self) -> None:
        """Show the options, and what they come to once that is known, while the page is seen."""
        page = self.page
        if page is None or self._space.pages.current != PAGE:
            return
        state, considered = self._document.state, self._document.considered
        names = [option_name(option) for option in state.job.options]
        page.show_options(names, [False] * len(names), None, tr("Working out the options …") if names else "")
        if names:
            self._space.run(lambda: options_seen(state, considered), self._told)

    def _told(self, seen: OptionsSeen) -> None:
        page = self.page
        if page is None or seen.job is not self._document.job:
            return
        page.show_options(seen.names, seen.chosen, seen.table, seen.instead)

    def _added(self, text: str) -> None:
        if text.strip():
            self._edit(tr("Add an option"), lambda job: add_option(job, option_typed(text)))

    def _kept(self, name: str) -> None:
        if name.strip():
            self._edit(tr("Add an option"), lambda job: keep_coat(job, name.strip()))

    def _edit(self, words: str, edit: Callable[[Job], Job]) -> None:
        if not self._document.apply(words, edit):
            self.refresh()
