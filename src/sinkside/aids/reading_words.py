"""How much of a text was read, in words that promise no more than was seen."""

from __future__ import annotations

from collections.abc import Iterable

from sinkside.instruction import Instruction
from sinkside.language import render


def read_words(instructions: Iterable[Instruction], *, left: int | None = None, language: str = "en") -> str:
    """How many steps and figures were read, and whether a figure found no place.

    Args:
        instructions: the texts.
        left: how many figures found no place, where somebody has placed some of them since.
        language: the reader's language.

    That each found a place says nothing of whether it is the right one: only a person sees that.

    >>> from sinkside.instruction import Device
    >>> read_words([Instruction(device=Device(name="Forceps"))])
    'no step could be read'
    """
    texts = list(instructions)
    if left is None:
        left = sum(len(one.not_understood) for one in texts)
    steps = sum(len(one.steps) for one in texts)
    figures = sum(len(step.figures) for one in texts for step in one.steps)
    if not steps and not left:
        return render("no step could be read", {}, language)
    found = "every figure found a place, whether the right one, a person compares"
    if left:
        found = "{left} figure found no place" if left == 1 else "{left} figures found no place"
    many = f"{{steps}} step{'' if steps == 1 else 's'} with {{figures}} figure{'' if figures == 1 else 's'}"
    return render(f"{many}; {found}", {"steps": steps, "figures": figures, "left": left}, language)
