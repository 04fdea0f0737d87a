"""Letters that stand for what opens and shuts: "B at CLOSED" where the list says that B is the stopcock."""

from __future__ import annotations

import re

from sinkside.review.case import Case

#: What a letter may stand for here; a cap that is in place may be made to stay there.
_THING = r"(?P<thing>stopcock|cock|tap|valve|ratchet|catch|latch|jaws?|elevator|lever|slide|locking ring)\b"
_LISTED = re.compile(
    r"(?<![\w.])(?P<letter>[A-Z]\d?)\s*(?:[=:)\u2013-]\s*|\s)\s*(?:the\s+|an?\s+)?"
    rf"(?:[a-z-]+\s+){{0,2}}?{_THING}"
)
_TOLD = re.compile(rf"\b{_THING}\s+\(?(?P<letter>[A-Z]\d?)\)?(?!\w)")


def letters(case: Case) -> dict[str, str]:
    """What each letter stands for, where the text lists it as something that opens and shuts."""
    known: dict[str, str] = {}
    for part in case.instruction.device.parts:
        match = re.search(_THING, part.name.lower())
        if match and part.id.isupper():
            known.setdefault(part.id, match["thing"])
    for passage in case.statements:
        for pattern in (_LISTED, _TOLD):
            for match in pattern.finditer(passage.text):
                known.setdefault(match["letter"], match["thing"])
    return known


def by_name(case: Case, text: str) -> str:
    """Some words with the names of what letters stand for."""
    for letter, thing in letters(case).items():
        text = re.sub(rf"(?<![\w.]){letter}(?![\w.])", thing, text)
    return text
