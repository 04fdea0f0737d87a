"""What is sharp about a device, what is strong or hot on its route, what to wear, what to do after harm."""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Iterable, Iterator
from importlib import resources
from typing import Final

from sinkside.aids.figures import shown_figure
from sinkside.aids.operations import shown_operations, station_label
from sinkside.aids.papers import blocks
from sinkside.aids.papers.drawings import lettered
from sinkside.aids.papers.heads import head, open_stops
from sinkside.aids.papers.request import PaperRequest
from sinkside.aids.papers.setting import Values
from sinkside.aids.pictograms import pictogram
from sinkside.aids.words import steps_of, thing_name
from sinkside.documents import Value
from sinkside.instruction import Action, Feature, FeatureKind, Instruction
from sinkside.language import render
from sinkside.quantities import FigureQuantity
from sinkside.route import Operation, ResourceKind, Station
from sinkside.sources import Source, source

_SHARP: Final = frozenset({FeatureKind.cutting_edge, FeatureKind.tip})
_HOT: Final = frozenset({Action.disinfect, Action.dry, Action.sterilize, Action.wash})
_MACHINES_THAT_HEAT: Final = frozenset({Station.washer, Station.sterilizer})
_DRAWING_MM: Final = 84.0


class Zone(Value):
    """What is worn at one station, why, and by whose advice."""

    station: Station
    wears: tuple[str, ...]
    why: str
    source: str
    clause: str = ""


class FirstAid(Value):
    """One thing to do after harm, and by whose advice."""

    text: str
    source: str


class Protection(Value):
    """What people wear, by station, and what they do after harm."""

    zones: tuple[Zone, ...]
    first_aid: tuple[FirstAid, ...]


@functools.cache
def protection() -> Protection:
    """What comes with Sinkside; a site's own rules go before it."""
    text = resources.files("sinkside.aids.papers").joinpath("protection.toml").read_text("utf-8")
    return Protection.model_validate(tomllib.loads(text))


def protection_sheet(request: PaperRequest) -> Values:
    """The sheet on sharps and exposure.

    Raises:
        BadInput: if the language is unknown.
    """
    instruction, language = request.instruction, request.language
    operations = shown_operations(request.route, instruction)
    return {
        **head(request, operations),
        "stops": open_stops(request),
        "blocks": [
            blocks.section(_say("Sharp", language)),
            *_sharps(request),
            blocks.section(_say("What to wear", language), _say("Your site’s own rules go first.", language)),
            *_zones(operations, instruction, language),
            blocks.section(_say("After a cut, a prick or a splash", language)),
            blocks.sentences(blocks.Said(_say(one.text, language)) for one in protection().first_aid),
            *_sources(operations, language),
        ],
    }


def _sharps(request: PaperRequest) -> list[Values]:
    """Edges and tips by name, and where they are."""
    instruction, language = request.instruction, request.language
    sharp = [one for one in instruction.device.features if one.kind in _SHARP]
    shown: list[Values] = []
    if sharp:
        shown.append(blocks.signs(_sharp(one, instruction, language) for one in sharp))
        drawn = lettered(instruction.device, {}, width_mm=_DRAWING_MM * request.sheet.type_scale)
        shown += [{**drawn, "caption": ""}] if drawn else []
    else:
        shown.append(
            blocks.words(_say("The text names no edge and no tip. Look before you touch.", language))
        )
    return shown


def _sharp(feature: Feature, instruction: Instruction, language: str) -> blocks.Sign:
    part = thing_name(feature.part, instruction, language) if feature.part else ""
    return blocks.Sign("sharp", thing_name(feature.id, instruction, language).capitalize(), part)


def _zones(operations: Iterable[Operation], instruction: Instruction, language: str) -> list[Values]:
    """For each station of the route what is worn there, why, and what is hot or strong there."""
    reached: dict[Station, list[Operation]] = {}
    for operation in operations:
        reached.setdefault(operation.station, []).append(operation)
    shown = []
    for zone in protection().zones:
        if zone.station not in reached:
            continue
        here = ", ".join(dict.fromkeys(_hazards(reached[zone.station], instruction, language)))
        why = _say(zone.why, language) + (f": {here}" if here else "")
        shown.append(_zone(zone, why, language))
    return shown


def _zone(zone: Zone, why: str, language: str) -> Values:
    worn = [blocks.Sign(name, _say(pictogram(name).word, language)) for name in zone.wears]
    is_practice = _source(zone).how_read == "common-practice"
    marked = f" ({_say('common practice', language)})" if is_practice else ""
    return blocks.zone(station_label(zone.station, language), f"{why}{marked}", worn)


def _hazards(operations: Iterable[Operation], instruction: Instruction, language: str) -> Iterator[str]:
    """Chemicals by the department's name, and how hot a machine runs."""
    for operation in operations:
        yield from (one.name for one in operation.bindings if one.kind is ResourceKind.chemical)
        if operation.station not in _MACHINES_THAT_HEAT:
            continue
        actions = {step.action for step in steps_of(operation, instruction)} | {operation.action}
        for chosen in operation.figures:
            if actions & _HOT and chosen.required.quantity is FigureQuantity.temperature:
                yield shown_figure(chosen, language).text


def _sources(operations: Iterable[Operation], language: str) -> list[Values]:
    """Whose advice it is, and how each was come by."""
    reached = {operation.station for operation in operations}
    used = [_source(zone) for zone in protection().zones if zone.station in reached]
    used += [source(one.source) for one in protection().first_aid]
    told = dict.fromkeys(f"{one} ({_say(one.how_read_phrase, language)})" for one in used)
    return [
        blocks.section(_say("Whose advice", language)),
        blocks.sentences(blocks.Said(one) for one in told),
    ]


def _source(zone: Zone) -> Source:
    return source(zone.source, clause=zone.clause)


def _say(template: str, language: str) -> str:
    return render(template, {}, language)
