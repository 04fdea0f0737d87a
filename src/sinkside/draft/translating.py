"""What the other languages of a document say: their figures, each beside the words that it translates.

Both languages are drafted alike. What they say is then laid side by side in order: two sentences belong
together the more, the more they share of stage, action, number and figures; a sentence may also stay alone.
"""

from __future__ import annotations

import functools
import itertools
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from sinkside.instruction import Instruction, Origin, Translated, Translation
from sinkside.quantities import Figure

#: What is shared weighs so much; below the least, two sentences have nothing to do with each other.
_SAME_LINE = 3.0
_SAME_STAGE = 1.0
_SAME_ACTION = 1.5
_SAME_KIND = 1.0
_SAME_NUMBER = 1.0
_SAME_QUANTITIES = 2.0
_SAME_VALUE = 0.75
_LEAST_SHARED = 2.0
#: Only so far apart, in sentences, two languages can run: more is another order, which nothing shows.
_WIDEST_DRIFT = 60


@dataclass
class _Said:
    """A sentence of one language: where it stands, what it asks for, its figures."""

    origin: Origin
    figures: list[Figure] = field(default_factory=list)
    stages: set[str] = field(default_factory=set)
    actions: set[str] = field(default_factory=set)
    numbers: set[str] = field(default_factory=set)

    @functools.cached_property
    def quantities(self) -> frozenset[str]:
        """What its figures measure."""
        return frozenset(figure.quantity.value for figure in self.figures)

    @functools.cached_property
    def values(self) -> frozenset[tuple[float, float, str]]:
        """Its figures as values."""
        return frozenset((*figure.ends(), figure.unit) for figure in self.figures)


def translation(ours: Instruction, theirs: Instruction, language: str) -> Translation:
    """The figures of another language of a document, each beside the words of ours that it translates.

    Args:
        ours: the instruction in the language that is read.
        theirs: the same document, drafted in the other language.
        language: the other language.
    """
    here, there = list(_sentences(ours)), list(_sentences(theirs))
    beside = dict(_pairs(here, there))
    return Translation(
        language=language,
        passages=tuple(
            Translated(
                figures=tuple(said.figures),
                origin=said.origin,
                beside=here[beside[place]].origin if place in beside else None,
            )
            for place, said in enumerate(there)
        )
        + _without_figures(theirs, {said.origin for said in there}),
        not_understood=theirs.not_understood,
    )


def _without_figures(theirs: Instruction, told: set[Origin]) -> tuple[Translated, ...]:
    """What the other language forbids, asks for or tells in sentences without figures."""
    origins = [one.origin for one in theirs.statements] + [one.origin for one in theirs.steps]
    return tuple(Translated(origin=origin) for origin in dict.fromkeys(origins) if origin not in told)


def _sentences(instruction: Instruction) -> Iterator[_Said]:
    """What was read from each sentence that holds a figure, in the order of the text."""
    found: dict[tuple[int, int, str], _Said] = {}

    def at(origin: Origin) -> _Said:
        return found.setdefault((origin.page, origin.line, origin.text), _Said(origin))

    for step in instruction.steps:
        said = at(step.origin)
        said.figures.extend(step.figures)
        said.stages.add(step.stage.value)
        said.actions.add(step.action.value)
        said.numbers.update(filter(None, [step.number]))
    for statement in instruction.statements:
        said = at(statement.origin)
        said.figures.extend(statement.figures)
        said.actions.add(f"statement {statement.kind.value}")
    for limit in instruction.device.limits:
        at(limit.origin).figures.append(limit)
    figured = [said for said in found.values() if said.figures]
    return iter(sorted(figured, key=lambda said: (said.origin.page, said.origin.line)))


def _shared(one: _Said, other: _Said) -> float:
    """How much speaks for two sentences being the same one in two languages."""
    score = 0.0
    if one.origin.line == other.origin.line and one.origin.page == other.origin.page:
        score += _SAME_LINE
    if not one.stages.isdisjoint(other.stages):
        score += _SAME_STAGE
    if not one.actions.isdisjoint(other.actions):
        score += _SAME_ACTION if one.stages else _SAME_KIND
    if not one.numbers.isdisjoint(other.numbers):
        score += _SAME_NUMBER
    both = len(one.quantities & other.quantities)
    if both:
        score += _SAME_QUANTITIES * both / len(one.quantities | other.quantities)
        score += _SAME_VALUE * len(one.values & other.values)
    return score


def _pairs(here: list[_Said], there: list[_Said]) -> Iterator[tuple[int, int]]:
    """Which sentence of theirs goes with which of ours, both in order: the most that can be shared in all."""
    best = [[0.0] * (len(here) + 1) for _ in range(len(there) + 1)]
    taken: set[tuple[int, int]] = set()
    drift = abs(len(here) - len(there)) + _WIDEST_DRIFT
    for row, col in itertools.product(range(1, len(there) + 1), range(1, len(here) + 1)):
        alone = max(best[row - 1][col], best[row][col - 1])
        score = _shared(here[col - 1], there[row - 1]) if abs(row - col) <= drift else 0.0
        together = best[row - 1][col - 1] + score
        if score >= _LEAST_SHARED and together > alone:
            taken.add((row, col))
        best[row][col] = max(alone, together if score >= _LEAST_SHARED else 0.0)
    yield from _traced(best, taken)


def _traced(best: list[list[float]], taken: Iterable[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    pairs = set(taken)
    row, col = len(best) - 1, len(best[0]) - 1
    while row and col:
        if (row, col) in pairs:
            yield row - 1, col - 1
            row, col = row - 1, col - 1
        elif best[row - 1][col] >= best[row][col - 1]:
            row -= 1
        else:
            col -= 1
