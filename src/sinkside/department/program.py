"""What a machine cycle must do (`sinkside/program-1`): the validated program, never a default of ours."""

from __future__ import annotations

from enum import StrEnum
from typing import Literal

from pydantic import model_validator

from sinkside.department.claims import LumenClaim
from sinkside.department.program_checks import check, check_range
from sinkside.department.program_parts import (
    Aeration,
    AirRemovalPhase,
    Chamber,
    Cleaning,
    Disinfection,
    Drying,
    Exposure,
    Indicator,
    LeakTest,
    Probes,
    Rates,
    Ultrasonic,
)
from sinkside.documents import Value
from sinkside.quantities import Quantity, Range


class ProgramKind(StrEnum):
    """Kinds of machine cycle that can be judged."""

    steam_gravity = "steam-gravity"
    steam_prevacuum = "steam-prevacuum"
    steam_pulse = "steam-pulse"
    washer_disinfector = "washer-disinfector"
    thermal_disinfection = "thermal-disinfection"
    ultrasonic = "ultrasonic"
    drying_cabinet = "drying-cabinet"
    exposure = "exposure"
    leak_rate = "leak-rate"
    air_removal_test = "air-removal-test"

    @property
    def is_steam(self) -> bool:
        """Whether saturated steam does the work on a load."""
        return self.value.startswith("steam-")


class WasherPhaseName(StrEnum):
    """Phases of a washer-disinfector program, in order."""

    pre_rinse = "pre-rinse"
    wash = "wash"
    rinse = "rinse"
    disinfection = "disinfection"
    drying = "drying"


class WasherPhase(Value):
    """One phase of a washer program: its name, temperature range, shortest time and what is dosed."""

    name: WasherPhaseName
    temperature: Range | None = None
    time: Quantity | None = None
    chemical: str | None = None
    dose: Quantity | None = None
    water: str | None = None

    @model_validator(mode="after")
    def _kinds_fit(self) -> WasherPhase:
        check(self.time, "min", f"{self.name.value}.time")
        check_range(self.temperature, "°C", f"{self.name.value}.temperature")
        return self


#: What a machine's record may be unable to show.
Recordable = Literal["air_removal", "exposure", "drying", "saturation", "disinfection", "dosing"]

#: Criteria of a qualification, which a routine record need not meet unless the program asks.
Qualification = Literal["spread", "equilibration", "fluctuation"]

#: What a steam cycle is for: without drying only for use at once.
SteamUse = Literal["wrapped", "immediate-use", "extended"]


class Program(Value):
    """What a machine cycle must do; `lumen_claims` are the lumens that a low-temperature cycle reaches."""

    format: Literal["sinkside/program-1"] = "sinkside/program-1"
    kind: ProgramKind
    name: str
    use: SteamUse | None = None
    exposure: Exposure | None = None
    air_removal: AirRemovalPhase | None = None
    drying: Drying | None = None
    chamber: Chamber | None = None
    probes: Probes = Probes()
    rates: Rates | None = None
    phases: tuple[WasherPhase, ...] = ()
    disinfection: Disinfection | None = None
    cleaning: Cleaning | None = None
    ultrasonic: Ultrasonic | None = None
    leak: LeakTest | None = None
    aeration: Aeration | None = None
    indicator: Indicator | None = None
    lumen_claims: tuple[LumenClaim, ...] = ()
    scope: tuple[Qualification, ...] = ()
    not_recorded: tuple[Recordable, ...] = ()

    @property
    def under_steam(self) -> bool:
        """Whether a record is judged as a steam cycle: with a load, or with a test of air removal."""
        return self.kind.is_steam or self.kind is ProgramKind.air_removal_test

    @property
    def needs_pressure(self) -> bool:
        """Whether a record without an absolute pressure leaves something open."""
        asks = self.exposure is not None and self.exposure.pressure is not None
        return self.under_steam or self.kind is ProgramKind.leak_rate or asks

    @model_validator(mode="after")
    def _complete(self) -> Program:
        if self.under_steam and self.exposure is None:
            raise ValueError(f"a {self.kind.value} program needs an exposure with temperature and time")
        if self.kind is ProgramKind.steam_pulse and (
            self.air_removal is None or self.air_removal.pressure is None
        ):
            raise ValueError("a steam-pulse program needs air_removal with pulses and a pressure")
        if self.kind is ProgramKind.washer_disinfector and not self.phases:
            raise ValueError("a washer-disinfector program needs its phases")
        if self.kind is ProgramKind.leak_rate and self.leak is None:
            raise ValueError("a leak-rate program needs its leak test: vacuum, settle and time")
        if self.use in {"wrapped", "extended"} and self.drying is None:
            raise ValueError(f"a cycle for {self.use} use needs drying")
        if self.lumen_claims and self.kind is not ProgramKind.exposure:
            raise ValueError("lumen claims belong to a program of gas or vapour, whose kind is exposure")
        return self
