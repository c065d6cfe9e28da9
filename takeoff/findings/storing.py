"""The ledger, one part: what is noticed where jobs and copies are kept."""

from __future__ import annotations

from takeoff.findings.rules import Rule, check, note

RULES: dict[str, Rule] = {
    "job-file-damaged": check("{file} was damaged: {part} is lost. The job itself was read whole."),
    "job-file-damaged/whole": note("{file} was damaged, but everything that it names was read: save it again."),
    "recovery-copy/folder": check("the recovery copies in “{folder}” cannot be read: {why}."),
    "recovery-copy/unreadable": check("a recovery copy cannot be read or removed: {why}"),
    "recovery-copy/damaged": check("the drawing or pictures of the copy are damaged ({lost})."),
    "recovery-copy/part-lost": check("of the copy, {part} is lost: {why}"),
    "recovery-copy/expired": note(
        "the recovery copy of {job} from {day} was not taken back for {days} days and is removed."
    ),
    "layers-not-remembered": check(
        "what was remembered of layers cannot be read from “{path}” ({why}): it was left aside, and the next choice "
        "starts it anew."
    ),
}
