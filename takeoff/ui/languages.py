"""What the window speaks: as the command was told, else as the user has set it, else as the system does."""

from __future__ import annotations

import os

from PySide6.QtCore import QLibraryInfo, QLocale, QTranslator
from PySide6.QtWidgets import QApplication

from takeoff.language import LANGUAGES, language, region, use_language, use_region
from takeoff.language.catalogue import VARIABLE
from takeoff.ui.settings import Preferences


def speak(app: QApplication, wish: Preferences, system: QLocale | None = None) -> None:
    """Speak, and write numbers, as wished; Qt's own words and fields follow. Called once, before anything is shown.

    What the command or the environment says holds. ``system``: the system's locale, for tests.
    """
    if not os.environ.get(VARIABLE):
        here = system or QLocale.system()
        use_language(first_language(wish, here))
        _use_first_region(wish.region, QLocale.territoryToCode(here.territory()))
    QLocale.setDefault(QLocale(f"{language()}_{region()}"))
    translator = QTranslator(app)
    # English words are Qt's own and stand in no file
    if translator.load(f"qtbase_{language()}", QLibraryInfo.path(QLibraryInfo.LibraryPath.TranslationsPath)):
        app.installTranslator(translator)


def first_language(wish: Preferences, system: QLocale) -> str:
    """What the user has set; else the first of the system's languages that the program speaks; else "en"."""
    codes = (wish.language, *(name.partition("-")[0].lower() for name in system.uiLanguages()))
    return next((code for code in codes if code in LANGUAGES), "en")


def _use_first_region(*codes: str) -> None:
    """The first that the language has a form for; without one its usual region."""
    for code in filter(None, codes):
        try:
            use_region(code)
        except LookupError:
            continue  # such as the system's "US" under German, or a region in a file that was typed into
        return
    use_region("")
