"""What each layer is for: a guess with its reason, as a table the user can overrule; the trade's words for
it; and what a user chose for one office's drawings, to be used again on its next one.

Names are read word by word in several languages, with the discipline codes of AIA (A-WALL) and
the element fields of ISO 13567; both are read from memory of those standards' forms. Values and pure
functions only; keeping profiles between runs is the caller's task."""

from __future__ import annotations

import re
from typing import Literal, cast, get_args

import msgspec

from takeoff.drawing.model import Drawing
from takeoff.errors import InputError

Role = Literal[
    "wall",
    "column",
    "glazing",
    "door",
    "area",
    "text",
    "dimension",
    "furniture",
    "hatch",
    "grid",
    "frame",
    "stair",
    "ceiling",
    "floor",
    "service",
    "site",
    "demolished",
    "unknown",
]

NAME_WORDS: dict[Role, str] = {
    "demolished": "demo demolish demolition demolished abbruch abriss demol demolir sloop rivning"
    " снос демонтаж rozbiorka demolizione derribo démolition démolitions démoli démolir"
    " démontage demolición demolicion demolição demolicao demoliti demolizioni rückbau"
    " rueckbau abzubrechen slopen verwijderen verwijderd rivs rives riveval purku"
    " purettava rozbiórka rozbiórki wyburzenie wyburzenia removed remove",
    "dimension": "dim dims dimension dimensions bemassung bemaßung masse maße mass maß bem cotes"
    " cotation cota cotas quote maat maten wymiary размеры размер mitat matt",
    "text": "text texts txt anno annotation note notes notation label labels beschriftung texte"
    " texto testo tekst текст iden symb symbol symbols nplt legend rmno roomname room-text"
    " schriften keyn leader revision revc marks tag tags номера",
    "hatch": "hatch hatching patt pattern schraffur schraff hachure hachures tratteggio arcering"
    " штриховка kreskowanie fill",
    "grid": "grid grids axis axes achse achsen raster axe trame eje ejes asse assi stramien оси ось osie colgrid",
    "frame": "border title titleblock titlebl ttlb sheet frame rahmen plankopf cartouche cadre"
    " cajetin squadratura kader рамка штамп vport viewport defpoints xref logo north",
    "furniture": "furn furniture furnishing moebel möbel mobel mobiliar mobilier muebles mobiliario"
    " arredo arredi meubilair meubels mebel мебель möblierung mobl equip eqpm equipment"
    " casework case cswk einrichtung planting plant people fixture flor-fixt appl"
    " appliance kitchen kueche küche cuisine сантехника sanitary sanitaer sanitär"
    " sanit toilet plumbing plmb fixt pfix bath wc",
    "stair": "stair stairs strs staircase treppe treppen escalier escaliers escalera scala scale"
    " trap trappa лестница schody ramp handrail railing rail hral levl evtr elevator lift",
    "glazing": "glaz glazing glass glas window windows win wind wndw fenster fen fenetre fenetres"
    " fenêtre fenêtres ventana ventanas finestra finestre raam ramen fönster fonster"
    " okno okna окно окна curtain curtainwall cwmg mullion mullions vitrage verglasung"
    " crystal cristal janela janelas παράθυρα παραθυρο sill ikkuna vindue vindu",
    "door": "door doors tuer tür türen tueren tur porte portes puerta puertas porta porte deur"
    " deuren dörr dorr drzwi дверь двери porta portas πόρτα πόρτες πορτες ovi ovet dør oeffnung"
    " öffnung opening openings",
    "column": "col cols colm column columns stuetze stütze stützen stuetzen poteau poteaux pilar"
    " pilares pilastro pilastri kolom kolommen pelare slup słup slupy колонна колонны"
    " pillar pillars pier piers κολωνα κολώνες pilari",
    "wall": "wall walls wal wand wände waende wande mauer mauerwerk aussenwand innenwand"
    " außenwand mur murs muri muro muros parete pareti tabique tabiques cloison cloisons"
    " muur muren vegg vägg vagg väggar sciana ściana sciany ściany стена стены перегородка"
    " перегородки partition partitions prtn prht partn tramezzo tramezzi parede paredes"
    " τοιχος τοίχος τοίχοι τοιχοι seina seinät væg masonry brick drywall tragwand"
    " maconnerie maçonnerie",
    "area": "area areas room rooms raum räume raeume space spaces zone zones piece pieces pièce"
    " pièces local locaux habitacion ambienti vani ruimte ruimtes помещение помещения"
    " pomieszczenia gross net bgf nrf ngf nuf polyline-rooms gsa",
    "ceiling": "clng ceiling ceilings decke decken plafond techo soffitto потолок above overhead"
    " over projection projektion rcp roof dach toit bulkhead beam beams unterzug beamsover",
    "floor": "flor floor flooring slab boden bodenbelag sol pavimento vloer пол finish tile tiles"
    " fliesen spcl carpet paving",
    "service": "elec electrical electric lite light lighting power mech hvac heating heizung"
    " lueftung lüftung sprinkler fire pipe pipes duct ductwork radiator elektro"
    " wasser sewer cable data telecom electricite отопление вентиляция",
    "site": "site property boundary plot grundstueck grundstück parzelle topo survey landscape"
    " terrain road parking tree trees veg parcelle",
}

