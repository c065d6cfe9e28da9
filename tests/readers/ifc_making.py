"""Small invented models as IFC text, so that every number in a test can be checked by hand."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

Box = tuple[float, float, float, float, float, float]
"""x0 y0 z0 x1 y1 z1, mm"""

UNITS = {
    "mm": ("IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.METRE.)", 1.0),
    "m": ("IFCSIUNIT(*,.LENGTHUNIT.,$,.METRE.)", 1000.0),
    "ft": ("", 304.8),
}


class Model:
    """Collects entities; lengths are given in mm and written in the model's unit."""

    def __init__(
        self, schema: str = "IFC4", unit: str = "mm", shift: tuple[float, float] = (0.0, 0.0), turned_deg: float = 0.0
    ) -> None:
        self.schema, self.unit, self.mm = schema, unit, UNITS[unit][1]
        self.shift = shift
        self.lines: list[str] = []
        self.names = 0
        self.inside: dict[str, list[str]] = {}
        self.axis = self.add(f"IFCAXIS2PLACEMENT3D({self.point(0, 0, 0)},$,$)")
        self.context = self.add(f"IFCGEOMETRICREPRESENTATIONCONTEXT($,'Model',3,1.E-5,{self.axis},$)")
        self.placement = self.add(f"IFCLOCALPLACEMENT($,{self._turned(turned_deg)})")
        units = self.add(
            f"IFCUNITASSIGNMENT(({self._length_unit()},{self.add('IFCSIUNIT(*,.AREAUNIT.,$,.SQUARE_METRE.)')}))"
        )
        self.project = self.add(f"IFCPROJECT('{self.guid()}',$,'Invented',$,$,$,$,({self.context}),{units})")
        self.building = self.add(f"IFCBUILDING('{self.guid()}',$,'B',$,$,{self.placement},$,$,.ELEMENT.,$,$,$)")
        self.add(f"IFCRELAGGREGATES('{self.guid()}',$,$,$,{self.project},({self.building}))")

    def _turned(self, degrees: float) -> str:
        """The placement of the site: the file's axis turned about its origin."""
        if degrees == 0.0:
            return self.axis
        turn = math.radians(degrees)
        up = self.add("IFCDIRECTION((0.,0.,1.))")
        along = self.add(f"IFCDIRECTION(({math.cos(turn)!r},{math.sin(turn)!r},0.))")
        return self.add(f"IFCAXIS2PLACEMENT3D({self.point(0, 0, 0)},{up},{along})")

    def _length_unit(self) -> str:
        if self.unit != "ft":
            return self.add(UNITS[self.unit][0])
        metre = self.add("IFCSIUNIT(*,.LENGTHUNIT.,$,.METRE.)")
        factor = self.add(f"IFCMEASUREWITHUNIT(IFCRATIOMEASURE(0.3048),{metre})")
        dims = self.add("IFCDIMENSIONALEXPONENTS(1,0,0,0,0,0,0)")
        return self.add(f"IFCCONVERSIONBASEDUNIT({dims},.LENGTHUNIT.,'FOOT',{factor})")

    def add(self, text: str) -> str:
        """Write one entity; its name."""
        self.lines.append(text)
        return f"#{len(self.lines)}"

    def guid(self) -> str:
        self.names += 1
        return f"{self.names:022d}"

    def n(self, mm: float) -> str:
        return repr(float(mm) / self.mm)

    def point(self, x: float, y: float, z: float) -> str:
        return self.add(f"IFCCARTESIANPOINT(({self.n(x)},{self.n(y)},{self.n(z)}))")

    def storey(self, name: str, z: float) -> str:
        storey = self.add(
            f"IFCBUILDINGSTOREY('{self.guid()}',$,'{name}',$,$,{self.placement},$,$,.ELEMENT.,{self.n(z)})"
        )
        self.add(f"IFCRELAGGREGATES('{self.guid()}',$,$,$,{self.building},({storey}))")
        return storey

    def extruded(self, box: Box) -> str:
        """The shape of a box as an extruded rectangle."""
        x0, y0, z0, x1, y1, z1 = box
        x0, x1 = x0 + self.shift[0], x1 + self.shift[0]
        y0, y1 = y0 + self.shift[1], y1 + self.shift[1]
        middle = self.add(f"IFCCARTESIANPOINT(({self.n((x0 + x1) / 2)},{self.n((y0 + y1) / 2)}))")
        flat = self.add(f"IFCAXIS2PLACEMENT2D({middle},$)")
        profile = self.add(f"IFCRECTANGLEPROFILEDEF(.AREA.,$,{flat},{self.n(x1 - x0)},{self.n(y1 - y0)})")
        foot = self.add(f"IFCAXIS2PLACEMENT3D({self.point(0, 0, z0)},$,$)")
        up = self.add("IFCDIRECTION((0.,0.,1.))")
        solid = self.add(f"IFCEXTRUDEDAREASOLID({profile},{foot},{up},{self.n(z1 - z0)})")
        return self._shape("SweptSolid", [solid])

    def boxes(self, boxes: Iterable[Box]) -> str:
        """The shape of several boxes as one faceted body each."""
        return self._shape("Brep", [self._brep(*box_faces(b)) for b in boxes])

    def body(self, points: Sequence[tuple[float, float, float]], faces: Sequence[Sequence[int]]) -> str:
        """The shape of a faceted body."""
        return self._shape("Brep", [self._brep(points, faces)])

    def _brep(self, points: Sequence[tuple[float, float, float]], faces: Sequence[Sequence[int]]) -> str:
        at = [self.point(x + self.shift[0], y + self.shift[1], z) for x, y, z in points]
        made = []
        for face in faces:
            loop = self.add(f"IFCPOLYLOOP(({','.join(at[k] for k in face)}))")
            bound = self.add(f"IFCFACEOUTERBOUND({loop},.T.)")
            made.append(self.add(f"IFCFACE(({bound}))"))
        shell = self.add(f"IFCCLOSEDSHELL(({','.join(made)}))")
        return self.add(f"IFCFACETEDBREP({shell})")

    def _shape(self, kind: str, items: list[str]) -> str:
        body = self.add(f"IFCSHAPEREPRESENTATION({self.context},'Body','{kind}',({','.join(items)}))")
        return self.add(f"IFCPRODUCTDEFINITIONSHAPE($,$,({body}))")

    def element(self, cls: str, name: str, shape: str, storey: str | None, rest: str = "") -> str:
        made = self.add(f"{cls}('{self.guid()}',$,'{name}',$,$,{self.placement},{shape},'{name}'{rest})")
        if storey is not None:
            self.inside.setdefault(storey, []).append(made)
        return made

    def wall(self, name: str, box: Box, storey: str | None, external: bool | None = None) -> str:
        last = ",$" if self.schema != "IFC2X3" else ""
        made = self.element("IFCWALL", name, self.extruded(box), storey, last)
        if external is not None:
            said = self.add(f"IFCPROPERTYSINGLEVALUE('IsExternal',$,IFCBOOLEAN({'.T.' if external else '.F.'}),$)")
            found = self.add(f"IFCPROPERTYSET('{self.guid()}',$,'Pset_WallCommon',$,({said}))")
            self.add(f"IFCRELDEFINESBYPROPERTIES('{self.guid()}',$,$,$,({made}),{found})")
        return made

    def hole(self, box: Box, wall: str) -> str:
        last = ",$" if self.schema != "IFC2X3" else ""
        made = self.element("IFCOPENINGELEMENT", "hole", self.extruded(box), None, last)
        self.add(f"IFCRELVOIDSELEMENT('{self.guid()}',$,$,$,{wall},{made})")
        return made

    def fill(
        self,
        hole: str | None,
        cls: str,
        name: str,
        boxes: list[Box],
        storey: str,
        size: tuple[float, float],
        operation: str = "",
    ) -> str:
        """``operation``: how a door works, said of it, or in the older schema of its type."""
        said = f".{operation}." if operation else "$"
        last = f",$,{said},$" if self.schema != "IFC2X3" else ""
        made = self.element(cls, name, self.boxes(boxes), storey, f",{self.n(size[1])},{self.n(size[0])}{last}")
        if hole is not None:
            self.add(f"IFCRELFILLSELEMENT('{self.guid()}',$,$,$,{hole},{made})")
        if operation and self.schema == "IFC2X3":
            style = self.add(f"IFCDOORSTYLE('{self.guid()}',$,$,$,$,$,$,$,{said},.NOTDEFINED.,.F.,.F.)")
            self.add(f"IFCRELDEFINESBYTYPE('{self.guid()}',$,$,$,({made}),{style})")
        return made

    def space(
        self,
        number: str,
        name: str,
        shape: str,
        storey: str | None,
        said: str = ".INTERNAL.",
        composition: str = ".ELEMENT.",
    ) -> str:
        made = self.add(
            f"IFCSPACE('{self.guid()}',$,'{number}',$,$,{self.placement},{shape},'{name}',{composition},{said},$)"
        )
        if storey is not None:
            self.add(f"IFCRELAGGREGATES('{self.guid()}',$,$,$,{storey},({made}))")
        return made

    def quantity(self, space: str, set_name: str, name: str, value_m2: float) -> None:
        last = ",$" if self.schema != "IFC2X3" else ""
        q = self.add(f"IFCQUANTITYAREA('{name}',$,$,{value_m2!r}{last})")
        found = self.add(f"IFCELEMENTQUANTITY('{self.guid()}',$,'{set_name}',$,$,({q}))")
        self.add(f"IFCRELDEFINESBYPROPERTIES('{self.guid()}',$,$,$,({space}),{found})")

    def text(self) -> str:
        """The whole file."""
        for storey, members in self.inside.items():
            self.add(f"IFCRELCONTAINEDINSPATIALSTRUCTURE('{self.guid()}',$,$,$,({','.join(members)}),{storey})")
        self.inside = {}
        data = "\n".join(f"#{k}={line};" for k, line in enumerate(self.lines, 1))
        return (
            f"ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_NAME('','',(''),(''),'','','');\n"
            f"FILE_SCHEMA(('{self.schema}'));\nENDSEC;\nDATA;\n{data}\nENDSEC;\nEND-ISO-10303-21;\n"
        )


