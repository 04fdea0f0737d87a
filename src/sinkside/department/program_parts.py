"""The parts of a program: what exposure, air removal, drying and the rest must come to."""

from __future__ import annotations

from pydantic import Field, model_validator

from sinkside.department.program_checks import (
    WIDEST_BAND_K,
    WIDEST_TOLERANCE_K,
    check,
    check_range,
    check_vacuum,
)
from sinkside.documents import Value
from sinkside.quantities import Quantity, Range


class Exposure(Value):
    """The plateau: set temperature, how far above it counts as in band, and for how long.

    A gas or vapour may ask for its concentration, pressure and humidity too; a test sheet is spoilt by more
    than the longest time; `air` is the most air that may be left, as a partial pressure; `come_up` the
    longest heating.
    """

    temperature: Quantity
    band: Quantity = Quantity(3.0, "K")
    time: Quantity
    longest: Quantity | None = None
    concentration: Range | None = None
    pressure: Range | None = None
    humidity: Range | None = None
    air: Quantity | None = None
    come_up: Quantity | None = None

    @model_validator(mode="after")
    def _kinds_fit(self) -> Exposure:
        check(self.temperature, "°C", "exposure.temperature")
        check(self.band, "K", "exposure.band")
        if self.band.to("K") > WIDEST_BAND_K:
            raise ValueError(f"exposure.band is '{self.band}'; expected at most {WIDEST_BAND_K:g} K")
        check(self.time, "min", "exposure.time")
        check(self.longest, "min", "exposure.longest")
        if self.longest and self.longest.to("s") < self.time.to("s"):
            raise ValueError(f"exposure.longest is '{self.longest}'; expected no less than '{self.time}'")
        check_range(self.concentration, "mg/L", "exposure.concentration")
        check_range(self.humidity, "%", "exposure.humidity")
        check(self.air, "kPa", "exposure.air")
        check(self.come_up, "s", "exposure.come_up")
        return self


class AirRemovalPhase(Value):
    """Pulses before exposure: how many, and how deep (`vacuum`) or how high (`pressure`), absolute.

    `left` is the most air that ideal mixing may leave after them, as a share of what was there.
    """

    pulses: int = Field(ge=1, le=50, strict=True)
    vacuum: Quantity | None = None
    pressure: Quantity | None = None
    left: Quantity | None = None

    @model_validator(mode="after")
    def _kinds_fit(self) -> AirRemovalPhase:
        check_vacuum(self.vacuum, "air_removal.vacuum")
        check(self.pressure, "kPa", "air_removal.pressure")
        check(self.left, "%", "air_removal.left")
        if self.vacuum is None and self.pressure is None:
            raise ValueError("air_removal needs a vacuum or a pressure")
        return self


class Drying(Value):
    """Drying after exposure: for how long, and below which absolute pressure."""

    time: Quantity
    vacuum: Quantity = Quantity(10.0, "kPa")

    @model_validator(mode="after")
    def _kinds_fit(self) -> Drying:
        check(self.time, "min", "drying.time")
        check_vacuum(self.vacuum, "drying.vacuum")
        return self


class Chamber(Value):
    """The chamber, and the most that a load may weigh."""

    volume: Quantity | None = None
    load: Quantity | None = None

    @model_validator(mode="after")
    def _kinds_fit(self) -> Chamber:
        check(self.volume, "L", "chamber.volume")
        check(self.load, "kg", "chamber.load")
        return self


class Probes(Value):
    """Where the program asks for it: how far apart probes may read, and how exact they are.

    `equilibration` is the longest time from the first probe's entry into the band to the last one's,
    `fluctuation` how far a probe may wander about its mean, `drain` how far the drain may be below the rest.
    """

    spread: Quantity | None = None
    tolerance: Quantity = Quantity(0.5, "K")
    equilibration: Quantity | None = None
    fluctuation: Quantity | None = None
    drain: Quantity | None = None

    @model_validator(mode="after")
    def _kinds_fit(self) -> Probes:
        check(self.spread, "K", "probes.spread")
        check(self.tolerance, "K", "probes.tolerance", any_sign=True)
        if not 0 <= self.tolerance.to("K") <= WIDEST_TOLERANCE_K:
            raise ValueError(f"probes.tolerance is '{self.tolerance}'; expected 0 to 10 K")
        check(self.equilibration, "s", "probes.equilibration")
        check(self.fluctuation, "K", "probes.fluctuation")
        check(self.drain, "K", "probes.drain")
        return self


class Rates(Value):
    """How fast the pressure may rise and fall: packages and filters bear no more."""

    rise: Quantity | None = None
    fall: Quantity | None = None

    @model_validator(mode="after")
    def _kinds_fit(self) -> Rates:
        check(self.rise, "kPa/min", "rates.rise")
        check(self.fall, "kPa/min", "rates.fall")
        return self


class Disinfection(Value):
    """The thermal dose that a washer, or a bath, must deliver, in seconds at 80 °C."""

    a0: float = Field(gt=0)


class Cleaning(Value):
    """What of a washer's cleaning its record must show, where it is recorded at all.

    Spray arms turn (per minute), the pump presses (above the atmosphere), so many ports are connected, and
    the last water conducts no more than this.
    """

    spray_arm: Range | None = None
    pump_pressure: Range | None = None
    ports: int | None = Field(default=None, ge=1)
    conductivity: Range | None = None

    @model_validator(mode="after")
    def _kinds_fit(self) -> Cleaning:
        check_range(self.spray_arm, "1/min", "cleaning.spray_arm")
        check_range(self.pump_pressure, "kPa", "cleaning.pump_pressure")
        check_range(self.conductivity, "µS/cm", "cleaning.conductivity")
        return self


class Ultrasonic(Value):
    """An ultrasonic bath's program: what its log must show, and how long it runs empty first."""

    frequency: Quantity | None = None
    temperature: Range | None = None
    time: Quantity | None = None
    power: Range | None = None
    fill: Range | None = None
    degas: Quantity | None = None

    @model_validator(mode="after")
    def _kinds_fit(self) -> Ultrasonic:
        check_range(self.power, "W", "ultrasonic.power")
        check(self.degas, "min", "ultrasonic.degas")
        return self


class LeakTest(Value):
    """A vacuum leak test: evacuated below `vacuum`, left to settle, then measured for `time`.

    The rate is the published one of the profile unless the program states its own.
    """

    vacuum: Quantity
    settle: Quantity
    time: Quantity
    rate: Quantity | None = None

    @model_validator(mode="after")
    def _kinds_fit(self) -> LeakTest:
        check_vacuum(self.vacuum, "leak.vacuum")
        check(self.settle, "min", "leak.settle")
        check(self.time, "min", "leak.time")
        check(self.rate, "mbar/min", "leak.rate")
        return self


class Aeration(Value):
    """Driving the gas out again after exposure: for how long, and how warm."""

    time: Quantity
    temperature: Range | None = None

    @model_validator(mode="after")
    def _kinds_fit(self) -> Aeration:
        check(self.time, "h", "aeration.time")
        check_range(self.temperature, "°C", "aeration.temperature")
        return self


class Indicator(Value):
    """A biological indicator: how many spores, and how long a tenth of them survive at a temperature."""

    population: float = Field(gt=1)
    d_value: Quantity
    reference: Quantity = Quantity(121.0, "°C")
    z: Quantity = Quantity(10.0, "K")

    @model_validator(mode="after")
    def _kinds_fit(self) -> Indicator:
        check(self.d_value, "min", "indicator.d_value")
        check(self.reference, "°C", "indicator.reference")
        check(self.z, "K", "indicator.z")
        return self
