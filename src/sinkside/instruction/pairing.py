"""Which step of one revision is which of another: by stage, action and words, whatever the numbering."""

from __future__ import annotations

from collections.abc import Sequence

from sinkside.instruction.document import Step

#: Below this, two steps of different action are two different steps.
_ALIKE_ENOUGH = 0.6
_WEIGHT_OF_WORDS = 4.0
_WEIGHT_OF_FIGURES = 2.0


def words_of(text: str) -> str:
    """Words without case and spacing, to see whether two texts say the same."""
    return " ".join(text.casefold().split())


def paired_steps(old: Sequence[Step], new: Sequence[Step]) -> list[tuple[Step | None, Step | None]]:
    """Every step of both sides, paired where they are the same; in the old order, then what is new.

    Steps of one stage and action are paired by likeness, best first; what is left over is paired where the
    words agree, for a step may have been read as something else before.
    """
    partner: dict[int, int] = {}
    taken: set[int] = set()
    for strict in (True, False):
        for _, at_old, at_new in _candidates(old, new, strict=strict):
            if at_old not in partner and at_new not in taken:
                partner[at_old] = at_new
                taken.add(at_new)
    pairs: list[tuple[Step | None, Step | None]] = [
        (step, new[partner[at]] if at in partner else None) for at, step in enumerate(old)
    ]
    return pairs + [(None, step) for at, step in enumerate(new) if at not in taken]


def _candidates(old: Sequence[Step], new: Sequence[Step], *, strict: bool) -> list[tuple[float, int, int]]:
    words_before, words_after = ([_word_set(step) for step in side] for side in (old, new))
    kinds_before, kinds_after = ([_figure_kinds(step) for step in side] for side in (old, new))
    found = []
    for at_old, before in enumerate(old):
        for at_new, after in enumerate(new):
            if strict != ((before.stage, before.action) == (after.stage, after.action)):
                continue
            alike = _shared(words_before[at_old], words_after[at_new])
            if strict or alike >= _ALIKE_ENOUGH:
                kinds = _shared(kinds_before[at_old], kinds_after[at_new])
                near = 1.0 / (1.0 + abs(at_old - at_new))
                same_id = 1.0 if before.id == after.id else 0.0
                score = _WEIGHT_OF_WORDS * alike + _WEIGHT_OF_FIGURES * kinds + near + same_id
                found.append((-score, at_old, at_new))
    return sorted(found)


def _word_set(step: Step) -> frozenset[str]:
    text = step.origin.text or " ".join(filter(None, (step.with_, *step.on, step.until)))
    return frozenset(words_of(text).split())


def _figure_kinds(step: Step) -> frozenset[str]:
    return frozenset(f"{figure.quantity.value} {figure.role or ''}" for figure in step.figures)


def _shared(one: frozenset[str], other: frozenset[str]) -> float:
    """How much of two sets is in both, from 0 to 1; two empty ones are alike."""
    return len(one & other) / len(one | other) if one | other else 1.0
