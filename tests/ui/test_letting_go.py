"""The window lets go of what it closes, and garbage is collected by the thread that shows it."""

from __future__ import annotations

import gc
import weakref
from pathlib import Path

from PySide6.QtCore import QCoreApplication, QEvent, QObject

from takeoff.ui.app import Collector, application
from takeoff.ui.settings import Settings
from takeoff.ui.window.main_window import MainWindow

CHECKOUT = Path(__file__).parents[2]
JOBS = [CHECKOUT / "sample_plans" / "terrace.job.json"]


def test_nothing_holds_a_window_that_was_closed(told, qapp, tmp_path) -> None:
    made = MainWindow(Settings(tmp_path / "window.json"), in_order=True)
    made.show()
    made.files.open(JOBS[0])
    for page in made.sides.pages():
        made.sides.show_page(page)
    for name in ("figures", "room-look"):
        made.acts.do(name)
    QCoreApplication.processEvents()  # what waits for its turn holds what it is for
    made.close()
    document, gone = weakref.ref(made.document), weakref.ref(made)
    made.deleteLater()
    del made
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
    gc.collect()
    assert gone() is None
    assert document() is None


def test_a_window_does_not_grow_by_the_jobs_that_it_opens(sample) -> None:
    def opened() -> tuple[int, int]:
        sample.files.open(JOBS[0])
        sample.document.choose(())
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
        gc.collect()
        return len(sample.findChildren(QObject)), len(sample.plan.view.scene().items())

    opened()
    assert len({opened() for _ in range(3)}) == 1


def test_garbage_is_collected_from_the_event_loop_alone(qapp) -> None:
    class Ring:
        def __init__(self) -> None:
            self.me = self

    collector = Collector(application())
    try:
        assert not gc.isenabled()
        ring = weakref.ref(Ring())
        kept = [Ring() for _ in range(2 * gc.get_threshold()[0])]
        assert ring() is not None
        collector.look()
        assert ring() is None
        del kept
    finally:
        collector.end()
    assert gc.isenabled()
