"""Acts on loads: each names the machine, as one load is built for a machine at a time."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from sinkside.documents import Value

Thing = Annotated[str, Field(min_length=1, max_length=120)]
Scanned = Annotated[str, Field(min_length=1, max_length=120)]
Told = Annotated[str, Field(max_length=500)]


class ActOnMachine(Value):
    """An act on the load that is built for a machine, or is in it."""

    machine: Thing


class OpenLoad(ActOnMachine):
    """Begin a load: for which program, on which rack."""

    act: Literal["open-load"] = "open-load"
    program: Thing
    rack: Annotated[str, Field(max_length=120)] = ""


class AddToLoad(ActOnMachine):
    """Add a scanned set or instrument; `without` are members that were taken out of it before."""

    act: Literal["add-to-load"] = "add-to-load"
    code: Scanned
    without: Annotated[tuple[Thing, ...], Field(max_length=50)] = ()


class TakeOutOfLoad(ActOnMachine):
    """Take a set or instrument out of a load that has not begun."""

    act: Literal["take-out-of-load"] = "take-out-of-load"
    code: Scanned


class MarkImplant(ActOnMachine):
    """Say that an implant lies in the load, and which."""

    act: Literal["mark-implant"] = "mark-implant"
    words: Annotated[str, Field(min_length=1, max_length=500)]


class StartLoad(ActOnMachine):
    """Start the machine with its load."""

    act: Literal["start-load"] = "start-load"


class EndLoad(ActOnMachine):
    """Take the load out of the machine; `complete` says that the machine ran to its end without a fault."""

    act: Literal["end-load"] = "end-load"
    complete: bool
    note: Told = ""


class WetPack(Value):
    """A pack is wet, inside or outside."""

    act: Literal["wet-pack"] = "wet-pack"
    code: Scanned
    where: Literal["inside", "outside"]
    note: Told = ""


class SoilFound(Value):
    """Soil was found at assembly: on which member, and where."""

    act: Literal["soil-found"] = "soil-found"
    code: Scanned
    where: Annotated[str, Field(min_length=1, max_length=200)]
    note: Told = ""


class LookedAgain(Value):
    """A set of a load in which soil was found was looked at again."""

    act: Literal["looked-again"] = "looked-again"
    code: Scanned
    clean: bool
    note: Told = ""


OfLoads = (
    OpenLoad
    | AddToLoad
    | TakeOutOfLoad
    | MarkImplant
    | StartLoad
    | EndLoad
    | WetPack
    | SoilFound
    | LookedAgain
)