_BY_WORD: dict[str, Role] = {word: role for role, words in reversed(list(NAME_WORDS.items())) for word in words.split()}

_ORDER: tuple[Role, ...] = tuple(NAME_WORDS)
_LONG_WORD = 4
"""Words of at least so many letters are also found inside compounds (Aussenwände, roomwalls)."""

_ISO_ELEMENT: tuple[tuple[str, Role], ...] = (
    ("21", "wall"),
    ("22", "wall"),
    ("23", "floor"),
    ("24", "stair"),
    ("27", "ceiling"),
    ("28", "column"),
    ("31", "glazing"),
    ("32", "door"),
    ("35", "ceiling"),
    ("43", "floor"),
)
"""Table 1 of a common element classification as used in ISO 13567 names; from memory."""


Status = Literal["", "existing", "new", "demolished"]

_STATUS_WORDS: dict[Status, str] = {
    "existing": "exst exist existing bestand bestaand bestaande existant existants existante existantes"
    " existente existentes esistente esistenti eksisterende befintlig istniejące istniejace"
    " существующие существующий υφιστάμενο remain retained",
    "new": "new neu neue neubau nieuw nieuwe nieuwbouw neuf neufs nouveau nouveaux nouvelle nuevo nueva"
    " nuevos nuovo nuovi nuova novo nova ny nya nybygg nowe nowy projektowane новые новый proposed",
}
_STATUS_BY_WORD: dict[str, Status] = {word: status for status, words in _STATUS_WORDS.items() for word in words.split()}
_AIA_STATUS: dict[str, Status] = {"N": "new", "E": "existing", "D": "demolished"}
_ISO_STATUS: dict[str, Status] = {"N": "new", "E": "existing", "R": "demolished"}
"""The status fields of AIA names (a last field of one letter) and of ISO 13567 ones (after agent,
element and presentation, the eleventh sign); from memory of their forms."""
_AIA_FORM = re.compile(r"^[A-Z]{1,2}-[A-Z0-9]{4}(?:-[A-Z0-9]{4}){0,2}-([NED])$")
_ISO_FORM = re.compile(r"^[A-Z][A-Z0-9_-][0-9_-]{6}[A-Z_-]{2}([NERTOF])")


LEFT_OUT = "left out by the user"
CHOSEN = "chosen by the user"


class LayerGuess(msgspec.Struct, frozen=True):
    """One row of the table: the layer, what it seems to be for, why, and whether its name says that
    what is on it stands already, is new, or goes."""

    name: str
    role: Role
    why: str
    status: Status = ""


