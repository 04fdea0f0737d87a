"""Whether a step says the same as before, wherever it now stands and however it is numbered."""

from __future__ import annotations

from typing import Final

from sinkside.instruction import Step
from sinkside.instruction.pairing import words_of

#: Where a step stands, and under which number, does not change what is to be done.
_WHERE_IT_STANDS: Final = frozenset({"id", "number", "heading", "origin", "repeats"})


def is_same(before: Step, after: Step) -> bool:
    """Whether two steps that were paired ask for the same: structure, figures and the maker's words.

    What a `repeat` repeats is named by ids, which another numbering changes; the maker's sentence tells it.

    >>> first = Step(id="s1", stage="cleaning", action="brush", on=("jaw",))
    >>> is_same(first, first.model_copy(update={"id": "s4"}))
    True
    >>> is_same(first, first.model_copy(update={"on": ("shaft",)}))
    False
    """
    texts = [words_of(step.origin.text) for step in (before, after)]
    structures = [step.model_dump(exclude=set(_WHERE_IT_STANDS)) for step in (before, after)]
    return texts[0] == texts[1] and structures[0] == structures[1]
