"""Names of shafts: lifts, ducts, and voids, whose walls and ceilings are seldom coated, and which are no rooms."""

from __future__ import annotations

import re

_SHAFTS = re.compile(
    r"\b(?:lifts?|elev(?:ators?)?|hoist|(?:lift|elevator|service|duct|light|vent(?:ilation)?)\s*shafts?|shafts?|risers?|"
    r"ducts?|voids?|aufzug|aufzüge|lift(?:schacht)?|schacht|schächte|luftraum|ascenseurs?|gaine|monte-charge|trémie|"
    r"ascensor(?:es)?|patinillo|montacargas|ducto|elevador(?:es)?|shaft|vazio|poço|ascensor[ei]|cavedio|vuoto|"
    r"winda|szacht|szyb|asansör|şaft|лифт|шахта)\b"
    r"|电梯井|管井|竖井|ＥＶ|昇降路|吹抜|ELEV실|PS실|EPS실",
    re.I,
)
_LOBBY = re.compile(r"\b(?:lobby|lobbies|hall|foyer|room|machine|vorraum|vorplatz|palier|hol|холл)\b|厅|前室", re.I)


def is_shaft(name: str) -> bool:
    """Whether a room's name is a shaft's.

    >>> is_shaft("LIFT 4"), is_shaft("Lift lobby"), is_shaft("ELEV"), is_shaft("Kitchen")
    (True, False, True, False)
    """
    return bool(_SHAFTS.search(name)) and not _LOBBY.search(name)
