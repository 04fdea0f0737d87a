"""What a person says of a thing or program that the department now has, field by field.

The instruction's own figures stand in the fields to begin with; what really came may differ, and what the
instruction leaves open is asked for.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal

from pydantic import BaseModel

from sinkside.department import Edit, Program, Provided, ValidatedProgram
from sinkside.documents import to_values, validate
from sinkside.errors import BadDocument, BadInput, BadQuantity, Fault
from sinkside.quantities import Quantity, Range

FieldKind = Literal["text", "yes-no", "cycles"]

#: The cycles that packaging may be made for.
CYCLES: Final[Mapping[str, str]] = {
    "prevacuum": "Steam, prevacuum",
    "gravity": "Steam, gravity",
    "pulse": "Steam, pulses above atmosphere",
    "ethylene-oxide": "Ethylene oxide",
    "steam-formaldehyde": "Steam and formaldehyde",
    "hydrogen-peroxide": "Hydrogen peroxide",
    "peracetic-acid": "Peracetic acid",
    "ozone": "Ozone",
}
_STEAM_WAYS: Final = frozenset({"prevacuum", "gravity", "pulse"})


@dataclass(frozen=True)
class SaidField:
    """One field: its name, what it asks, how it is answered, and what stands in it to begin with."""

    name: str
    label: str
    kind: FieldKind = "text"
    value: str = ""
    required: bool = False
    hint: str = ""


@dataclass(frozen=True)
class _Kind:
    """What is asked of one kind of thing, and the unit in which a bare number is read."""

    noun: str
    quantities: Mapping[str, str]
    labels: Mapping[str, str]
    required: frozenset[str] = frozenset()


_KINDS: Final[Mapping[str, _Kind]] = {
    "brush": _Kind(
        "brush",
        {"diameter": "mm", "length": "mm"},
        {"diameter": "Across the bristles", "length": "From end to end"},
    ),
    "lubricant": _Kind("lubricant", {}, {}),
    "air": _Kind("air line", {"pressure_max": "bar"}, {"pressure_max": "Pressure, at most"}),
    "tool": _Kind(
        "tool",
        {"range_min": "1", "range_max": "1", "diameter": "mm", "length": "mm"},
        {
            "range_min": "Reaches from",
            "range_max": "to",
            "diameter": "Outer diameter, if it enters a lumen",
            "length": "Working length, if it enters a lumen",
        },
    ),
    "packaging": _Kind(
        "packaging",
        {
            "mass": "kg",
            "narrowest_lumen": "mm",
            "longest_lumen": "mm",
            "inner_length": "mm",
            "inner_width": "mm",
            "inner_height": "mm",
        },
        {
            "mass": "Carries at most",
            "narrowest_lumen": "Narrowest lumen of a device in it",
            "longest_lumen": "Longest lumen of a device in it",
            "inner_length": "Inside, from left to right",
            "inner_width": "Inside, from back to front",
            "inner_height": "Inside, from floor to rim",
        },
    ),
    "chemical": _Kind(
        "chemical",
        {
            "ph_min": "pH",
            "ph_max": "pH",
            "dose_min": "mL/L",
            "dose_max": "mL/L",
            "temperature_min": "°C",
            "temperature_max": "°C",
            "chloride": "mg/L",
        },
        {
            "ph_min": "pH as used, from",
            "ph_max": "to",
            "dose_min": "Dose, from",
            "dose_max": "to",
            "temperature_min": "Works from",
            "temperature_max": "to",
            "chloride": "Chloride",
        },
        required=frozenset({"ph_min", "ph_max", "dose_min", "dose_max"}),
    ),
    "water": _Kind(
        "water point",
        {
            "temperature_min": "°C",
            "temperature_max": "°C",
            "hardness": "mg/L",
            "chloride": "mg/L",
            "conductivity": "µS/cm",
        },
        {
            "temperature_min": "Temperature, from",
            "temperature_max": "to",
            "hardness": "Hardness, as calcium carbonate",
            "chloride": "Chloride",
            "conductivity": "Conductivity",
        },
    ),
}
_NAME_HINTS: Final = {True: "As the machine shows it.", False: "As it stands on the label or the shelf."}


def noun_of(edit: Edit) -> str:
    """What kind of thing a change brings."""
    return "program" if isinstance(edit, ValidatedProgram) else _KINDS[_shelf(edit)].noun


def fields_of(edit: Edit) -> tuple[SaidField, ...]:
    """What is asked of a thing or program before it counts."""
    if isinstance(edit, ValidatedProgram):
        own = _program_name(edit.program)
        return (SaidField("name", "Name of the program", value=own, required=True, hint=_NAME_HINTS[True]),)
    shelf = _shelf(edit)
    thing = edit.things()[shelf]
    name = SaidField(
        "name", "Name", value=str(getattr(thing, "name", "")), required=True, hint=_NAME_HINTS[False]
    )
    return (name, *_quantity_fields(_KINDS[shelf], thing), *_other_fields(shelf))


def _program_name(program: Program) -> str:
    """A name that tells it from the program it is made from, for the machine's own to be put in its place."""
    own = program.name.partition(": ")[0]
    return f"{own}, drying {program.drying.time}" if own != program.name and program.drying else own


def _quantity_fields(kind: _Kind, thing: BaseModel) -> Iterator[SaidField]:
    for name, label in kind.labels.items():
        held = _held(thing, name)
        required = name in kind.required or held is not None
        hint = "" if kind.quantities[name] == "1" else f"Such as 5 {kind.quantities[name]}."
        yield SaidField(name, label, value="" if held is None else str(held), required=required, hint=hint)


