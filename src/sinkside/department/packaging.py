"""Packaging as devices with instructions of their own: what they carry, which cycles they are made for."""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from typing import Final, Literal

from pydantic import Field, ValidationInfo, field_validator

from sinkside.department.program_checks import check, check_range
from sinkside.documents import Value
from sinkside.quantities import Quantity, Range


class SterilizingMethod(StrEnum):
    """By what a load is sterilized, as the standards name it."""

    steam = "steam"
    ethylene_oxide = "ethylene-oxide"
    steam_formaldehyde = "steam-formaldehyde"
    hydrogen_peroxide = "hydrogen-peroxide"
    peracetic_acid = "peracetic-acid"
    ozone = "ozone"


#: How steam gets the air out, as a program's kind says it.
AirRemovalWay = Literal["prevacuum", "gravity", "pulse"]

PackagingKind = Literal[
    "wrap", "pouch", "container", "tray", "mat", "tip-protector", "bar", "comb", "pin", "basket"
]

#: What keeps a load sterile; everything else lies inside.
BARRIERS: Final[frozenset[PackagingKind]] = frozenset({"wrap", "pouch", "container"})


class Packaging(Value):
    """A wrap, pouch or container, or a tray or holder in it, as its own instruction says.

    Attributes:
        mass: the most that it may carry.
        methods: what it is made for; steam unless told.
        air_removal: of steam, the ways of air removal that it is made for; none where it is not for steam.
        temperature: at which it may be sterilized.
        narrowest_lumen: of devices in it, the narrowest bore that is reached.
        longest_lumen: and the longest lumen.
        inner_length: of a container, tray or closed basket, from left to right inside.
        inner_width: and from back to front.
        inner_height: and from floor to rim.
        instruction: what its own instruction is called.
        revision: and which revision of it is on file.
        dated: and of which day that is.
    """

    id: str
    name: str
    kind: PackagingKind
    mass: Quantity | None = None
    methods: tuple[SterilizingMethod, ...] = (SterilizingMethod.steam,)
    air_removal: tuple[AirRemovalWay, ...] = Field(
        default=("prevacuum", "gravity", "pulse"), validate_default=True
    )
    temperature: Range | None = None
    narrowest_lumen: Quantity | None = None
    longest_lumen: Quantity | None = None
    inner_length: Quantity | None = None
    inner_width: Quantity | None = None
    inner_height: Quantity | None = None
    instruction: str = ""
    revision: str = ""
    dated: date | None = None

    @field_validator("air_removal")
    @classmethod
    def _is_of_steam(cls, ways: tuple[AirRemovalWay, ...], info: ValidationInfo) -> tuple[AirRemovalWay, ...]:
        return ways if SterilizingMethod.steam in info.data.get("methods", ()) else ()

    @field_validator(
        "mass", "narrowest_lumen", "longest_lumen", "inner_length", "inner_width", "inner_height"
    )
    @classmethod
    def _is_of_its_kind(cls, size: Quantity | None, info: ValidationInfo) -> Quantity | None:
        name = str(info.field_name)
        check(size, "kg" if name == "mass" else "mm", name)
        return size

    @field_validator("dated", mode="before")
    @classmethod
    def _is_a_day(cls, day: object) -> object:
        if isinstance(day, str):
            try:
                return date.fromisoformat(day)
            except ValueError:
                raise ValueError(f"'{day}'; expected a day such as '2026-03-01'") from None
        return day

    @field_validator("temperature")
    @classmethod
    def _is_a_temperature(cls, found: Range | None) -> Range | None:
        check_range(found, "°C", "temperature")
        return found
