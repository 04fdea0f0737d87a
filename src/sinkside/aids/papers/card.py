"""The card of one station, and the card for those who hand a device on after use."""

from __future__ import annotations

from sinkside.aids.papers import blocks
from sinkside.aids.papers.drawings import Drawings
from sinkside.aids.papers.heads import head, never_and_limits, open_stops
from sinkside.aids.papers.request import PaperRequest
from sinkside.aids.papers.rows import RowMaker
from sinkside.aids.papers.setting import Values
from sinkside.aids.papers.speaking import Speaker
from sinkside.errors import BadInput
from sinkside.instruction import Part, PartUse
from sinkside.plain.operations import shown_operations
from sinkside.route import Operation, Station

#: How wide a drawing of the device is on a card, in mm of the smallest sheet.
_DRAWING_MM = 58.0

_ALL = 10**6
_WHERE_USED = (Station.theatre, Station.transport)

_USES = {
    PartUse.discard_after_use: "thrown away where it was used",
    PartUse.new_at_assembly: "a new one is fitted when it is put together",
    PartUse.sterile_at_field: "comes sterile, opened at the field, never in the tray",
}


def station_card(request: PaperRequest, speaker: Speaker) -> Values:
    """What is done at one station.

    Raises:
        BadInput: if no station is named, or nothing is done there.
        NotForTheFloor: if a template has no translation.
    """
    station = request.station
    everything = shown_operations(request.route, request.instruction)
    here = [operation for operation in everything if operation.station is station]
    if station is None or not here:
        known = ", ".join(dict.fromkeys(operation.station for operation in everything))
        raise BadInput(f"nothing is done at '{station}'; expected one of {known}", resource="station")
    content = head(request, speaker, here, station=station)
    return {
        **content,
        "kind": speaker.station(station),
        "stops": open_stops(request, speaker),
        "blocks": [
            blocks.line(),
            *_never_box(request, speaker),
            *_rows(request, speaker, here),
            *_next(here, everything, speaker),
        ],
    }


def theatre_card(request: PaperRequest, speaker: Speaker) -> Values:
    """What is done where a device was used, and what goes along with it.

    Raises:
        NotForTheFloor: if a template has no translation.
    """
    instruction = request.instruction
    everything = shown_operations(request.route, instruction)
    here = [operation for operation in everything if operation.station in _WHERE_USED]
    once = [part for part in instruction.device.parts if part.use is not PartUse.reusable]
    start = (
        [] if here else [blocks.words(speaker.say("The text says nothing here: start now."), is_large=True)]
    )
    return {
        **head(request, speaker, here, station=Station.theatre),
        "stops": open_stops(request, speaker),
        "blocks": [
            *_never_box(request, speaker),
            blocks.section(speaker.say("After use, at once")),
            *start,
            *_rows(request, speaker, here),
            *_single_use(once, speaker),
            blocks.section(
                speaker.say("Send along with it"),
                speaker.say("Say it, even if you are not sure. A missing piece may be in the patient."),
            ),
            blocks.fields(
                speaker.say(label)
                for label in (
                    "Use ended at",
                    "Damaged or missing",
                    "Suspicion of prions: keep apart, tell",
                    "Name",
                )
            ),
        ],
    }


def _rows(request: PaperRequest, speaker: Speaker, operations: list[Operation]) -> list[Values]:
    drawings = Drawings(request.instruction, width_mm=_DRAWING_MM * request.sheet.type_scale)
    maker = RowMaker(speaker, drawings)
    return [blocks.rows(maker.rows(operations))] if operations else []


def _never_box(request: PaperRequest, speaker: Speaker) -> list[Values]:
    """What is never done or passed: before the steps, so that it is read first."""
    boxed, _ = never_and_limits(request.instruction, signs=_ALL)
    if not boxed:
        return []
    return [
        blocks.said_box({speaker.say(label): [speaker.quote(one) for one in said] for label, said in boxed})
    ]


def _next(here: list[Operation], everything: tuple[Operation, ...], speaker: Speaker) -> list[Values]:
    """Where the device goes from here."""
    later = everything[everything.index(here[-1]) + 1 :]
    if not later:
        return []
    told = speaker.say("Then: {station}", station=speaker.station(later[0].station))
    return [blocks.words(told, is_large=True)]


def _single_use(parts: list[Part], speaker: Speaker) -> list[Values]:
    if not parts:
        return []
    shown = [(speaker.thing(part.id), speaker.say(_USES[part.use])) for part in parts]
    heads = (speaker.say("Part"), speaker.say("Used once"))
    return [blocks.section(speaker.say("Single use")), blocks.table(heads, shown, widths=(2, 3))]
