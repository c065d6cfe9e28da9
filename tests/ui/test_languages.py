"""What the window speaks: by the system, by the preference, by the command; Qt's words and numbers with it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QCoreApplication, QLocale, QTranslator
from PySide6.QtWidgets import QApplication

from takeoff.language import language, number, region, use_language, use_region
from takeoff.language.catalogue import VARIABLE, Catalogue, use_catalogue
from takeoff.ui.languages import first_language, speak
from takeoff.ui.settings import Preferences, Settings
from takeoff.ui.window.main_window import MENUS, MainWindow
from takeoff.ui.window.shortcuts import ShortcutList

GERMAN = QLocale(QLocale.Language.German, QLocale.Country.Austria)
FRENCH = QLocale(QLocale.Language.French, QLocale.Country.France)
AMERICAN = QLocale(QLocale.Language.English, QLocale.Country.UnitedStates)


@pytest.fixture
def spoken(qapp: QApplication, monkeypatch: pytest.MonkeyPatch) -> Iterator[QApplication]:
    """Afterwards everything speaks British English again, Qt too."""
    monkeypatch.setenv(VARIABLE, "")
    before = QLocale()
    yield qapp
    for translator in qapp.findChildren(QTranslator):
        qapp.removeTranslator(translator)
        translator.deleteLater()
    QLocale.setDefault(before)
    use_language("en")
    use_region("")


@pytest.mark.parametrize(
    ("wish", "system", "code", "place"),
    [
        (Preferences(), GERMAN, "de", "AT"),
        (Preferences(), FRENCH, "en", "FR"),
        (Preferences(), AMERICAN, "en", "US"),
        (Preferences(language="en"), GERMAN, "en", "AT"),
        (Preferences(language="de", region="CH"), AMERICAN, "de", "CH"),
        (Preferences(language="de", region="nowhere"), GERMAN, "de", "AT"),
        (Preferences(language="tlh"), GERMAN, "de", "AT"),
    ],
)
def test_first_start_speaks_as_the_system_later_ones_as_it_was_set(spoken, wish, system, code, place) -> None:
    speak(spoken, wish, system)
    assert (language(), region()) == (code, place)


def test_what_the_command_was_told_holds(spoken) -> None:
    use_language("de")
    use_region("DE")
    speak(spoken, Preferences(language="en", region="US"), AMERICAN)
    assert (language(), region()) == ("de", "DE")


def test_qt_speaks_and_writes_numbers_as_the_window_does(spoken) -> None:
    assert QCoreApplication.translate("QPlatformTheme", "Cancel") == "Cancel"
    speak(spoken, Preferences(), GERMAN)
    assert QCoreApplication.translate("QPlatformTheme", "Cancel") == "Abbrechen"
    assert QLocale().toString(1234.5, "f", 1).endswith("234,5")
    assert number(1234).endswith("234")
    assert QLocale().territory() == QLocale.Country.Austria


def test_first_language_is_the_first_that_the_program_speaks() -> None:
    assert first_language(Preferences(), FRENCH) == "en"
    assert first_language(Preferences(), GERMAN) == "de"


def test_menu_sets_the_language_of_the_next_start(sample: MainWindow, told, tmp_path: Path) -> None:
    assert sample.acts.q("language-en").isChecked()
    assert not sample.acts.q("language-de").isChecked()
    sample.acts.do("language-de")
    assert Settings(sample.settings.path).value.language == "de"
    assert told.sentences == ["Takeoff will speak Deutsch the next time it starts."]
    assert sample.acts.q("language-de").isChecked()
    assert language() == "en"  # what is shown was said already


# -- nothing of the frame escapes the catalogue


class Marked(Catalogue):
    """Every message in brackets and 40 % longer: what stands outside of them was never said by the catalogue."""

    def __init__(self) -> None:
        super().__init__({}, lambda count: 0 if count == 1 else 1)

    def lookup(self, context: str | None, message: str) -> str:
        return message if message.startswith("⟦") else f"⟦{message}{'~' * round(0.4 * len(message))}⟧"

    def counted(self, one: str, many: str, count: int) -> str:
        return self.lookup(None, one if count == 1 else many)


@pytest.fixture
def marked(qtbot, told, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[MainWindow]:
    monkeypatch.setenv(VARIABLE, "")
    use_catalogue("en", Marked())
    window = MainWindow(Settings(tmp_path / "window.json"), in_order=True)
    qtbot.addWidget(window)
    window.files.open_sample()
    yield window
    window.document.stack.setClean()
    use_language("en")


def outside(text: str) -> str:
    """What stands outside of brackets, innermost first, without marks and digits."""
    while "⟦" in text:
        text, before = re.sub(r"⟦[^⟦⟧]*⟧", "", text), text
        if text == before:
            break
    return re.sub(r"[^A-Za-z]", "", text)


def test_every_action_and_menu_is_said_by_the_catalogue(marked: MainWindow) -> None:
    for row in marked.acts.rows():
        assert outside(row.text) == "", row.id
        assert outside(row.tip) == "", row.id
    assert [outside(action.text()) for action in marked.bar.actions()] == [""] * len(MENUS)


def test_list_of_actions_and_gestures_is_said_by_the_catalogue(marked: MainWindow) -> None:
    marked.acts.do("shortcuts")
    listed = marked.findChild(ShortcutList)
    items = [listed.list.topLevelItem(k) for k in range(listed.list.topLevelItemCount())]
    assert [item.text(0) for item in items if outside(item.text(0))] == []
    assert [item.text(1) for item in items if outside(item.text(1))] == []
    gestures = [item.text(2) for item in items[len(marked.acts.rows()) :]]
    assert gestures
    assert [text for text in gestures if outside(text)] == []
    assert outside(listed.field.placeholderText() + listed.windowTitle() + listed.note.text()) == ""


def test_every_drawing_tool_says_its_steps_by_the_catalogue(marked: MainWindow) -> None:
    said = 0
    for row in marked.acts.rows():
        if row.menu not in ("Draw", "Openings", "Heights", "Coat") or not marked.acts.q(row.id).isEnabled():
            continue
        before = marked.plan.view.tool
        marked.acts.do(row.id)
        if marked.plan.view.tool is before:
            continue
        said += 1
        text = marked.totals.note.text()
        assert outside(text) == "", (row.id, text)
    assert said > 15
