"""What is sharp about a device, what is strong or hot on its route, what to wear, what to do after harm."""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Iterable, Iterator
from importlib import resources
from typing import Final

from sinkside.aids.papers import blocks
from sinkside.aids.papers.drawings import numbered
from sinkside.aids.papers.heads import head, open_stops
from sinkside.aids.papers.request import PaperRequest
from sinkside.aids.papers.setting import Values
from sinkside.aids.papers.speaking import Speaker
from sinkside.aids.pictograms import pictogram
from sinkside.documents import Value
from sinkside.instruction import Feature, FeatureKind
from sinkside.plain.operations import shown_operations
from sinkside.quantities import FigureQuantity
from sinkside.route import Operation, ResourceKind, Station
from sinkside.sources import Source, source

_SHARP: Final = frozenset({FeatureKind.cutting_edge, FeatureKind.tip})
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


def protection_sheet(request: PaperRequest, speaker: Speaker) -> Values:
    """The sheet on sharps and exposure.

    Raises:
        NotForTheFloor: if a template has no translation.
    """
    instruction = request.instruction
    operations = shown_operations(request.route, instruction)
    return {
        **head(request, speaker, operations),
        "stops": open_stops(request, speaker),
        "blocks": [
            blocks.section(speaker.say("Sharp")),
            *_sharps(request, speaker),
            blocks.section(speaker.say("What to wear"), speaker.say("Your site’s own rules go first.")),
            *_zones(operations, speaker),
            blocks.section(speaker.say("After a cut, a prick or a splash")),
            blocks.sentences(blocks.Said(speaker.say(one.text)) for one in protection().first_aid),
            *_sources(operations, speaker),
        ],
    }


def _sharps(request: PaperRequest, speaker: Speaker) -> list[Values]:
    """Edges and tips by name, and where they are."""
    instruction = request.instruction
    sharp = [one for one in instruction.device.features if one.kind in _SHARP]
    shown: list[Values] = []
    if sharp:
        shown.append(blocks.signs(_sharp(one, speaker) for one in sharp))
        drawn = numbered(instruction.device, {}, width_mm=_DRAWING_MM * request.sheet.type_scale)
        shown += [{**drawn, "caption": ""}] if drawn else []
    else:
        shown.append(blocks.words(speaker.say("The text names no edge and no tip. Look before you touch.")))
    return shown


def _sharp(feature: Feature, speaker: Speaker) -> blocks.Sign:
    part = speaker.thing(feature.part) if feature.part else ""
    return blocks.Sign("sharp", speaker.thing(feature.id).capitalize(), part)


def _zones(operations: Iterable[Operation], speaker: Speaker) -> list[Values]:
    """For each station of the route what is worn there, why, and what is hot or strong there."""
    reached: dict[Station, list[Operation]] = {}
    for operation in operations:
        reached.setdefault(operation.station, []).append(operation)
    shown = []
    for zone in protection().zones:
        if zone.station not in reached:
            continue
        here = ", ".join(dict.fromkeys(_hazards(reached[zone.station], speaker)))
        why = speaker.say(zone.why) + (f": {here}" if here else "")
        shown.append(_zone(zone, why, speaker))
    return shown


def _zone(zone: Zone, why: str, speaker: Speaker) -> Values:
    worn = [blocks.Sign(name, speaker.say(pictogram(name).word)) for name in zone.wears]
    is_practice = _source(zone).how_read == "common-practice"
    marked = f" ({speaker.say('common practice')})" if is_practice else ""
    return blocks.zone(speaker.station(zone.station), f"{why}{marked}", worn)


def _hazards(operations: Iterable[Operation], speaker: Speaker) -> Iterator[str]:
    """Chemicals by the department's name, and how hot a machine runs."""
    for operation in operations:
        yield from (one.name for one in operation.bindings if one.kind is ResourceKind.chemical)
        if operation.station not in _MACHINES_THAT_HEAT:
            continue
        for figure in speaker.step(operation).figures:
            if figure.quantity is FigureQuantity.temperature:
                yield speaker.figure(figure)


def _sources(operations: Iterable[Operation], speaker: Speaker) -> list[Values]:
    """Whose advice it is, and how each was come by."""
    reached = {operation.station for operation in operations}
    used = [_source(zone) for zone in protection().zones if zone.station in reached]
    used += [source(one.source) for one in protection().first_aid]
    told = dict.fromkeys(f"{one} ({speaker.say(one.how_read_phrase)})" for one in used)
    return [
        blocks.section(speaker.say("Whose advice")),
        blocks.sentences(blocks.Said(one) for one in told),
    ]


def _source(zone: Zone) -> Source:
    return source(zone.source, clause=zone.clause)
