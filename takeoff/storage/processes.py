"""Who has something open: a process of this or another computer, and whether it still runs."""

from __future__ import annotations

import os
import platform
import secrets
import sys
import time
from pathlib import Path

import msgspec


class Owner(msgspec.Struct, frozen=True):
    """A process that holds a job. ``since_s``: seconds since 1970; ``begun``: when the process itself
    began, where the system tells, since process numbers are used again; ``token``: this one hold."""

    pid: int
    host: str
    since_s: float
    begun: str = ""
    token: str = ""


def this_process() -> Owner:
    """A new hold by the running process."""
    pid = os.getpid()
    return Owner(pid, platform.node(), time.time(), _begun(pid), secrets.token_hex(8))


def is_running(owner: Owner) -> bool:
    """Whether the owner's process runs on this computer. Its ``host`` is not looked at."""
    if owner.pid <= 0 or not _exists(owner.pid):
        return False
    begun = _begun(owner.pid)
    return not (begun and owner.begun) or begun == owner.begun


def _exists(pid: int) -> bool:
    if sys.platform == "win32":
        return _exists_on_windows(pid)
    try:
        os.kill(pid, 0)
    except PermissionError:  # it is somebody else's
        return True
    except (ProcessLookupError, OverflowError):
        return False
    return True


def _exists_on_windows(pid: int) -> bool:
    """There ``os.kill(pid, 0)`` would end the process, so it is opened and asked for its exit code."""
    if sys.platform != "win32":
        return False
    import ctypes

    query, still_active = 0x1000, 259  # PROCESS_QUERY_LIMITED_INFORMATION and STILL_ACTIVE
    kernel = ctypes.windll.kernel32
    handle = kernel.OpenProcess(query, False, pid)
    if not handle:
        return False
    try:
        code = ctypes.c_ulong()
        return bool(kernel.GetExitCodeProcess(handle, ctypes.byref(code))) and code.value == still_active
    finally:
        kernel.CloseHandle(handle)


def _begun(pid: int) -> str:
    """Boot and clock tick at which the process began (Linux); "" where the system does not tell."""
    try:
        stat = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8", errors="replace")
        boot = Path("/proc/sys/kernel/random/boot_id").read_text(encoding="ascii").strip()
    except OSError:
        return ""
    fields = stat.rpartition(")")[2].split()  # what stands before may hold blanks
    # A process that has ended and waits for its parent to notice ("Z") holds nothing any more.
    return "ended" if fields[0] in "ZX" else f"{boot}:{fields[19]}"
