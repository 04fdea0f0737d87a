"""What a machine cycle must do (`sinkside/program-1`): the validated program, never a default of ours."""

from __future__ import annotations

from enum import StrEnum
from typing import Literal

from pydantic import Field, model_validator

from sinkside.documents import Value
from sinkside.errors import BadQuantity
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

    @property
    def is_steam(self) -> bool:
        """Whether saturated steam does the work."""
        return self.value.startswith("steam-")


class WasherPhaseName(StrEnum):
    """Phases of a washer-disinfector program, in order."""

    pre_rinse = "pre-rinse"
    wash = "wash"
    rinse = "rinse"
    disinfection = "disinfection"
    drying = "drying"


#: Beyond one z of the lethal rate a reading bears no dose at all.
_WIDEST_TOLERANCE_K = 10.0


#: ISO 2533 standard atmosphere at sea level.
STANDARD_ATMOSPHERE_KPA = 101.325

#: No validated band comes near this; a wider one is a slip of the pen. Our own, no standard's.
WIDEST_BAND_K = 10.0


def _check(quantity: Quantity | None, unit: str, name: str, *, any_sign: bool = False) -> None:
    """Refuse a quantity of the wrong kind or sign where it was written, not where it is first used."""
    if quantity is not None:
        try:
            value = quantity.to(unit)
        except BadQuantity as error:
            raise ValueError(f"{name} is '{quantity}'; expected a quantity such as '1 {unit}'") from error
        if value <= 0 and not any_sign:
            # A time of nothing is met by every cycle.
            raise ValueError(f"{name} is '{quantity}'; expected more than nothing")


def _check_vacuum(quantity: Quantity | None, name: str) -> None:
    """Refuse a vacuum that is none: every cycle, and every open door, would reach it."""
    _check(quantity, "kPa", name)
    if quantity is not None and quantity.to("kPa") >= STANDARD_ATMOSPHERE_KPA:
        raise ValueError(f"{name} is '{quantity}'; expected an absolute pressure below the atmosphere")


class Exposure(Value):
    """The plateau: set temperature, how far above it counts as in band, and for how long."""

    temperature: Quantity
    band: Quantity = Quantity(3.0, "K")
    time: Quantity
    concentration: Range | None = None
    pressure: Range | None = None

    @model_validator(mode="after")
    def _kinds_fit(self) -> Exposure:
        _check(self.temperature, "°C", "exposure.temperature")
        _check(self.band, "K", "exposure.band")
        if self.band.to("K") > WIDEST_BAND_K:
            raise ValueError(f"exposure.band is '{self.band}'; expected at most {WIDEST_BAND_K:g} K")
        _check(self.time, "min", "exposure.time")
        return self


class AirRemovalPhase(Value):
    """Pulses before exposure: how many, and how deep (`vacuum`) or how high (`pressure`), absolute."""

    pulses: int = Field(ge=1, le=50, strict=True)
    vacuum: Quantity | None = None
    pressure: Quantity | None = None

    @model_validator(mode="after")
    def _kinds_fit(self) -> AirRemovalPhase:
        _check_vacuum(self.vacuum, "air_removal.vacuum")
        _check(self.pressure, "kPa", "air_removal.pressure")
        if self.vacuum is None and self.pressure is None:
            raise ValueError("air_removal needs a vacuum or a pressure")
        return self


class Drying(Value):
    """Drying after exposure: for how long, and below which absolute pressure."""

    time: Quantity
    vacuum: Quantity = Quantity(10.0, "kPa")

    @model_validator(mode="after")
    def _kinds_fit(self) -> Drying:
        _check(self.time, "min", "drying.time")
        _check_vacuum(self.vacuum, "drying.vacuum")
        return self


class Chamber(Value):
    """The chamber, and the most that a load may weigh."""

    volume: Quantity | None = None
    load: Quantity | None = None

    @model_validator(mode="after")
    def _kinds_fit(self) -> Chamber:
        _check(self.volume, "L", "chamber.volume")
        _check(self.load, "kg", "chamber.load")
        return self


class Probes(Value):
    """Where the program asks for it: how far apart probes may read, and how exact they are."""

    spread: Quantity | None = None
    tolerance: Quantity = Quantity(0.5, "K")

    @model_validator(mode="after")
    def _kinds_fit(self) -> Probes:
        _check(self.spread, "K", "probes.spread")
        _check(self.tolerance, "K", "probes.tolerance", any_sign=True)
        if not 0 <= self.tolerance.to("K") <= _WIDEST_TOLERANCE_K:
            raise ValueError(f"probes.tolerance is '{self.tolerance}'; expected 0 to 10 K")
        return self


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
        _check(self.time, "min", f"{self.name.value}.time")
        if self.temperature:
            _check(self.temperature.min, "°C", f"{self.name.value}.temperature.min", any_sign=True)
            _check(self.temperature.max, "°C", f"{self.name.value}.temperature.max", any_sign=True)
        return self


class Disinfection(Value):
    """The thermal dose that a washer must deliver, in seconds at 80 °C."""

    a0: float = Field(gt=0)


class Ultrasonic(Value):
    """An ultrasonic bath's program."""

    frequency: Quantity | None = None
    temperature: Range | None = None
    time: Quantity | None = None


#: What a machine's record may be unable to show.
Recordable = Literal["air_removal", "exposure", "drying", "saturation", "disinfection", "dosing"]


class Program(Value):
    """What a machine cycle must do."""

    format: Literal["sinkside/program-1"] = "sinkside/program-1"
    kind: ProgramKind
    name: str
    exposure: Exposure | None = None
    air_removal: AirRemovalPhase | None = None
    drying: Drying | None = None
    chamber: Chamber | None = None
    probes: Probes = Probes()
    phases: tuple[WasherPhase, ...] = ()
    disinfection: Disinfection | None = None
    ultrasonic: Ultrasonic | None = None
    not_recorded: tuple[Recordable, ...] = ()

    @model_validator(mode="after")
    def _complete(self) -> Program:
        if self.kind.is_steam and self.exposure is None:
            raise ValueError(f"a {self.kind.value} program needs an exposure with temperature and time")
        if self.kind is ProgramKind.steam_pulse and (
            self.air_removal is None or self.air_removal.pressure is None
        ):
            raise ValueError("a steam-pulse program needs air_removal with pulses and a pressure")
        if self.kind is ProgramKind.washer_disinfector and not self.phases:
            raise ValueError("a washer-disinfector program needs its phases")
        return self