def box_faces(box: Box) -> tuple[list[tuple[float, float, float]], list[list[int]]]:
    x0, y0, z0, x1, y1, z1 = box
    points = [(x, y, z) for z in (z0, z1) for x, y in ((x0, y0), (x1, y0), (x1, y1), (x0, y1))]
    faces = [[3, 2, 1, 0], [4, 5, 6, 7], [0, 1, 5, 4], [1, 2, 6, 5], [2, 3, 7, 6], [3, 0, 4, 7]]
    return points, faces


def roof_room(
    x0: float, x1: float, y0: float, y1: float, z: float, eaves: float, ridge: float
) -> tuple[list[tuple[float, float, float]], list[list[int]]]:
    """A room under a ridge that runs along x in the middle of its width."""
    m = (y0 + y1) / 2
    profile = [(y0, z), (y1, z), (y1, z + eaves), (m, z + ridge), (y0, z + eaves)]
    points = [(x, y, h) for x in (x0, x1) for y, h in profile]
    faces = [[4, 3, 2, 1, 0], [5, 6, 7, 8, 9]]
    faces += [[k, (k + 1) % 5, 5 + (k + 1) % 5, 5 + k] for k in range(5)]
    return points, faces


def house(
    schema: str = "IFC4",
    unit: str = "mm",
    *,
    spaces: bool = True,
    storeys: bool = True,
    shift: tuple[float, float] = (0.0, 0.0),
) -> Model:
    """Ground floor: kitchen 4000 × 4400 and hall 3300 × 4400, 2500 high, outer walls 300, a partition
    100; a window 1200 × 1200 whose frame stands 100 from the outer face and is 70 deep, a door 900
    wide between the rooms, and a front door in the hall. Upper floor at 3000: a studio and a gallery
    under one ridged roof, open to each other."""
    m = Model(schema, unit, shift)
    ground = m.storey("Ground", 0.0) if storeys else None
    upper = m.storey("Upper", 3000.0) if storeys else None
    g: str | None = ground
    walls = {
        "south": (0, 0, 0, 8000, 300, 2700),
        "north": (0, 4700, 0, 8000, 5000, 2700),
        "west": (0, 300, 0, 300, 4700, 2700),
        "east": (7700, 300, 0, 8000, 4700, 2700),
    }
    made = {name: m.wall(name, box, g, True) for name, box in walls.items()}
    partition = m.wall("partition", (4300, 300, 0, 4400, 4700, 2700), g, False)
    for name, (x0, y0, _, x1, y1, _) in walls.items():
        m.wall(f"upper {name}", (x0, y0, 3000, x1, y1, 4400), upper, True)
    window = m.hole((1000, 0, 900, 2200, 300, 2100), made["south"])
    m.fill(
        window,
        "IFCWINDOW",
        "W1",
        [
            (1000, 100, 900, 1060, 170, 2100),
            (2140, 100, 900, 2200, 170, 2100),
            (1060, 100, 900, 2140, 170, 960),
            (1060, 100, 2040, 2140, 170, 2100),
        ],
        ground or "",
        (1200, 1200),
    )
    door = m.hole((4300, 2000, 0, 4400, 2900, 2040), partition)
    m.fill(door, "IFCDOOR", "D1", [(4330, 2000, 0, 4370, 2900, 2040)], ground or "", (900, 2040))
    front = m.hole((7700, 1000, 0, 8000, 2000, 2040), made["east"])
    m.fill(front, "IFCDOOR", "D2", [(7940, 1000, 0, 8000, 2000, 2040)], ground or "", (1000, 2040))
    if spaces:
        kitchen = m.space("01", "Kitchen", m.extruded((300, 300, 20, 4300, 4700, 2520)), ground)
        m.quantity(kitchen, "Qto_SpaceBaseQuantities", "NetFloorArea", 17.6)
        m.space("02", "Hall", m.extruded((4400, 300, 20, 7700, 4700, 2520)), ground)
        m.space("11", "Studio", m.body(*roof_room(300, 4300, 300, 4700, 3000, 1200, 3400)), upper)
        m.space("12", "Gallery", m.body(*roof_room(4300, 7700, 300, 4700, 3000, 1200, 3400)), upper)
    m.inside.pop("", None)
    return m


