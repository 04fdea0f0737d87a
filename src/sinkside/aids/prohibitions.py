"""What must never be done to a device, in the maker's own words, which structure alone does not hold."""

from __future__ import annotations

import re
from collections.abc import Iterable

from sinkside.instruction import Instruction, Origin, StatementKind

#: What a maker prints before a warning says nothing below a heading that says it.
_LABEL = re.compile(
    r"^\W*(?:warning|caution|attention|important|danger|note|warnhinweis|achtung|vorsicht)\W*[:!–-]\s*",
    re.IGNORECASE,
)

#: Limits that are counted over a life, not kept at each processing.
_OVER_A_LIFE = "cycles"


def never(instruction: Instruction) -> tuple[str, ...]:
    """Every prohibition, each once, in the order of the text."""
    return _told(one.origin for one in instruction.statements if one.kind is StatementKind.prohibition)


def kept_limits(instruction: Instruction) -> tuple[str, ...]:
    """Every figure that is never to be passed, in the sentence that sets it, unless a prohibition says it."""
    said = [one.origin for one in instruction.statements if one.kind is StatementKind.limit]
    said += [one.origin for one in instruction.device.limits if one.limits != _OVER_A_LIFE]
    forbidden = never(instruction)
    return tuple(sentence for sentence in _told(said) if sentence not in forbidden)


def _told(origins: Iterable[Origin]) -> tuple[str, ...]:
    ordered = sorted(origins, key=lambda one: (one.page, one.line))
    return tuple(dict.fromkeys(filter(None, (plain_sentence(origin.text) for origin in ordered))))


def plain_sentence(text: str) -> str:
    """A maker's sentence without its label and list marks, as a sentence.

    >>> plain_sentence("CAUTION: Do not soak in saline")
    'Do not soak in saline.'
    """
    words = _LABEL.sub("", text.strip()).strip(" ;•–-|")
    if not words:
        return ""
    return words[0].upper() + words[1:] + ("" if words[-1] in ".!?" else ".")
