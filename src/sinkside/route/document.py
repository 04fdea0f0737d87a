"""An instruction resolved against a department (`sinkside/route-1`): what is done, with what, or why not."""

from __future__ import annotations

from enum import StrEnum
from typing import Literal

from pydantic import Field

from sinkside.department import Edit, Station
from sinkside.documents import Value
from sinkside.findings import Finding, Level
from sinkside.instruction import Action, Origin, Stage
from sinkside.quantities import Figure, Quantity


class ResourceKind(StrEnum):
    """What an operation can be bound to."""

    program = "program"
    rack = "rack"
    water = "water"
    chemical = "chemical"
    brush = "brush"
    lubricant = "lubricant"
    air = "air"
    tool = "tool"
    packaging = "packaging"


class Binding(Value):
    """One thing of the department that an operation uses: `id` is the department's own."""

    kind: ResourceKind
    id: str
    name: str
    program: str | None = None


class ChosenFigure(Value):
    """A figure of the instruction (what it must lie in), and the figure that will be used."""

    required: Figure
    use: Quantity | None = None


class Operation(Value):
    """One thing done on the route: the steps it carries out, bound to things of the department."""

    letter: str
    stage: Stage
    station: Station
    steps: tuple[str, ...]
    action: Action
    on: tuple[str, ...] = ()
    bindings: tuple[Binding, ...] = ()
    figures: tuple[ChosenFigure, ...] = ()
    positions: dict[str, str] = Field(default={})
    until: str | None = None
    condition: str | None = None
    cautions: tuple[str, ...] = ()
    why: str = ""
    origin: Origin = Origin()


class Change(Value):
    """A change that would remove a conflict, in one sentence; `size` orders changes, smallest first.

    `edit` is the change of the department itself, given only where it has been tried and does what it says.
    """

    sentence: str
    resolves: tuple[str, ...]
    size: int
    edit: Edit | None = None


class RoutedDevice(Value):
    """Which text was resolved: device, maker, document and revision, and the digest of the instruction."""

    name: str
    maker: str = ""
    title: str = ""
    revision: str = ""
    digest: str = ""


class Load(Value):
    """Members of a set that one program of a machine serves, and where; sterilizing unless said."""

    members: tuple[str, ...]
    machine: str = ""
    program: str = ""
    station: Station = Station.sterilizer


class Route(Value):
    """An ordered list of operations, or why there is none and the smallest changes that would do.

    `changes` are all that would help, smallest first. Those of `smallest_repair` together give a route;
    none of less total size do.
    """

    format: Literal["sinkside/route-1"] = "sinkside/route-1"
    device: RoutedDevice
    department: str
    profile: str = "eu"
    resolved: bool
    operations: tuple[Operation, ...] = ()
    conflicts: tuple[Finding, ...] = ()
    changes: tuple[Change, ...] = ()
    smallest_repair: tuple[Change, ...] = ()
    findings: tuple[Finding, ...] = ()

    @property
    def stops(self) -> tuple[Finding, ...]:
        """What stops the device in this department: counted so on screen, on paper and on the terminal."""
        return tuple(one for one in (*self.conflicts, *self.findings) if one.level is Level.stop)


class SetRoute(Value):
    """The routes of a set's members with the one cycle that serves them all, or how the set must be split.

    `loads` are the sterilizing ones, `earlier_loads` those in baths, washers and cabinets before.
    """

    format: Literal["sinkside/set-route-1"] = "sinkside/set-route-1"
    name: str
    department: str
    resolved: bool
    routes: tuple[Route, ...] = ()
    loads: tuple[Load, ...] = ()
    earlier_loads: tuple[Load, ...] = ()
    conflicts: tuple[Finding, ...] = ()
    changes: tuple[Change, ...] = ()
    findings: tuple[Finding, ...] = ()
