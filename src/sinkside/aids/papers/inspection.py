"""What to look for, what to test, and the pass mark, in the maker's own words or not at all."""

from __future__ import annotations

from collections.abc import Iterable

from sinkside.aids.papers import blocks
from sinkside.aids.papers.drawings import numbered
from sinkside.aids.papers.heads import head, open_stops
from sinkside.aids.papers.request import PaperRequest
from sinkside.aids.papers.rows import RowMaker
from sinkside.aids.papers.setting import Values
from sinkside.aids.papers.speaking import Speaker
from sinkside.aids.prohibitions import plain_sentence
from sinkside.instruction import Action, Instruction, Origin, Stage, StatementKind
from sinkside.plain.operations import shown_operations
from sinkside.plain.voice import ISOLATE
from sinkside.route import Operation

_LOOKED = frozenset({Action.inspect, Action.test})
_AFTER = frozenset({Action.repeat, Action.retire, Action.send_for_repair, Action.count_use})
_STAGES = frozenset({Stage.inspection, Stage.maintenance})

#: What a sentence of the maker's speaks of when it says what is not good enough.
_WORN = (
    "notch",
    "crack",
    "worn",
    "bent",
    "blunt",
    "dull",
    "loose",
    "stiff",
    "corro",
    "rust",
    "damage",
    "soil",
)

_DRAWING_MM = 104.0


def inspection_sheet(request: PaperRequest, speaker: Speaker) -> Values:
    """What to look at and test after cleaning.

    Raises:
        NotForTheFloor: if a template has no translation.
    """
    instruction = request.instruction
    operations = [one for one in shown_operations(request.route, instruction) if _belongs(one)]
    looked = [one for one in operations if one.action in _LOOKED]
    after = [one for one in operations if one.action in _AFTER]
    maker = RowMaker(speaker)
    return {
        **head(request, speaker, operations),
        "stops": open_stops(request, speaker),
        "blocks": [
            *_where_to_look(request),
            blocks.section(speaker.say("Look and test")),
            *_looked(looked, maker, speaker),
            *_not_good_enough(instruction, speaker),
            *([blocks.section(speaker.say("Then")), blocks.rows(maker.rows(after))] if after else []),
            *_life(instruction, speaker),
        ],
    }


def _belongs(operation: Operation) -> bool:
    return operation.stage in _STAGES or operation.action in _AFTER


def _where_to_look(request: PaperRequest) -> list[Values]:
    drawn = numbered(request.instruction.device, {}, width_mm=_DRAWING_MM * request.sheet.type_scale)
    return [{**drawn, "caption": ""}] if drawn else []


def _looked(operations: list[Operation], maker: RowMaker, speaker: Speaker) -> list[Values]:
    if not operations:
        return [blocks.words(speaker.say("The text does not say what to look for."), is_large=True)]
    rows = []
    for operation in operations:
        for row in maker.rows([operation]):
            row["details"] = [
                *_without_until(row["details"], operation),
                _pass_mark(operation, row, speaker),
            ]
            rows.append(row)
    return [blocks.rows(rows)]


def _without_until(details: Iterable[str], operation: Operation) -> list[str]:
    until = (operation.until or "").strip().rstrip(".").removeprefix("until ")
    return [detail for detail in details if not until or until not in detail]


def _pass_mark(operation: Operation, row: Values, speaker: Speaker) -> str:
    """When it is good: what the text says, and nothing where it says nothing."""
    if operation.until:
        mark = operation.until.strip().rstrip(".").removeprefix("until ")
        return speaker.say("Pass mark: {mark}", mark=speaker.quote(mark))
    said = row["cautions"] or any(detail.lstrip(ISOLATE).startswith("“") for detail in row["details"])
    template = "Pass mark: as the maker’s words say" if said else "The text states no pass mark."
    return speaker.say(template)


def _not_good_enough(instruction: Instruction, speaker: Speaker) -> list[Values]:
    kinds = {StatementKind.prohibition, StatementKind.warning}
    told = [
        _said(one.origin, speaker)
        for one in instruction.statements
        if one.kind in kinds and any(word in one.origin.text.lower() for word in _WORN)
    ]
    if not told:
        return []
    return [blocks.section(speaker.say("Not good enough")), blocks.sentences(told)]


def _life(instruction: Instruction, speaker: Speaker) -> list[Values]:
    told = [_said(one.origin, speaker) for one in instruction.statements if one.kind is StatementKind.life]
    return [blocks.section(speaker.say("How long it may be used")), blocks.sentences(told)] if told else []


def _said(origin: Origin, speaker: Speaker) -> blocks.Said:
    return blocks.Said(speaker.quote(plain_sentence(origin.text)), speaker.place(origin.page, origin.line))
