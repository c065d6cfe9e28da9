"""Names of shafts: lifts, ducts, and voids, whose walls and ceilings are seldom coated, and which are no rooms."""

from __future__ import annotations

import re

_LIFT = (
    r"lifts?|elev(?:ators?)?|hoist|(?:lift|elevator)\s*shafts?|aufzug|aufzüge|lift(?:schacht)?|ascenseurs?|monte-charge|"
    r"ascensor(?:es)?|montacargas|elevador(?:es)?|ascensor[ei]|winda|asansör|лифт"
)
_LIFT_UNPARTED = "电梯井|ＥＶ|昇降路|ELEV실"
"""In scripts that part no words."""
_LIFTS = re.compile(rf"\b(?:{_LIFT})\b|{_LIFT_UNPARTED}", re.I)
_SHAFTS = re.compile(
    rf"\b(?:{_LIFT}|(?:service|duct|light|vent(?:ilation)?)\s*shafts?|shafts?|risers?|ducts?|voids?|schacht|schächte|"
    r"luftraum|gaine|trémie|patinillo|ducto|shaft|vazio|poço|cavedio|vuoto|szacht|szyb|şaft|шахта)\b"
    rf"|{_LIFT_UNPARTED}|管井|竖井|吹抜|PS실|EPS실",
    re.I,
)
_LOBBY = re.compile(r"\b(?:lobby|lobbies|hall|foyer|room|machine|vorraum|vorplatz|palier|hol|холл)\b|厅|前室", re.I)


def is_shaft(name: str) -> bool:
    """Whether a room's name is a shaft's.

    >>> is_shaft("LIFT 4"), is_shaft("Lift lobby"), is_shaft("ELEV"), is_shaft("Kitchen")
    (True, False, True, False)
    """
    return bool(_SHAFTS.search(name)) and not _LOBBY.search(name)


def is_lift(name: str) -> bool:
    """Whether words say that a lift goes up there.

    >>> is_lift("LIFT 4"), is_lift("Lift lobby"), is_lift("Elevador"), is_lift("Duct")
    (True, False, True, False)
    """
    return bool(_LIFTS.search(name)) and not _LOBBY.search(name)
