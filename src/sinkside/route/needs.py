"""What a step needs of a department, figure by figure: the questions that candidates answer."""

from __future__ import annotations

from dataclasses import dataclass

from sinkside.department import BARRIERS, ChemicalKind, PackagingKind, Station, WasherPhaseName, WaterGrade
from sinkside.instruction import Action, AirRemoval, FeatureKind, Stage, Step
from sinkside.route.lumens import Lumen
from sinkside.route.phrases import Words
from sinkside.route.windows import Window
from sinkside.route.words import LubricantBase, ToolKind


@dataclass(frozen=True, slots=True, eq=False)
class Need:
    """The steps that need something, and what, in words; each need is decided once and is its own key."""

    steps: tuple[Step, ...]
    wanted: Words


@dataclass(frozen=True, slots=True, eq=False)
class SteamNeed(Need):
    """A steam cycle as the instruction names it; `unsaid` is what it leaves open that a cycle must name."""

    air_removal: AirRemoval | None
    temperature: Window | None
    exposure: Window | None
    drying: Window | None
    pulses: Window | None
    band: Window | None
    ceiling: Window | None
    unsaid: tuple[str, ...] = ()
    forbidden: str = ""
    immediate_use: bool = False
    for_prions: bool = False
    condition: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class GasNeed(Need):
    """A cycle of gas or vapour as the instruction names it, and the lumens that it must reach."""

    agent: str
    temperature: Window | None
    exposure: Window | None
    lumens: tuple[Lumen, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class PhaseNeed:
    """What one phase of a washer program must do."""

    step: Step
    name: WasherPhaseName
    temperature: Window | None
    time: Window | None
    a0: float | None
    chemistry: tuple[tuple[ChemicalKind, ...], ...]
    ph: tuple[Window, ...]
    dose: Window | None
    water: WaterGrade | None


@dataclass(frozen=True, slots=True, eq=False)
class WasherNeed(Need):
    """One washer program that does a whole block of steps, and a rack that connects its lumens."""

    phases: tuple[PhaseNeed, ...]
    connections: int
    loads: bool
    ph: tuple[Window, ...]
    chloride: Window | None
    materials: frozenset[str]


@dataclass(frozen=True, slots=True, eq=False)
class BathNeed(Need):
    """An ultrasonic bath, with a rack that connects lumens where the text asks for it."""

    frequency: Window | None
    temperature: Window | None
    time: Window | None
    forbidden: str = ""
    connections: int = 0


@dataclass(frozen=True, slots=True, eq=False)
class CabinetNeed(Need):
    """A drying cabinet."""

    temperature: Window | None
    time: Window | None


@dataclass(frozen=True, slots=True, eq=False)
class WaterNeed(Need):
    """Water of a grade or better, at a temperature, with no more chloride than the device bears."""

    grade: WaterGrade
    temperature: Window | None
    chloride: Window | None


@dataclass(frozen=True, slots=True, eq=False)
class ChemicalNeed(Need):
    """One solution, wherever in the instruction it is used."""

    chemistry: tuple[tuple[ChemicalKind, ...], ...]
    ph: tuple[Window, ...]
    own_ph: tuple[Window, ...]
    dose: Window | None
    temperatures: tuple[Window, ...]
    contact: Window | None
    chloride: Window | None
    materials: frozenset[str]


@dataclass(frozen=True, slots=True, eq=False)
class BrushNeed(Need):
    """A brush; without diameter any brush for surfaces. Lengths in mm."""

    diameter: Window | None
    bore_mm: float | None
    shortest_mm: float | None
    stated_length: Window | None


@dataclass(frozen=True, slots=True, eq=False)
class LubricantNeed(Need):
    """A lubricant of one of these bases."""

    bases: tuple[LubricantBase, ...]
    steam_permeable: bool


@dataclass(frozen=True, slots=True, eq=False)
class AirNeed(Need):
    """Compressed air for drying."""

    medical: bool
    pressure: Window | None


@dataclass(frozen=True, slots=True, eq=False)
class ToolNeed(Need):
    """A lens, tester, syringe and the like, that reaches a figure if one is stated.

    What is put into a lumen must be narrower than `bore_mm` and as long as `through_mm`; what `said` names,
    such as a fitting, is preferred.
    """

    kind: ToolKind
    reach: Window | None
    bore_mm: float | None = None
    through_mm: float | None = None
    said: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class PackagingNeed(Need):
    """A sterile barrier of one of the named kinds; or a tray, mat or tip protector that lies in it."""

    kinds: tuple[PackagingKind, ...]
    mass_kg: float | None
    names_kind: bool
    lumens: tuple[Lumen, ...] = ()

    @property
    def lies_inside(self) -> bool:
        """Whether it lies in the sterile barrier and is none itself."""
        return bool(self.kinds) and self.kinds[0] not in BARRIERS


@dataclass(frozen=True, slots=True, eq=False)
class SkillNeed(Need):
    """Somebody who can work at a station with a device of these features and this name."""

    station: Station
    features: frozenset[FeatureKind]
    device: str


@dataclass(frozen=True, slots=True, eq=False)
class Task:
    """Steps that are done as one operation, and what they need."""

    stage: Stage
    action: Action
    steps: tuple[Step, ...]
    needs: tuple[Need, ...]

    @property
    def head(self) -> Step:
        """The step that the operation is named after."""
        return next((step for step in self.steps if step.action is self.action), self.steps[0])


@dataclass(frozen=True, slots=True, eq=False)
class Choice:
    """Ways that the instruction leaves open, one of which is taken; most often there is one."""

    options: tuple[tuple[Task, ...], ...]
