"""What to look for, what to test, and the pass mark, in the maker's own words or not at all."""

from __future__ import annotations

from collections.abc import Iterable

from sinkside.aids.operations import shown_operations
from sinkside.aids.papers import blocks
from sinkside.aids.papers.drawings import lettered
from sinkside.aids.papers.heads import head, open_stops
from sinkside.aids.papers.request import PaperRequest
from sinkside.aids.papers.rows import RowMaker
from sinkside.aids.papers.setting import Values
from sinkside.aids.places import place_words
from sinkside.aids.prohibitions import plain_sentence
from sinkside.findings import Place
from sinkside.instruction import Action, Instruction, Stage, StatementKind
from sinkside.language import render
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


def inspection_sheet(request: PaperRequest) -> Values:
    """What to look at and test after cleaning.

    Raises:
        BadInput: if the language is unknown.
    """
    instruction, language = request.instruction, request.language
    operations = [one for one in shown_operations(request.route, instruction) if _belongs(one)]
    looked = [one for one in operations if one.action in _LOOKED]
    after = [one for one in operations if one.action in _AFTER]
    maker = RowMaker(instruction, language, request.beside)
    return {
        **head(request, operations),
        "stops": open_stops(request),
        "blocks": [
            *_where_to_look(request),
            blocks.section(render("Look and test", {}, language)),
            *_looked(looked, maker, language),
            *_not_good_enough(instruction, language),
            *(
                [blocks.section(render("Then", {}, language)), blocks.rows(maker.rows(after))]
                if after
                else []
            ),
            *_life(instruction, language),
        ],
    }


def _belongs(operation: Operation) -> bool:
    return operation.stage in _STAGES or operation.action in _AFTER


def _where_to_look(request: PaperRequest) -> list[Values]:
    drawn = lettered(request.instruction.device, {}, width_mm=_DRAWING_MM * request.sheet.type_scale)
    return [{**drawn, "caption": ""}] if drawn else []


def _looked(operations: list[Operation], maker: RowMaker, language: str) -> list[Values]:
    if not operations:
        return [blocks.words(render("The text does not say what to look for.", {}, language), is_large=True)]
    rows = []
    for operation in operations:
        for row in maker.rows([operation]):
            row["details"] = [
                *_without_until(row["details"], operation),
                _pass_mark(operation, row, language),
            ]
            rows.append(row)
    return [blocks.rows(rows)]


def _without_until(details: Iterable[str], operation: Operation) -> list[str]:
    until = (operation.until or "").strip().rstrip(".").removeprefix("until ")
    return [detail for detail in details if not until or until not in detail]


def _pass_mark(operation: Operation, row: Values, language: str) -> str:
    """When it is good: what the text says, and nothing where it says nothing."""
    if operation.until:
        mark = operation.until.strip().rstrip(".").removeprefix("until ")
        return render("Pass mark: {mark}", {"mark": mark}, language)
    said = row["cautions"] or any(detail.startswith("“") for detail in row["details"])
    template = "Pass mark: as the maker’s words say" if said else "The text states no pass mark."
    return render(template, {}, language)


def _not_good_enough(instruction: Instruction, language: str) -> list[Values]:
    kinds = {StatementKind.prohibition, StatementKind.warning}
    told = [
        blocks.Said(plain_sentence(one.origin.text), _where(one.origin.page, one.origin.line, language))
        for one in instruction.statements
        if one.kind in kinds and any(word in one.origin.text.lower() for word in _WORN)
    ]
    if not told:
        return []
    return [blocks.section(render("Not good enough", {}, language)), blocks.sentences(told)]


def _life(instruction: Instruction, language: str) -> list[Values]:
    told = [
        blocks.Said(plain_sentence(one.origin.text), _where(one.origin.page, one.origin.line, language))
        for one in instruction.statements
        if one.kind is StatementKind.life
    ]
    return (
        [blocks.section(render("How long it may be used", {}, language)), blocks.sentences(told)]
        if told
        else []
    )


def _where(page: int, line: int, language: str) -> str:
    return place_words(Place(page=page, line=line), language)