def status_by_name(name: str) -> Status:
    """Whether a layer's name says that what is on it stands already, is new, or goes; "" for neither."""
    letter = _AIA_FORM.match(name.upper())
    if letter is not None:
        return _AIA_STATUS[letter[1]]
    letter = _ISO_FORM.match(name.upper())
    if letter is not None and re.search(r"\d\d", name[2:8]):
        return _ISO_STATUS.get(letter[1], "")
    words = [w for w in re.split(r"[^\w]+|_", name.lower()) if w]
    if any(_BY_WORD.get(w) == "demolished" for w in words):
        return "demolished"
    return next((_STATUS_BY_WORD[w] for w in words if w in _STATUS_BY_WORD), "")


def by_name(name: str) -> tuple[Role, str]:
    """(role, reason) from the layer's name alone; ("unknown", "") where it says nothing."""
    if status_by_name(name) == "demolished":
        return "demolished", "its name says that what is on it goes"
    words = [w for w in re.split(r"[^\w]+|_", name.lower()) if w]
    camel = [w.lower() for w in re.findall(r"[A-ZÄÖÜ]?[a-zäöüß]+|[A-ZÄÖÜ]+(?![a-z])", name)]
    found = {_BY_WORD[w]: w for w in reversed(words + camel) if w in _BY_WORD}
    if not found:
        found = _compounds(words)
    for role in _ORDER:
        if role in found:
            return role, f"its name has “{found[role]}”"
    return _iso_13567(name)


def _compounds(words: list[str]) -> dict[Role, str]:
    found: dict[Role, str] = {}
    for word in words:
        for known, role in _BY_WORD.items():
            if len(known) >= _LONG_WORD and (word.startswith(known) or word.endswith(known)):
                found.setdefault(role, known)
    return found


def _iso_13567(name: str) -> tuple[Role, str]:
    match = re.match(r"^[A-Z][A-Z0-9_-]?[-_]?[A-Z]?(\d{2})\d{0,3}[-_]*([A-Z]?)", name)
    if match is None:
        return "unknown", ""
    presentation: dict[str, Role] = {"T": "text", "D": "dimension", "H": "hatch", "B": "frame"}
    if match[2] in presentation:
        return presentation[match[2]], f"ISO 13567 presentation {match[2]}"
    for code, role in _ISO_ELEMENT:
        if match[1] == code:
            return role, f"ISO 13567 element {code}"
    return "unknown", ""


def guess(
    drawing: Drawing, given: tuple[str, ...] = (), chosen: tuple[tuple[str, str], ...] = ()
) -> tuple[LayerGuess, ...]:
    """A row per layer of the drawing, in its order. Layers that the user *gave* are walls unless
    their names say that they are openings; all others are then left out. ``chosen``: (layer, role)
    that the user set. Raises InputError for a role that does not exist."""
    wanted = {name.casefold() for name in given}
    roles = {name.casefold(): as_role(role) for name, role in chosen}
    rows = []
    for layer in drawing.layers:
        role, why = by_name(layer.name)
        status = status_by_name(layer.name)
        if layer.name.casefold() in roles:
            role, why = roles[layer.name.casefold()], CHOSEN
            status = "demolished" if role == "demolished" else "" if status == "demolished" else status
        elif role != "demolished" and (whole := whole_of(layer.name).casefold()) in roles:
            role, why = roles[whole], "the rest of its layer is"
        elif wanted:
            if layer.name.casefold() not in wanted:
                role, why = ("text", why) if role == "text" else ("frame", LEFT_OUT)
            elif role not in ("wall", "column", "glazing", "door", "area"):
                role, why = "wall", CHOSEN
        rows.append(LayerGuess(layer.name, role, why, status))
    return tuple(rows)


def whole_of(name: str) -> str:
    """The layer that one called "A-WALL (DASHED)" was told apart from; "" for other names."""
    return name.rpartition(" (")[0] if name.endswith(")") else ""


def as_role(text: str) -> Role:
    """The role of that name. Raises InputError where there is none."""
    if text not in get_args(Role):
        raise InputError(f"“{text}” is nothing that a layer can be for: use one of {', '.join(get_args(Role))}.")
    return cast(Role, text)


