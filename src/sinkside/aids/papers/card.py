"""The card of one station, and the card for those who hand a device on after use."""

from __future__ import annotations

from sinkside.aids.operations import shown_operations, station_label
from sinkside.aids.papers import blocks
from sinkside.aids.papers.drawings import Drawings
from sinkside.aids.papers.heads import head, never_and_limits, open_stops
from sinkside.aids.papers.request import PaperRequest
from sinkside.aids.papers.rows import RowMaker
from sinkside.aids.papers.setting import Values
from sinkside.aids.words import thing_name
from sinkside.errors import BadInput
from sinkside.instruction import Instruction, Part, PartUse
from sinkside.language import render
from sinkside.route import Operation, Station

#: How wide a drawing of the device is on a card, in mm of the smallest sheet.
_DRAWING_MM = 72.0

_ALL = 10**6
_WHERE_USED = (Station.theatre, Station.transport)

_USES = {
    PartUse.discard_after_use: "thrown away where it was used",
    PartUse.new_at_assembly: "a new one is fitted when it is put together",
    PartUse.sterile_at_field: "comes sterile, opened at the field, never in the tray",
}


def station_card(request: PaperRequest, station: Station) -> Values:
    """What is done at one station.

    Raises:
        BadInput: if nothing is done there, or the language is unknown.
    """
    language = request.language
    everything = shown_operations(request.route, request.instruction)
    here = [operation for operation in everything if operation.station is station]
    if not here:
        known = ", ".join(dict.fromkeys(operation.station for operation in everything))
        raise BadInput(f"nothing is done at '{station}'; expected one of {known}", resource="station")
    content = head(request, here, station=station)
    return {
        **content,
        "kind": station_label(station, language),
        "stops": open_stops(request),
        "blocks": [
            blocks.line(),
            *_rows(request, here),
            _never_box(request),
            *_next(here, everything, language),
        ],
    }


def theatre_card(request: PaperRequest) -> Values:
    """What is done where a device was used, and what goes along with it.

    Raises:
        BadInput: if the language is unknown.
    """
    instruction, language = request.instruction, request.language
    everything = shown_operations(request.route, instruction)
    here = [operation for operation in everything if operation.station in _WHERE_USED]
    once = [part for part in instruction.device.parts if part.use is not PartUse.reusable]
    start = (
        []
        if here
        else [blocks.words(_say("The text says nothing here: start now.", language), is_large=True)]
    )
    return {
        **head(request, here, station=Station.theatre),
        "stops": open_stops(request),
        "blocks": [
            blocks.section(_say("After use, at once", language)),
            *start,
            *_rows(request, here),
            *_single_use(once, instruction, language),
            blocks.section(
                _say("Send along with it", language),
                _say("Say it, even if you are not sure. A missing piece may be in the patient.", language),
            ),
            blocks.fields(
                _say(label, language)
                for label in (
                    "Use ended at",
                    "Damaged or missing",
                    "Suspicion of prions: keep apart, tell",
                    "Name",
                )
            ),
            _never_box(request),
        ],
    }


def _rows(request: PaperRequest, operations: list[Operation]) -> list[Values]:
    drawings = Drawings(request.instruction, width_mm=_DRAWING_MM * request.sheet.type_scale)
    maker = RowMaker(request.instruction, request.language, request.beside, drawings)
    return [blocks.rows(maker.rows(operations))] if operations else []


def _never_box(request: PaperRequest) -> Values:
    boxed, _ = never_and_limits(request.instruction, signs=_ALL)
    return blocks.said_box({_say(label, request.language): said for label, said in boxed})


def _next(here: list[Operation], everything: tuple[Operation, ...], language: str) -> list[Values]:
    """Where the device goes from here."""
    later = everything[everything.index(here[-1]) + 1 :]
    if not later:
        return []
    station = station_label(later[0].station, language)
    return [blocks.words(render("Then: {station}", {"station": station}, language), is_large=True)]


def _single_use(parts: list[Part], instruction: Instruction, language: str) -> list[Values]:
    if not parts:
        return []
    shown = [(thing_name(part.id, instruction, language), _say(_USES[part.use], language)) for part in parts]
    heads = (_say("Part", language), _say("Used once", language))
    return [blocks.section(_say("Single use", language)), blocks.table(heads, shown, widths=(2, 3))]


def _say(template: str, language: str) -> str:
    return render(template, {}, language)
