"""What a department really has (`sinkside/department-1`): machines, water, chemistry, brushes, people."""

from __future__ import annotations

from enum import StrEnum
from typing import Literal

from pydantic import Field, model_validator

from sinkside.department.packaging import Packaging
from sinkside.department.people import DeviceFamily, Opening, Shift, Staff, Weekday
from sinkside.department.policies import Matter, Policy
from sinkside.department.program import Program
from sinkside.documents import Value
from sinkside.quantities import Quantity, Range


class MachineKind(StrEnum):
    """Kinds of machine."""

    washer_disinfector = "washer-disinfector"
    ultrasonic_bath = "ultrasonic-bath"
    steam_sterilizer = "steam-sterilizer"
    gas_sterilizer = "gas-sterilizer"
    drying_cabinet = "drying-cabinet"
    heat_sealer = "heat-sealer"
    incubator = "incubator"


class Rack(Value):
    """A rack and how many lumens it can be connected to."""

    id: str
    name: str
    lumen_connections: int = 0
    fits: tuple[str, ...] = ()


class Machine(Value):
    """A machine with its validated programs."""

    id: str
    name: str
    kind: MachineKind
    programs: tuple[Program, ...] = ()
    racks: tuple[Rack, ...] = ()


class WaterGrade(StrEnum):
    """Grades of water; `critical` includes demineralised water that meets the limits in force."""

    tap = "tap"
    utility = "utility"
    demineralised = "demineralised"
    critical = "critical"
    sterile = "sterile"


class WaterPoint(Value):
    """Where water is drawn, with its last test results."""

    id: str
    name: str
    grade: WaterGrade
    temperature: Range | None = None
    chloride: Quantity | None = None
    hardness: Quantity | None = None
    conductivity: Quantity | None = None
    tested: str | None = None


class ChemicalKind(StrEnum):
    """What a chemical is for."""

    neutral = "neutral-detergent"
    enzymatic = "enzymatic-detergent"
    mildly_alkaline = "mildly-alkaline-detergent"
    alkaline = "alkaline-detergent"
    pretreatment = "pre-treatment"
    neutralizer = "neutralizer"
    rinse_aid = "rinse-aid"
    disinfectant = "disinfectant"


class Chemical(Value):
    """A chemical as the department uses it; `use_within` is how long it may be used once it is made up."""

    id: str
    name: str
    kinds: tuple[ChemicalKind, ...]
    ph: Range | None = None
    dose: Range | None = None
    temperature: Range | None = None
    contact_time: Quantity | None = None
    use_within: Quantity | None = None
    chloride: Quantity | None = None
    excludes: tuple[str, ...] = ()


class Brush(Value):
    """A brush: its bristle diameter, length and kind."""

    id: str
    name: str
    diameter: Quantity | None = None
    length: Quantity | None = None
    bristle: str = "nylon"


class Lubricant(Value):
    """A lubricant for instruments."""

    id: str
    name: str
    base: Literal["water-soluble", "white-oil", "silicone"]
    steam_permeable: bool


class Air(Value):
    """An air line for drying."""

    id: str
    name: str
    grade: Literal["instrument", "medical"]
    pressure: Range


class Tool(Value):
    """A lens, light, syringe, adaptor, tester or borescope; how wide and long it is, if it enters lumens."""

    id: str
    name: str
    kind: Literal[
        "lens", "light", "syringe", "adaptor", "insulation-tester", "borescope", "cloth", "sponge", "scale"
    ]
    range: Range | None = None
    diameter: Quantity | None = None
    length: Quantity | None = None
    fits: tuple[str, ...] = ()


class RoomKind(StrEnum):
    """Kinds of room, by what is done in them."""

    cleaning = "cleaning"
    packing = "packing"
    store = "store"


class Room(Value):
    """A room whose air is watched, and whether an eyewash is in it."""

    id: str
    name: str
    kind: RoomKind
    eyewash: bool = False


class LimitOverride(Value):
    """A published limit that the department replaces by its own, with the reason."""

    limit: str
    value: Quantity
    reason: str


class Department(Value):
    """What a site has; `closed` are the days on which nobody works there and no check falls due.

    `staff` are heads on shifts with what they can do; names of people have no place here.
    """

    format: Literal["sinkside/department-1"] = "sinkside/department-1"
    name: str
    hospital: str = ""
    profile: Literal["us", "eu", "uk"] = "eu"
    altitude: Quantity = Quantity(0.0, "m")
    zone: str = "UTC"
    closed: tuple[Weekday, ...] = Field(default=(), max_length=6)
    machines: tuple[Machine, ...] = ()
    water: tuple[WaterPoint, ...] = ()
    chemicals: tuple[Chemical, ...] = ()
    brushes: tuple[Brush, ...] = ()
    lubricants: tuple[Lubricant, ...] = ()
    air: tuple[Air, ...] = ()
    tools: tuple[Tool, ...] = ()
    packaging: tuple[Packaging, ...] = ()
    rooms: tuple[Room, ...] = ()
    hours: tuple[Opening, ...] = ()
    shifts: tuple[Shift, ...] = ()
    families: tuple[DeviceFamily, ...] = ()
    staff: tuple[Staff, ...] = ()
    policies: tuple[Policy, ...] = ()
    overrides: tuple[LimitOverride, ...] = ()

    @model_validator(mode="after")
    def _ids_are_unique(self) -> Department:
        ids = [
            thing.id
            for things in (
                self.machines,
                self.water,
                self.chemicals,
                self.brushes,
                self.lubricants,
                self.air,
                self.tools,
                self.packaging,
                self.rooms,
                self.shifts,
                self.families,
                self.staff,
            )
            for thing in things
        ]
        doubled = sorted({name for name in ids if ids.count(name) > 1})
        if doubled:
            raise ValueError(f"ids stand twice: {', '.join(doubled)}")
        return self

    @model_validator(mode="after")
    def _a_matter_is_settled_once(self) -> Department:
        matters = [policy.matter.value for policy in self.policies]
        doubled = sorted({matter for matter in matters if matters.count(matter) > 1})
        if doubled:
            raise ValueError(f"policies stand twice: {', '.join(doubled)}")
        return self

    def level_of(self, matter: Matter) -> str | None:
        """How heavily a matter weighs here; none where the department settled nothing."""
        return next((policy.level for policy in self.policies if policy.matter is matter), None)
