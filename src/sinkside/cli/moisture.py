"""`sinkside moisture`: what water may be left in a set after its cycle; it never shortens a drying time."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sinkside.cli.options import DepartmentFile, Json
from sinkside.cli.output import MARKS, show, show_document

if TYPE_CHECKING:
    from sinkside.moisture.document import Grams, MassSeen, Moisture, SourceShown

_WIDTH = 16


def moisture(
    set_file: Annotated[Path, typer.Argument(metavar="SET", help="The set (.yaml, .json).")],
    instruction: Annotated[
        list[Path],
        typer.Argument(
            metavar="INSTRUCTION...", help="Its members' instructions or documents.", show_default=False
        ),
    ],
    department: DepartmentFile,
    things: Annotated[
        Path | None,
        typer.Option("--things", metavar="FILE", help="Masses, materials, shapes and how things lie."),
    ] = None,
    program: Annotated[
        str | None,
        typer.Option("--program", metavar="NAME", help="A steam program, where not that of the set's route."),
    ] = None,
    formulas: Annotated[
        bool, typer.Option("--formulas", help="Every formula, assumption and material with its source.")
    ] = False,
    json: Json = False,
) -> None:
    """Estimate the water that may be left in a set: a range, what drives it, what would help."""
    from sinkside.desk import instructions, routes
    from sinkside.desk.moisture import moisture_of

    found = moisture_of(
        {path.stem: instructions.open_instruction(path) for path in instruction},
        routes.open_department(department),
        set_file=set_file,
        things_file=things,
        program=program,
    )
    if json:
        show_document(found)
    else:
        show("\n".join([*_in_words(found), *(_behind(found) if formulas else ())]))
    if not found.told or found.risk == "likely" or not found.mass.kept:
        raise typer.Exit(1)


def _in_words(found: Moisture) -> list[str]:
    lines = [_head(found)]
    if found.pack is None or found.condensed is None:
        lines += ["  No figure can be given:", *(f"    {reason}" for reason in found.not_told)]
    else:
        lines.append(f"  {_grams(found.pack)} may be left of {_grams(found.condensed)} that condense.")
        told = [f"  {MARKS[one.level.value]} {one.level.value}: {one.message}" for one in found.findings]
        lines += told or [f"  A wet pack is {found.risk} by this estimate; look all the same."]
        lines += [f"  {found.driver}"] if found.driver else []
        lines += _places(found)
    if found.dryness:
        dry = found.dryness
        stands = f"{dry.text}, here {dry.grams:g} g: {dry.stands}"
        lines.append(f"  Most that a metal load may gain: {stands} ({_source(dry.source)})")
    if found.helps:
        lines.append("  What would leave less at the wetter end:")
        lines += [
            f"    {one.sentence} {f'Then {_grams(one.left)}' if one.left else 'Not reckoned'}."
            for one in found.helps
        ]
    lines += _mass(found.mass)
    lines += ["  Not reckoned with:", *(f"    {one}" for one in found.not_in_the_model)]
    return [*lines, f"  {found.stands}"]


def _head(found: Moisture) -> str:
    cycle = found.cycle
    if cycle is None:
        return f"{found.set} at {found.department}"
    return (
        f"{found.set} at {found.department}: {cycle.program} on {cycle.machine}, "
        f"drying {cycle.drying_min:g} min at {cycle.drying_kpa:g} kPa, where water boils at "
        f"{cycle.drying_c:g} °C"
    )


def _places(found: Moisture) -> list[str]:
    """Every thing and the floor as a table; words, not colours, tell the wet ones."""
    name = max(len(place.name) for place in found.places)
    head = f"    {'':<{name}}  {'condenses':>{_WIDTH}}  {'runs off':>{_WIDTH}}  {'may be left':>{_WIDTH}}"
    return [
        head,
        *(
            f"    {place.name:<{name}}  {_grams(place.condensed):>{_WIDTH}}  "
            f"{_grams(place.passed):>{_WIDTH}}  {_grams(place.left):>{_WIDTH}}"
            + (f"  {place.shape.value}, {place.lies.value}" if place.shape and place.lies else "  floor")
            for place in found.places
        ),
    ]


def _mass(mass: MassSeen) -> list[str]:
    how = "as weighed" if mass.weighed else "as summed"
    lines = [f"  Mass with packaging: {f'{mass.kg:.2f} kg, {how}' if mass.kg is not None else 'not known'}"]
    words = {None: "not known", True: "kept", False: "passed"}
    for limit in mass.limits:
        stands = f"in force, {words[limit.met]}" if limit.in_force else "not in force here"
        lines.append(f"    {limit.text}: {stands} ({_source(limit.source)})")
    return lines


def _behind(found: Moisture) -> list[str]:
    """Formulas, assumptions and materials, each with its source and range."""
    lines = ["  Formulas:"]
    lines += [f"    {one.title}: {one.says}. {one.range} ({_source(one.source)})" for one in found.formulas]
    lines.append("  Assumed, all of it adjustable:")
    lines += [
        f"    {one.key}: {one.low:g} to {one.high:g} {'' if one.unit == '1' else one.unit}".rstrip()
        + f". {one.context} ({one.reason or one.source.how_read})"
        for one in found.assumptions
    ]
    lines.append("  Materials:")
    lines += [
        f"    {one.title}: {one.heat_j_kgk:g} J/(kg K), {one.conductivity_w_mk:g} W/(m K) "
        f"({_source(one.source)})"
        for one in found.materials
    ]
    return lines


def _grams(span: Grams) -> str:
    return f"{span.low:.1f} to {span.high:.1f} g"


def _source(source: SourceShown) -> str:
    return ", ".join(part for part in (source.title, source.edition, source.clause, source.how_read) if part)
