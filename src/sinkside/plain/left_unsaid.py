"""What a maker's sentence says beyond the structure that was read from it: by hand, with a lid."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Final

from sinkside.instruction import Instruction, Step
from sinkside.plain.wording import makers_sentence, steps_of
from sinkside.route import Operation

#: Words that say nothing alone, by language; a sentence in any other is told whole.
_SMALL: Final = {
    "en": "a after again all an and any are as at be been before between both by can does each every for from"
    " if in into is it its may must no not of off on once one only or other out over per shall should so than"
    " that the them then there they this through times to two until up use used using what when which while"
    " will with you your cycle cycles device devices instrument instruments pack part parts procedure set"
    " step steps whole",
    "de": "alle aller als am an auf aus bei beim bis das dem den der des die durch ein eine einem einen einer"
    " es für gerät geräts im in instrument instrumente instruments ist mit nach nicht oder sein sie sind teil"
    " teile über um und unter vom von vor werden wird zu zum zur",
    "fr": "à au aux avec ce ces cette chaque dans de des dispositif du elle en est et eux il instrument la le"
    " les leur ou par pas pendant pièce pièces pour puis sans sont sous sur tous toutes un une",
    "es": "a al cada con de del durante el en es esta este hasta instrumento la las lo los no o para pieza"
    " piezas por se sin sobre son su sus todas todos un una y",
}
_WORD: Final = re.compile(r"[^\W\d_]{2,}")

#: The words that a sentence asks with stand where a clause begins; the action has them.
_ASKS: Final = re.compile(
    r"(?:^|[,.;:(]\s*(?:and |then |or )?|\b(?:and|then|or|to) )(?:carefully |gently )?([^\W\d_]+)",
    re.IGNORECASE,
)

#: Words of one family begin alike: lubricate and lubrication.
_STEM: Final = 5


def left_unsaid(operation: Operation, instruction: Instruction) -> str:
    """The sentence that an operation was read from, where words of it stand nowhere in its structure.

    Nothing where the structure has all of it, and nothing for a row of a table, which has no sentence.

    >>> from sinkside.instruction import Device, Origin
    >>> from sinkside.route import Station
    >>> def told(sentence: str) -> str:
    ...     said = Origin(page=1, line=1, text=sentence)
    ...     step = Step(id="s1", stage="maintenance", action="put-together", on=("lock screw",), origin=said)
    ...     tighten = Operation(letter="A", stage="maintenance", station=Station.bench, steps=("s1",),
    ...         action="put-together", on=("lock screw",), origin=said)
    ...     return left_unsaid(tighten, Instruction(device=Device(name="Forceps"), steps=(step,)))
    >>> told("Tighten the lock screw by hand."), told("Tighten the lock screw.")
    ('Tighten the lock screw by hand.', '')
    """
    sentence = makers_sentence(operation, steps_of(operation, instruction))
    if not sentence:
        return ""
    said = _stems(_structured(operation, sentence, instruction))
    said |= _stems(match[1] for match in _ASKS.finditer(sentence))
    language = instruction.device.document.language.partition("-")[0]
    small = _SMALL.get(language, "").split()
    words = (word.casefold() for word in _WORD.findall(sentence))
    return sentence if any(word not in small and word[:_STEM] not in said for word in words) else ""


def _structured(operation: Operation, sentence: str, instruction: Instruction) -> Iterator[str]:
    """Every text that the structure of the sentence's own steps, or the device itself, has a place for."""
    device = instruction.device
    yield device.name
    yield from (part.name for part in device.parts)
    yield from (text for feature in device.features for text in (feature.name, feature.kind.value))
    yield from (binding.name for binding in operation.bindings)
    yield from operation.cautions
    yield from (operation.until or "", operation.condition or "")
    for step in instruction.steps:
        if step.origin.text.strip() == sentence:
            yield from _of_step(step)


def _of_step(step: Step) -> Iterator[str]:
    yield from (step.action.value, step.stage.value, step.with_ or "", step.until or "", step.condition or "")
    yield from (step.air_removal.value if step.air_removal else "", *step.on, *step.tools, *step.cautions)
    yield from (figure.as_written for figure in step.figures)
    yield from (f"{feature} {position}" for feature, position in step.positions.items())


def _stems(texts: Iterable[str]) -> set[str]:
    return {word.casefold()[:_STEM] for text in texts for word in _WORD.findall(text.replace("-", " "))}
