"""Nothing that a test does reaches what the user of this computer keeps."""

from __future__ import annotations

import os
import tempfile

os.environ["XDG_STATE_HOME"] = tempfile.mkdtemp(prefix="takeoff-tests-")
