"""Every panel in a language of longer words: all that it says itself is out of the catalogue, and nothing is cut off
in the width that the window gives it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import nullcontext

import pytest
from conftest import CHECKOUT
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractButton, QComboBox, QGroupBox, QLabel, QLineEdit, QScrollArea, QTableView, QWidget

from takeoff.language import use_language, use_region
from takeoff.measure.conventions import convention_ids, load
from takeoff.plan.model import Job
from takeoff.storage import jobs
from takeoff.supply.systems import of_job
from takeoff.ui import themes
from takeoff.ui.document import Document, Ref
from takeoff.ui.panels.around_plan import TopBar
from takeoff.ui.panels.asking_panel import AskingPanel
from takeoff.ui.panels.budget_page import BudgetPage
from takeoff.ui.panels.card import CardPanel
from takeoff.ui.panels.coat_editors import CornerEditor, FaceEditor
from takeoff.ui.panels.coat_page import CoatPage
from takeoff.ui.panels.drawing_page import DrawingPage
from takeoff.ui.panels.figures_table import FiguresPanel
from takeoff.ui.panels.first_pass_page import FirstPassPage
from takeoff.ui.panels.first_steps import EmptyPlan, TourBubble
from takeoff.ui.panels.form_fields import DegreesField, LengthField, length_text
from takeoff.ui.panels.heights_page import HeightsPage
from takeoff.ui.panels.opening_editor import OpeningEditor, RooflightEditor
from takeoff.ui.panels.openings_page import PlacingPage
from takeoff.ui.panels.parts_page import PartsPage
from takeoff.ui.panels.photos_page import PhotosPage
from takeoff.ui.panels.preview_panel import PreviewPanel
from takeoff.ui.panels.proposals_page import ProposalsPage
from takeoff.ui.panels.room_picture import RoomLook
from takeoff.ui.panels.settle_page import SettlePage
from takeoff.ui.panels.sheets_page import SheetsPage
from takeoff.ui.panels.site_pages import ReadingsPage, SitePage
from takeoff.ui.panels.site_panel import SitePanel
from takeoff.ui.panels.step_pages import HistoryPage, OpeningsPage, OrderPage, RoomsPage
from takeoff.ui.panels.storeys_page import StoreysPage
from takeoff.ui.panels.system_page import SystemPage
from takeoff.ui.panels.together_page import TogetherPage
from takeoff.ui.panels.tool_row import ToolRow
from takeoff.ui.panels.wall_strip import WallStrip
from takeoff.ui.window.frame import PAGES_PX
from takeoff.units.lengths import LENGTH, size_mm
from tests.language.pseudo import outside, pseudo

NAMES = frozenset({"mm", "cm", "ft", "DXF", "IFC", "PDF", "PDFs", "XLSX", "CSV", "EUR", "Ctrl", "AC", "ESC", "NRM"})
"""Units, names of files and keys."""

ELSEWHERE = frozenset({"window", "Put the room into the job"})
"""Words that panels are given, and that are looked at where they are made."""

NAMED_BY_DATA = (CoatPage, SheetsPage)
"""Panels that offer what data files name: substrates of a coating system, conventions of billing."""

Make = Callable[[Document], QWidget]


def _panel(name: str) -> Make:
    made: dict[str, Make] = {
        "top": TopBar,
        "asking": AskingPanel,
        "estimate": lambda doc: BudgetPage(),
        "card": CardPanel,
        "face": FaceEditor,
        "corner": CornerEditor,
        "coat": CoatPage,
        "drawing": lambda doc: DrawingPage(),
        "figures": FiguresPanel,
        "first-pass": lambda doc: FirstPassPage(),
        "empty": lambda doc: _held(lambda holder: EmptyPlan(doc, holder, lambda: True)),
        "tour": lambda doc: _held(TourBubble),
        "heights": HeightsPage,
        "opening": OpeningEditor,
        "rooflight": RooflightEditor,
        "placing": PlacingPage,
        "parts": PartsPage,
        "photos": lambda doc: PhotosPage(lambda name: None),
        "preview": lambda doc: PreviewPanel(_THEME),
        "proposals": ProposalsPage,
        "room": lambda doc: RoomLook(doc, _THEME),
        "findings": SettlePage,
        "sheets": SheetsPage,
        "survey": lambda doc: ReadingsPage(),
        "surveys": SitePage,
        "room-survey": lambda doc: SitePanel(_THEME),
        "rooms": RoomsPage,
        "openings": OpeningsPage,
        "order": OrderPage,
        "history": lambda doc: HistoryPage(doc.stack),
        "storeys": lambda doc: StoreysPage(doc, ()),
        "system": lambda doc: SystemPage(),
        "assembling": lambda doc: TogetherPage(doc, _THEME),
        "tools": lambda doc: ToolRow(),
        "walls": lambda doc: WallStrip(doc, _THEME),
    }
    return made[name]


_THEME = themes.load("light")
SAID = (
    "top", "asking", "estimate", "card", "face", "corner", "coat", "drawing", "figures", "empty",
    "tour", "heights", "opening", "rooflight", "placing", "parts", "photos", "preview", "proposals",
    "room", "findings", "sheets", "survey", "surveys", "rooms", "openings", "order", "history",
    "storeys", "system", "assembling", "tools", "walls", "first-pass", "room-survey",
)  # fmt: skip
PAGES = (
    "estimate", "card", "coat", "drawing", "heights", "placing", "parts", "photos", "proposals",
    "findings", "sheets", "survey", "surveys", "rooms", "openings", "order", "history", "storeys",
    "system", "assembling", "first-pass",
)  # fmt: skip
"""What stands at the right of the window, no wider than it is there."""

CHOSEN = (None, Ref("room", "G2"), Ref("side", "G2-1", "G2"))
"""Pages have more to show where something is chosen."""


def _held(make: Callable[[QWidget], QWidget]) -> QWidget:
    holder = QWidget()
    make(holder)
    return holder


def _texts(root: QWidget) -> Iterator[str]:
    for widget in (root, *root.findChildren(QWidget)):
        yield widget.toolTip()
        yield widget.accessibleName()
        if isinstance(widget, QLabel | QAbstractButton):
            yield widget.text()
        if isinstance(widget, QLineEdit):
            yield widget.placeholderText()
        if isinstance(widget, QGroupBox):
            yield widget.title()
        if isinstance(widget, QComboBox):
            yield from (widget.itemText(number) for number in range(widget.count()))
        if isinstance(widget, QTableView):
            model = widget.model()
            for column in range(model.columnCount()):
                yield str(model.headerData(column, Qt.Orientation.Horizontal) or "")


@pytest.mark.parametrize("name", SAID)
def test_panel_says_nothing_that_is_not_in_the_catalogue(qtbot, name: str) -> None:
    with pseudo():
        panel = _panel(name)(Document())
        qtbot.addWidget(panel)
        bare = {text for text in _texts(panel) if set(outside(text)) - NAMES} - ELSEWHERE
    if isinstance(panel, NAMED_BY_DATA):
        bare -= {one.name for one in of_job(Job()).substrates} | {load(name).name for name in convention_ids()}
    assert bare == set()


@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("longer", [False, True], ids=["English", "longer"])
@pytest.mark.parametrize("chosen", CHOSEN, ids=lambda ref: ref.kind if ref else "nothing")
def test_nothing_of_a_page_is_cut_off(qtbot, name: str, longer: bool, chosen: Ref | None) -> None:
    with pseudo() if longer else nullcontext():
        doc = Document()
        doc.open(jobs.load((CHECKOUT / "sample_plans" / "terrace.job.json").read_bytes(), "terrace"))
        page = _panel(name)(doc)
        qtbot.addWidget(page)
        doc.choose((chosen,) if chosen else ())
        page.resize(PAGES_PX, 720)
        page.show()
        assert page.minimumSizeHint().width() <= PAGES_PX
        for area in page.findChildren(QScrollArea):
            assert area.widget().minimumSizeHint().width() <= area.viewport().width()


@pytest.mark.parametrize("mm", [0.0, 50.0, 550.0, 1205.0, 2437.5, 12_345.0, -300.0])
@pytest.mark.parametrize(("spoken", "where"), [("en", "GB"), ("de", "DE"), ("de", "CH")])
def test_length_field_reads_what_it_shows(spoken: str, where: str, mm: float) -> None:
    use_language(spoken)
    use_region(where)
    try:
        shown = length_text(mm)
        assert size_mm(shown, LENGTH) == pytest.approx(mm, abs=0.5)
        assert ("," in shown) is (where == "DE")
    finally:
        use_language("en")
        use_region("")


def test_decimal_comma_is_shown_and_typed(qtbot) -> None:
    use_language("de")
    try:
        field, pitch = LengthField("Breite"), DegreesField("Neigung")
        for one in (field, pitch):
            qtbot.addWidget(one)
        field.show_mm(1205.0)
        pitch.show_degrees(22.5)
        assert (field.text(), pitch.text()) == ("1,205", "22,5°")
        told: list[object] = []
        field.typed.connect(told.append)
        pitch.typed.connect(told.append)
        field.take("2,4")
        pitch.take("37,5")
        assert told == [2400.0, 37.5]
        assert (field.text(), pitch.text()) == ("2,40", "37,5°")
    finally:
        use_language("en")
