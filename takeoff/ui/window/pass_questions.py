"""What each step of the first pass asks: put on its page, and lit on the plan."""

from __future__ import annotations

from takeoff.language import mark, tr
from takeoff.plan.model import Storey
from takeoff.plan.reasons import all_spoken
from takeoff.sheets.first_lines import assumed_customs_text
from takeoff.ui.document import Ref
from takeoff.ui.panels.first_pass_page import FirstPassPage
from takeoff.ui.window.workspace import Workspace
from takeoff.views.first_pass import (
    CUSTOM_ANSWERS,
    ROW_STEPS,
    SUBSTRATE_ANSWERS,
    Course,
    PassStep,
    own_products,
    still_said,
    substrates_words,
)
from takeoff.views.naming import labels, storey_name
from takeoff.views.settling import Row

PAGE = "first-pass"

USE = "use:"
"""An answer that takes one of the user's own coating systems, before its id."""

_LATER = ("later", mark("Leave it open"), mark("It stays in the list to fix and check, and the sheets say so"))
_PRODUCT = (
    ("page", mark("Type it, or open a file…"), mark("Yields, packs and prices of the product that you use")),
    ("keep", mark("Keep the invented example"), mark("The sheets say that its figures are invented")),
)
AWAY = {
    "size": (mark("Set the size of the drawing"), mark("On the page of the drawing")),
    "kinds": (mark("Go through the openings"), mark("Group by group on the plan, or all at once")),
    "beyond": (mark("Go through the outside walls"), mark("Run by run on the plan, or all at once")),
}
"""Steps that have a page of their own: what leads there."""
_NOT_NOW = ("skip", mark("Not now"), mark("Go to the next step; this one stays open"))
_END = (
    ("write", mark("Export sheets…"), mark("Scope, materials and dimensions as PDF, XLSX and CSV")),
    ("settle", mark("To fix and to check"), mark("Everything that is assumed or open, as a list")),
)


def _said(answers: tuple[tuple[str, str, str], ...]) -> tuple[tuple[str, str, str], ...]:
    """Answers of a table as the user reads them."""
    return tuple((key, tr(words), tr(tip)) for key, words, tip in answers)


class PassQuestions:
    """``row``: what is asked about in a step that goes row by row."""

    def __init__(self, space: Workspace, course: Course) -> None:
        self._space, self._document, self._course = space, space.document, course
        self.row: Row | None = None

    def ask(self, page: FirstPassPage, steps: tuple[PassStep, ...], current: str) -> None:
        """Ask what a step asks, "" at the end, among all steps as they stand."""
        about = next(
            (tr("{step}: {state}", step=tr(s.title), state=s.says) for s in steps if s.key == current), tr("Done")
        )
        if current == "names":
            about = self._name(page)
        elif current == "heights":
            about = self._height(page, about)
        elif current in ROW_STEPS:
            about = self._row(page, current)
        elif current == "customs":
            about = assumed_customs_text(self._document.job, self._document.state.takeoff)
            page.list.show_answers(_said((*CUSTOM_ANSWERS, _NOT_NOW)))
        elif current == "substrates":
            about = substrates_words(self._document.state)
            page.list.show_answers(_said((*SUBSTRATE_ANSWERS, _NOT_NOW)))
        elif current == "product":
            own = tuple((f"{USE}{key}", name, tr("Order this job with it")) for key, name in own_products())
            page.list.show_answers((*own, *_said(_PRODUCT)))
        else:
            page.list.show_answers(_said((("go", *AWAY[current]), _NOT_NOW) if current else _END))
        if current in ("customs", "product", ""):
            # these are about the whole job: what was looked at before lies no longer before the eyes
            self._document.choose(())
            self._space.plan.fit()
        page.show_steps(steps, current, about, still_said(self._document.state, self._document.findings))

    def _name(self, page: FirstPassPage) -> str:
        """Light up the room that is asked about; what is said of it."""
        found = self._course.room(self._document.job)
        if found is None:
            return ""
        storey, room = found
        self._document.show_storey(str(storey.id))
        self._document.choose((Ref("room", str(room.id)),))
        self._space.pages.show_page(PAGE)
        self._space.plan.fit()
        page.ask_name(room.name, all_spoken(room.evidence) if room.confidence != "sure" else ())
        return tr(
            "{storey}, {room}",
            storey=self._called(storey),
            room=labels(self._document.job)[str(storey.id), str(room.id)],
        )

    def _height(self, page: FirstPassPage, about: str) -> str:
        asked = self._course.storey(self._document.job)
        if asked is None:
            return about
        self._document.show_storey(str(asked.id))
        page.ask_height(asked.height_mm)
        return tr("{storey}: floor to ceiling", storey=self._called(asked))

    def _called(self, storey: Storey) -> str:
        """Its name; beside others one without a name goes by its number."""
        several = len(self._document.job.storeys) > 1
        return storey_name(storey) if storey.name or not several else storey.title[:1].upper() + storey.title[1:]

    def _row(self, page: FirstPassPage, key: str) -> str:
        """Show the place of what is asked about; its sentence."""
        self.row = row = self._course.row(key, self._document.state, self._document.findings)
        if row is None:
            return ""
        accepted = ("accept", tr("Accept as it is"), tr("You have looked at it: it is not listed again"))
        page.list.show_answers(_said((*(row.answers or (accepted,)), _LATER)))
        if row.findings:
            self._space.go_to(row.findings[0])
            self._space.pages.show_page(PAGE)
        return row.text
