"""The maker's own marks of steps in quoted words, told apart from our letters: "(g)" is no step G of ours."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Final

from sinkside.instruction import Instruction
from sinkside.plain.operations import shown_operations
from sinkside.route import Route

#: What a maker's mark is called on paper: with our letter where its step is known, and where it is not.
OURS: Final = "the maker’s {mark} is here: {letter}"
NOT_OURS: Final = "{mark}: the maker’s own mark"

_NUMBER = r"\d{1,2}(?:\.\d{1,2})*"
_BRACKETED = r"\([A-Za-z]{1,2}\)"
_MARK = rf"(?:{_BRACKETED}|\({_NUMBER}\)|[A-Za-z]{{1,2}}\)|{_NUMBER}(?!\w)|[A-Z](?!\w))"

#: A number before one of these is a figure, no mark: "step 5 or 10 minutes".
_NO_FIGURE = r"(?!\s*(?:°|%|×|mL|ml|[Ll]\b|g\b|kg|bar|mm|min|sec|s\b|h\b|hour|times|cycle|day))"
_AND = (
    r"\s*(?:,|;|/|–|-|&|\b(?:and|or|to|through|und|oder|bis|et|ou|à|y|o|a|i|lub|do|và|hoặc|đến)\b"
    r"|و|أو|至|和|或)"
)
_WORD = (
    r"(?i:\b(?:steps?|points?|items?|Schritt(?:e|en)?|Punkt(?:e|en)?|étapes?|pasos?|krok\w{0,4}|bước)"
    r"|الخطوة|步骤)"
)

#: A word for a step, and after it one mark or several.
_STEPS = re.compile(
    rf"{_WORD}\s+(?P<marks>{_MARK}{_NO_FIGURE}(?:{_AND}\s*(?:{_WORD}\s+)?{_MARK}{_NO_FIGURE})*)"
)

#: A letter in brackets alone; "part(s)" is none.
_LETTER_ALONE = re.compile(rf"(?<![\w)]){_BRACKETED}")
_EACH = re.compile(_MARK)


def marks_in(text: str, known: Iterable[str] = ()) -> tuple[str, ...]:
    """The marks of steps that a maker's words refer to, as they stand, each once.

    Args:
        text: the maker's words.
        known: the marks of the maker's steps; a letter in brackets alone is a mark where some are written so.

    >>> marks_in("If soil is seen, repeat from step (g).")
    ('(g)',)
    >>> marks_in("Retire it if it fails at (s), (t) or (w).", ["s"])
    ('(s)', '(t)', '(w)')
    """
    found = [
        (match.start() + mark.start(), mark[0])
        for match in _STEPS.finditer(text)
        for mark in _EACH.finditer(" " * (match.start("marks") - match.start()) + match["marks"])
    ]
    cases = {one.islower() for one in known if one.isalpha()}
    found += [
        (match.start(), match[0]) for match in _LETTER_ALONE.finditer(text) if match[0].islower() in cases
    ]
    return tuple(dict.fromkeys(mark for _, mark in sorted(found)))


class MakersMarks:
    """Knows which letters of ours carry out the steps that the maker marks so."""

    def __init__(self, instruction: Instruction, route: Route | None) -> None:
        letters = {step: one.letter for one in shown_operations(route, instruction) for step in one.steps}
        marked = [step for step in instruction.steps if step.number]
        self._letters = _letters_of(((step.number or "", step.id) for step in marked), letters)

    def told(self, texts: Iterable[str], say: Callable[..., str]) -> str:
        """What is to stand beside some quoted words: our letter for each mark, or that it is the maker's."""
        marks = [mark for text in texts for mark in marks_in(text, self._letters)]
        return "; ".join(self._told(mark, say) for mark in dict.fromkeys(marks))

    def _told(self, mark: str, say: Callable[..., str]) -> str:
        letter = self._letters.get(_bare(mark), "")
        return say(OURS, mark=mark, letter=letter) if letter else say(NOT_OURS, mark=mark)


def _letters_of(marked: Iterable[tuple[str, str]], letters: Mapping[str, str]) -> dict[str, str]:
    """Our letters by mark; a mark that the text uses anew in another place names no step for certain."""
    found: dict[str, str] = {}
    for mark, steps in _runs(marked):
        ours = dict.fromkeys(letters[step] for step in steps if step in letters)
        found[mark] = "" if mark in found else ", ".join(ours)
    return found


def _runs(marked: Iterable[tuple[str, str]]) -> Iterator[tuple[str, list[str]]]:
    for mark, run in itertools.groupby(marked, key=lambda one: _bare(one[0])):
        yield mark, [step for _, step in run]


def _bare(mark: str) -> str:
    return mark.strip("(). ")
