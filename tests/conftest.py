"""Nothing that a test does reaches what the user of this computer keeps, or depends on how busy it is."""

from __future__ import annotations

import os
import tempfile

import pytest
from hypothesis import settings

os.environ["XDG_STATE_HOME"] = tempfile.mkdtemp(prefix="takeoff-tests-")

settings.register_profile("patient", deadline=None)
settings.load_profile("patient")


@pytest.fixture(autouse=True, scope="session")
def patient_search() -> None:
    """The search for bars always ends with its proof, so that the same is ordered on a busy computer."""
    from takeoff.supply import cutting

    cutting.TIME_CAP_S = 120.0
