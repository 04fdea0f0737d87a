"""What flushes and blows come to in the lumens of a device, each number with how it was computed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from fastapi import Query

from sinkside.desk import lumens as desk_lumens
from sinkside.desk import shelf as desk_shelf
from sinkside.desk.instruction_view import device_name
from sinkside.errors import BadInput
from sinkside.flows import Computed, Conditions, FormulaNotes, LumenReport, LumenWork
from sinkside.instruction import Action
from sinkside.language import computed_range
from sinkside.web.asked import Asked
from sinkside.web.screen import DEPARTMENT
from sinkside.web.screens.instructions.shelf import READ, screen

_USUAL = Conditions()
_MM = 1e-3
_DONE = {Action.flush: "Flushing:", Action.blow: "Blowing through:"}

Barrel = Annotated[float, Query(ge=1.0, le=100.0)]
Seconds = Annotated[float, Query(ge=0.1, le=3600.0)]


@dataclass(frozen=True)
class NumberShown:
    """One number: what it is, its figure, and the formula behind it with source and range."""

    what: str
    figure: str
    name: str
    source: str
    covers: str


@dataclass(frozen=True)
class WorkShown:
    """One step at one lumen: where it stands, what is done, the text's words, numbers, what is open."""

    address: str
    heading: str
    words: str
    numbers: tuple[NumberShown, ...]
    said: tuple[str, ...]


@dataclass(frozen=True)
class LumensPage:
    """What goes through the lumens of a device.

    Attributes:
        title: the heading.
        address: of this page.
        instruction: the address of the instruction.
        works: step by step and lumen by lumen.
        barrel: inner diameter of the syringe in mm.
        quickest: seconds in which a hand empties it at least.
        slowest: seconds in which a hand empties it at most.
        film: the film that a first blow is taken to leave, in words.
    """

    title: str
    address: str
    instruction: str
    works: tuple[WorkShown, ...]
    barrel: str
    quickest: str
    slowest: str
    film: str


@screen.page(
    f"{DEPARTMENT}/instructions/{{instruction}}/lumens", right=READ, template="instruction_lumens.html"
)
def lumens(
    asked: Asked,
    instruction: str,
    *,
    barrel: Barrel = _USUAL.barrel_m / _MM,
    quickest: Seconds = _USUAL.by_hand_s[0],
    slowest: Seconds = _USUAL.by_hand_s[1],
) -> LumensPage:
    """What flushes and blows come to, for a syringe and a hand that may be chosen."""
    if quickest > slowest:
        raise BadInput("the quickest hand must not take longer than the slowest", resource="quickest")
    opened = desk_shelf.open_instruction(asked.archive, asked.visitor, instruction)
    conditions = Conditions(barrel_m=barrel * _MM, by_hand_s=(quickest, slowest))
    report = desk_lumens.lumens_here(asked.archive, asked.visitor, opened, conditions)
    address = asked.at(f"/instructions/{opened.row.id}")
    thinnest, thickest = (1e6 * film for film in conditions.film_m)
    return LumensPage(
        title=f"{device_name(opened)}: what goes through its lumens",
        address=f"{address}/lumens",
        instruction=address,
        works=tuple(_work(work, report, address) for work in report.works),
        barrel=f"{barrel:g}",
        quickest=f"{quickest:g}",
        slowest=f"{slowest:g}",
        film=f"{thinnest:g} to {thickest:g} µm",
    )


def _work(work: LumenWork, report: LumenReport, address: str) -> WorkShown:
    return WorkShown(
        address=f"{address}?step={work.step}#step-{work.step}",
        heading=f"{_DONE[work.action]} {work.lumen}",
        words=work.words,
        numbers=tuple(_number(one, report.formulas[one.formula]) for one in work.values),
        said=work.said,
    )


def _number(one: Computed, notes: FormulaNotes) -> NumberShown:
    figure = computed_range(one.low, one.high, one.unit)
    return NumberShown(one.what, figure, notes.name, notes.source, notes.covers)
