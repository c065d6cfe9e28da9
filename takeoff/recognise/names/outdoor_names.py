"""Names of places outdoors: what is written so has walls or railings round it, and may have no ceiling."""

from __future__ import annotations

import re

_OUTDOORS = re.compile(
    r"\b(?:verandahs?|verandas?|balcon(?:y|ies)|terraces?|patios?|porch(?:es)?|sun\s?decks?|loggias?|lôgia|carports?|"
    r"court\s?yards?|back\s?yards?|gardens?|planters?|lawns?|l\s+a\s+w\s+n|driveways?|car\s?park(?:ing)?|car\s?porch(?:es)?|"
    r"parking(?:\s+(?:area|space|lot))?|open\s+to\s+sky|pergolas?|(?:rain\s?)?water\s+tanks?|cisterns?|"
    r"balkone?|(?:dach)?terrassen?|loggien|innenhof|garten|laubengang|"
    r"balcons?|terrasses?|cour|"
    r"balc[oó]n(?:es)?|terrazas?|porches?|azoteas?|varandas?|sacadas?|terraços?|alpendres?|quintal|"
    r"balcon[ei]|terrazz[aeio]|terrazzin[aoi]|portic(?:o|i|ato)|cortile|"
    r"balkony?|taras(?:y|u)?|weranda|ganek|"
    r"balkon(?:lar)?|teras|avlu|terras(?:sen)?|balkong(?:er)?|terrass(?:er)?|altan|uteplass|"
    r"terasa?|balkón|parveke|terassi|ban\s*công|"
    r"балкон|терраса|тераса|лоджия|лоджія|веранда|крыльцо|внутренний\s+двор|"
    r"μπαλκόνι|βεράντα|αυλή)\b"
    r"|light\s?wells?\b|阳台|露台|庭院|内院|天井(?!高)|采光井|陽台|バルコニー|ベランダ|テラス|발코니|베란다|테라스",
    re.I,
)
_STEPPED_ONTO = re.compile(
    r"v[ae]rand|balc|balk|terra|teras|taras|patio|sun\s?deck|logg|lôgia|sacada|alpendre|weranda|"
    r"altan|uteplass|parveke|ban\s*công|балкон|терр?аса|лоджия|лоджія|веранда|μπαλκόνι|βεράντα|"
    r"阳台|露台|陽台|バルコニー|ベランダ|テラス|발코니|베란다|테라스",
    re.I,
)
_ROOM_AFTER = re.compile(r"\b(?:room|zimmer|access|store|storage)\b", re.I)


def outdoors(name: str) -> bool:
    """Whether a room's name is one of a place outdoors.

    >>> outdoors("VERANDAH"), outdoors("Balkon"), outdoors("PLANTER"), outdoors("Terrace room"), outdoors("Bedroom")
    (True, True, True, False, False)
    >>> outdoors("RAIN WATER TANK"), outdoors("Water tank room"), outdoors("天井"), outdoors("天井高 2400")
    (True, False, True, False)
    """
    return bool(_OUTDOORS.search(name)) and not _ROOM_AFTER.search(name)


def stepped_onto(name: str) -> bool:
    """Whether a name is one of those places outdoors that one steps out onto from a room.

    >>> stepped_onto("BALCONY"), stepped_onto("Dachterrasse"), stepped_onto("GARDEN"), stepped_onto("Terrace room")
    (True, True, False, False)
    >>> stepped_onto("Varanda"), stepped_onto("Терраса"), stepped_onto("CAR PARK")
    (True, True, False)
    """
    return bool(_STEPPED_ONTO.search(name)) and outdoors(name)
