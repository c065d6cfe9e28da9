"""Nothing that a test does reaches what the user of this computer keeps, or depends on how busy it is."""

from __future__ import annotations

import os
import tempfile

from hypothesis import settings

os.environ["XDG_STATE_HOME"] = tempfile.mkdtemp(prefix="takeoff-tests-")
os.environ["XDG_DATA_HOME"] = tempfile.mkdtemp(prefix="takeoff-tests-")

# What a test starts as a process of its own need not compile the program anew: half of its time goes there.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)

settings.register_profile("patient", deadline=None)
settings.load_profile("patient")