WORDS: dict[Role, str] = {
    "wall": "walls",
    "column": "columns and piers",
    "door": "doors",
    "glazing": "windows and glass",
    "area": "outlines of rooms",
    "text": "text",
    "dimension": "dimensions",
    "furniture": "furniture",
    "stair": "stairs",
    "ceiling": "what lies above",
    "floor": "floor finishes",
    "hatch": "hatching",
    "grid": "grid lines",
    "service": "services",
    "site": "outside the house",
    "demolished": "walls to come down",
    "frame": "not used",
    "unknown": "not clear",
}
"""What a table says a layer is taken for."""

TO_CHOOSE: tuple[Role, ...] = (
    "wall",
    "column",
    "door",
    "glazing",
    "area",
    "demolished",
    "text",
    "furniture",
    "stair",
    "ceiling",
    "hatch",
    "frame",
)
"""What a user chooses from; the others change nothing that is proposed."""

_SAID: dict[str, Role] = {
    "walls": "wall",
    "columns": "column",
    "doors": "door",
    "window": "glazing",
    "windows": "glazing",
    "glass": "glazing",
    "rooms": "area",
    "room": "area",
    "texts": "text",
    "dimensions": "dimension",
    "stairs": "stair",
    "above": "ceiling",
    "hatching": "hatch",
    "unused": "frame",
    "none": "frame",
    "not used": "frame",
    "ignore": "frame",
    "demolish": "demolished",
    "comes down": "demolished",
    "existing": "wall",
    "new": "wall",
    "stands": "wall",
}


def role_named(text: str) -> Role:
    """The role of that name, or of a usual word for it ("walls", "windows", "unused"). Raises
    InputError with the names that exist."""
    plain = " ".join(text.strip().casefold().split())
    if plain in _SAID or plain in get_args(Role):
        return _SAID.get(plain) or as_role(plain)
    raise InputError(f"“{text}” is nothing that a layer can be for: use one of {', '.join(TO_CHOOSE[:-1])} or unused.")


ALIKE = 0.6
"""Two drawings that have this part of their layers in common come from one office (common practice,
no source)."""
EVERYWHERE = frozenset({"0", "defpoints"})
"""Layers that every drawing has say nothing of whose it is."""


class Profile(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """``layers``: the names of a drawing's layers, sorted, without regard to capitals: the key.
    ``roles``: (layer, role) for each layer whose role the user chose, sorted."""

    layers: tuple[str, ...]
    roles: tuple[tuple[str, Role], ...]


def layer_profile(guesses: tuple[LayerGuess, ...], choices: dict[str, Role]) -> Profile:
    """The profile of a drawing with these layers and the user's choices for some of them; choices that
    are what was guessed anyway, or for layers it does not have, are not kept."""
    guessed = {g.name.casefold(): g.role for g in guesses}
    chosen = {name.casefold(): role for name, role in choices.items()}
    roles = tuple(sorted((n, r) for n, r in chosen.items() if n in guessed and guessed[n] != r))
    return Profile(tuple(sorted(set(guessed) - EVERYWHERE)), roles)


def alike(profile: Profile, guesses: tuple[LayerGuess, ...]) -> float:
    """Which part of the layers of both, taken together, a profile and a drawing share; 0 to 1."""
    own = {g.name.casefold() for g in guesses} - EVERYWHERE
    both = own | set(profile.layers)
    return len(own & set(profile.layers)) / len(both) if both else 0.0


def best_profile(profiles: tuple[Profile, ...], guesses: tuple[LayerGuess, ...]) -> Profile | None:
    """The profile whose drawing is most like this one, or None where none is alike enough; of two that
    are equally alike the later."""
    ranked = sorted(enumerate(profiles), key=lambda p: (alike(p[1], guesses), p[0]))
    return ranked[-1][1] if ranked and alike(ranked[-1][1], guesses) >= ALIKE else None