def _other_fields(shelf: str) -> tuple[SaidField, ...]:
    if shelf == "lubricant":
        return (SaidField("steam_permeable", "Does it let steam through?", "yes-no", required=True),)
    if shelf == "packaging":
        return (SaidField("cycles", "Made for which cycles", "cycles", required=True),)
    return ()


def _held(thing: BaseModel, name: str) -> Quantity | None:
    """The quantity that a field stands for: the thing's own, or an end of a range."""
    whole, _, end = name.rpartition("_")
    if end in {"min", "max"} and whole:
        held: Range | None = getattr(thing, whole)
        return getattr(held, end) if held else None
    own: Quantity | None = getattr(thing, name)
    return own


def as_said(edit: Edit, said: Mapping[str, str], cycles: Sequence[str], *, tested: str) -> Edit:
    """The change with what a person said in the place of what the instruction asks.

    Args:
        edit: the change as it was proposed.
        said: what was typed, by field.
        cycles: the cycles that packaging is made for.
        tested: the day, for what is tested.

    Raises:
        BadDocument: with every field that is missing or does not fit.
    """
    missing = [
        Fault(one.name, "missing; it is required")
        for one in fields_of(edit)
        if one.required and not (cycles if one.kind == "cycles" else said.get(one.name, "").strip())
    ]
    if missing:
        raise BadDocument(missing)
    name = said["name"].strip()
    if isinstance(edit, ValidatedProgram):
        return edit.model_copy(update={"program": edit.program.model_copy(update={"name": name})})
    shelf = _shelf(edit)
    values = {**to_values(edit.things()[shelf]), "name": name, **_said_values(_KINDS[shelf], said)}
    values |= {"steam_permeable": said["steam_permeable"] == "yes"} if shelf == "lubricant" else {}
    values |= _made_for(cycles) if shelf == "packaging" else {}
    values |= {"tested": tested} if shelf == "water" else {}
    return validate(Provided, {"kind": "thing", shelf: values}, resource="")


def _made_for(cycles: Sequence[str]) -> dict[str, list[str]]:
    """The methods that packaging is made for, and of steam the ways of air removal."""
    ways = [cycle for cycle in cycles if cycle in _STEAM_WAYS]
    methods = [cycle for cycle in cycles if cycle not in _STEAM_WAYS]
    return {"air_removal": ways, "methods": [*(["steam"] if ways else []), *methods]}


def _said_values(kind: _Kind, said: Mapping[str, str]) -> dict[str, Any]:
    values: dict[str, Any] = {}
    faults = []
    for name, unit in kind.quantities.items():
        whole, _, end = name.rpartition("_")
        try:
            quantity = _read(said.get(name, "").strip(), unit)
        except BadQuantity as error:
            faults.append(Fault(name, error.message))
            continue
        if end in {"min", "max"} and whole:
            ends = values.setdefault(whole, {})
            ends |= {} if quantity is None else {end: quantity}
        else:
            values[name] = quantity
    if faults:
        raise BadDocument(faults)
    return {name: value or None for name, value in values.items()}


def _read(text: str, unit: str) -> str | None:
    """A quantity as it was typed; a bare number is in the unit that the field asks for."""
    if not text:
        return None
    quantity = Quantity.parse(text)
    if quantity.unit == "1" and unit != "1":
        quantity = Quantity.parse(f"{text} {unit}")
    quantity.to(unit)
    return str(quantity)


def _shelf(edit: Provided) -> str:
    return next(iter(edit.things()))


def program_facts(program: Program) -> tuple[tuple[str, str], ...]:
    """What a program does, as label and words, in the order of the cycle."""
    return tuple(_facts(program))


def _facts(program: Program) -> Iterator[tuple[str, str]]:
    if program.air_removal:
        removal = program.air_removal
        depth = f"to {removal.vacuum}" if removal.vacuum else f"up to {removal.pressure}"
        yield "Air removal", f"{removal.pulses} pulses {depth}"
    if program.exposure:
        yield "Exposure", f"{program.exposure.temperature}, {program.exposure.time}"
    if program.drying:
        yield "Drying", str(program.drying.time)
    for phase in program.phases:
        parts = (_range_words(phase.temperature), str(phase.time or ""), str(phase.dose or ""))
        yield phase.name.value.replace("-", " ").capitalize(), ", ".join(filter(None, parts))
    if program.disinfection:
        yield "Disinfecting dose", f"A0 {program.disinfection.a0:g} s"
    if program.ultrasonic:
        bath = program.ultrasonic
        parts = (str(bath.frequency or ""), _range_words(bath.temperature), str(bath.time or ""))
        yield "Ultrasound", ", ".join(filter(None, parts))


def _range_words(found: Range | None) -> str:
    if found is None:
        return ""
    ends = [str(end) for end in (found.min, found.max) if end is not None]
    if len(ends) == 1:
        return f"{'at least' if found.min else 'at most'} {ends[0]}"
    return ends[0] if ends[0] == ends[1] else f"{ends[0]} to {ends[1]}"


def refuse_no_edit(edit: Edit | None) -> Edit:
    """A change that can be made.

    Raises:
        BadInput: if it is none of the department's: the maker's answer, or a machine that must be bought.
    """
    if edit is None:
        raise BadInput("this is nothing that can be said of the department here; its own page takes it")
    return edit
