"""What to do when it will not move: the maker's sentences, how it is meant to go, what is not said."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from sinkside.aids.papers import blocks
from sinkside.aids.papers.drawings import Drawings
from sinkside.aids.papers.heads import head, open_stops
from sinkside.aids.papers.parts import put_together, taken_apart
from sinkside.aids.papers.request import PaperRequest
from sinkside.aids.papers.rows import RowMaker
from sinkside.aids.papers.setting import Values
from sinkside.aids.papers.speaking import Speaker
from sinkside.aids.prohibitions import plain_sentence
from sinkside.instruction import Action, FeatureKind, Instruction, StatementKind
from sinkside.plain.operations import shown_operations
from sinkside.route import Operation

_OPEN, _CLOSE, _LOCK, _APART, _TOGETHER = (
    "It will not open",
    "It will not close",
    "The ratchet will not hold or release",
    "It will not come apart",
    "It will not go together",
)

#: What a sentence must speak of to belong to a trouble: stiff, caught, forced; and about what.
_STUCK: Final = re.compile(
    r"\b(stick|stuck|stiff|jam|seiz|catch|force|resist|tight|block|freely|smooth|glide|difficult)"
    r"|\b(klemm|schwergängig|gewalt|leichtgängig|forcer|coinc|gripp|atasc|forzar)",
    re.IGNORECASE,
)
_ABOUT: Final[Mapping[str, re.Pattern[str]]] = {
    _OPEN: re.compile(r"\b(open|jaw|blade|joint|hinge|box lock|maul|mors|mâchoire|mordaza)", re.IGNORECASE),
    _CLOSE: re.compile(r"\b(clos|jaw|blade|joint|hinge|tips?\b|maul|mors|mâchoire|mordaza)", re.IGNORECASE),
    _LOCK: re.compile(r"\b(ratchet|lock|sperre|crémaillère|cremallera)", re.IGNORECASE),
    _APART: re.compile(
        r"\b(apart|dismantl|disassembl|separate|screw|thread|sleeve|shaft|slid|zerleg|démont|desmont)",
        re.IGNORECASE,
    ),
    _TOGETHER: re.compile(
        r"\b(assembl|together|screw|thread|sleeve|shaft|slid|montier|zusammen|remont|montar)", re.IGNORECASE
    ),
}
_POSITIONS: Final[Mapping[str, frozenset[tuple[str, str]]]] = {
    _OPEN: frozenset({("jaw", "open"), ("ratchet", "released"), ("sleeve", "back")}),
    _CLOSE: frozenset({("jaw", "closed"), ("sleeve", "forward")}),
    _LOCK: frozenset({("ratchet", "engaged"), ("ratchet", "released")}),
}
_NEEDS: Final[Mapping[str, frozenset[FeatureKind]]] = {
    _OPEN: frozenset({FeatureKind.jaw, FeatureKind.joint, FeatureKind.cutting_edge}),
    _CLOSE: frozenset({FeatureKind.jaw, FeatureKind.joint, FeatureKind.cutting_edge}),
    _LOCK: frozenset({FeatureKind.ratchet}),
}
_SPEAKING: Final = frozenset({StatementKind.prohibition, StatementKind.warning, StatementKind.note})
_DRAWING_MM: Final = 58.0


def trouble_sheet(request: PaperRequest, speaker: Speaker) -> Values:
    """What the text says about a device that will not move, and what it does not say.

    Raises:
        NotForTheFloor: if a template has no translation.
    """
    instruction = request.instruction
    operations = shown_operations(request.route, instruction)
    drawings = Drawings(instruction, width_mm=_DRAWING_MM * request.sheet.type_scale)
    maker = RowMaker(speaker, drawings)
    shown = [
        block
        for trouble in _troubles(instruction)
        for block in _trouble(trouble, instruction, operations, maker)
    ]
    return {
        **head(request, speaker, operations),
        "stops": open_stops(request, speaker),
        "blocks": [
            blocks.words(
                speaker.say("Set it aside and tell the person in charge, who may ask the maker."),
                is_large=True,
            ),
            blocks.words(
                speaker.say(
                    "Everything below is from the maker’s text. Setting aside is common practice, no source."
                )
            ),
            *shown,
        ],
    }


def _troubles(instruction: Instruction) -> Iterable[str]:
    """The troubles that a device can have at all."""
    kinds = {feature.kind for feature in instruction.device.features}
    has_parts = len(instruction.device.parts) > 1
    for trouble in _ABOUT:
        if trouble in _NEEDS and not kinds & _NEEDS[trouble]:
            continue
        if trouble not in _NEEDS and not has_parts:
            continue
        yield trouble


def _trouble(
    trouble: str, instruction: Instruction, operations: Sequence[Operation], maker: RowMaker
) -> list[Values]:
    speaker = maker.speaker
    told = _told(trouble, instruction, speaker)
    meant = _meant(trouble, operations)
    shown = [blocks.section(speaker.say(trouble))]
    if told:
        shown.append(blocks.sentences(told))
    else:
        shown.append(blocks.words(speaker.say("The text does not say what to do then.")))
    if meant:
        shown.append(blocks.words(speaker.say("How it is meant to go:")))
        shown.append(blocks.rows(maker.rows(meant)))
    return shown


def _told(trouble: str, instruction: Instruction, speaker: Speaker) -> list[blocks.Said]:
    """The sentences that speak of it, each once."""
    said = [one.origin for one in instruction.statements if one.kind in _SPEAKING]
    said += [
        step.origin
        for step in instruction.steps
        if step.action in {Action.test, Action.inspect, Action.other}
    ]
    told: dict[str, blocks.Said] = {}
    for origin in sorted(said, key=lambda one: (one.page, one.line)):
        if _STUCK.search(origin.text) and _ABOUT[trouble].search(origin.text):
            sentence = plain_sentence(origin.text)
            where = speaker.place(origin.page, origin.line)
            told.setdefault(sentence, blocks.Said(speaker.quote(sentence), where))
    return list(told.values())


def _meant(trouble: str, operations: Sequence[Operation]) -> tuple[Operation, ...]:
    """The operations by which it moves as it should."""
    if trouble == _APART:
        return taken_apart(operations)
    if trouble == _TOGETHER:
        return put_together(operations)
    wanted = _POSITIONS[trouble]
    moved = [
        one
        for one in operations
        if one.action is Action.set_position and wanted & frozenset(one.positions.items())
    ]
    return tuple(moved[:1])