TOWER_M2 = (17.39, 16.92, 34.57)
"""Floor areas of each storey of ``tower``."""


def tower(
    schema: str = "IFC4",
    unit: str = "mm",
    turned_deg: float = 0.0,
    storeys: int = 5,
    shift: tuple[float, float] = (0.0, 0.0),
) -> Model:
    """Storeys of 3000 without spaces. On each, walls of 300 round 10000 × 8000, a partition across with
    a door, one along its left half with a door, a column of 400 × 400 in the right half, a window to the
    left, a front door, and to the north of the right half a curtain wall of 100 whose face stands at
    7850: 4.7 × 3.7, 4.7 × 3.6 and 4.6 × 7.55 − 0.4 × 0.4 m²."""
    m = Model(schema, unit, shift, turned_deg)
    last = ",$" if schema != "IFC2X3" else ""
    for k in range(storeys):
        z = 3000.0 * k
        own = m.storey(f"Level {k}", z)
        top = z + 2700
        south = m.wall("south", (0, 0, z, 10000, 300, top), own, True)
        m.wall("north", (0, 7700, z, 5100, 8000, top), own, True)
        west = m.wall("west", (0, 300, z, 300, 7700, top), own, True)
        m.wall("east", (9700, 300, z, 10000, 8000, top), own, True)
        across = m.wall("across", (5000, 300, z, 5100, 7700, top), own, False)
        along = m.wall("along", (300, 4000, z, 5000, 4100, top), own, False)
        m.element("IFCCURTAINWALL", "curtain", m.extruded((5100, 7850, z, 9700, 7950, top)), own, last)
        m.element("IFCCOLUMN", "column", m.extruded((7000, 3000, z, 7400, 3400, top)), own, last)
        for wall, box in (
            (across, (5000, 1000, z, 5100, 1900, z + 2040)),
            (along, (2000, 4000, z, 2900, 4100, z + 2040)),
            (south, (8000, 0, z, 9000, 300, z + 2040)),
        ):
            x0, y0, z0, x1, y1, z1 = box
            m.fill(m.hole(box, wall), "IFCDOOR", "D", [(x0, y0, z0, x1, y1, z1)], own, (max(x1 - x0, y1 - y0), 2040))
        m.fill(
            m.hole((0, 5000, z + 900, 300, 6200, z + 2100), west),
            "IFCWINDOW",
            "W",
            [(100, 5000, z + 900, 170, 5060, z + 2100), (100, 6140, z + 900, 170, 6200, z + 2100)],
            own,
            (1200, 1200),
        )
    return m
