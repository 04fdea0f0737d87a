"""No patient's name in words about work: what reads like one is refused, and not kept even as refused.

A case is a number; every other field is a code, a thing of the department, a choice, or words about the work.
Nobody can tell every name from every noun, so only what is plain is heard: a title with a name, a patient who
is called something, a birthday. Screens ask for no names beside every field of words.
"""

from __future__ import annotations

import re
from collections.abc import Collection
from typing import Any, Final, TypeVar

from sinkside.documents import Value

Act = TypeVar("Act", bound=Value)

#: The fields of acts that take words about the work.
WORDS: Final = frozenset(
    {"authority", "fault", "label", "note", "place", "reason", "substitutes", "what", "where", "why", "words"}
)
#: The fields of acts that name a thing of the house, which must be there.
THINGS: Final = frozenset(
    {"alarm", "code", "found", "hold", "line", "machine", "packaging", "piece", "program", "rack", "task"}
    | {"undone", "without"}
)
_SHORTEST: Final = 3
#: What stands for words that were left out.
LEFT_OUT: Final = "(left out: it read like a name)"

_CAPITAL: Final = r"[A-ZÀ-ÖØ-ÞĀ-Ž][a-zà-öø-ž]+"
_TITLE: Final = re.compile(
    rf"\b(?:Mr|Mrs|Ms|Miss|Mister|Herrn?|Frau|Mme|Mlle|Monsieur|Madame|Señora?|Sra?)\b\.?\s+{_CAPITAL}"
)
_PATIENT: Final = re.compile(
    rf"\b(?i:patient(?:in|e)?|paciente)\b\s*(?::|named|called|is|heißt)?\s*{_CAPITAL}"
)
_BORN: Final = re.compile(r"\b(?:born|dob|geb(?:oren)?\.?|née?|nacid[oa])\b", re.IGNORECASE)
_BIRTHDAY: Final = re.compile(r"\b\d{1,2}[-/.]\d{1,2}[-/.]19\d{2}\b|\b19\d{2}[-/.]\d{1,2}[-/.]\d{1,2}\b")


def reads_like_a_name(words: str) -> bool:
    """Whether some words plainly name a patient, or say when one was born.

    >>> reads_like_a_name("soil in the lumen, asked Frau Berg"), reads_like_a_name("soil in the lumen")
    (True, False)
    """
    return any(one.search(words) for one in (_TITLE, _PATIENT, _BORN, _BIRTHDAY))


def without_names(act: Act) -> tuple[Act, tuple[str, ...]]:
    """An act without the words that read like a name, and which fields these were; mostly none."""
    found: dict[str, str | dict[str, str]] = {}
    for field in sorted(WORDS & set(type(act).model_fields)):
        value = getattr(act, field)
        if isinstance(value, str) and reads_like_a_name(value):
            found[field] = LEFT_OUT
        elif isinstance(value, dict) and any(map(reads_like_a_name, value.values())):
            found[field] = {key: LEFT_OUT if reads_like_a_name(one) else one for key, one in value.items()}
    return act.model_copy(update=found), tuple(found)


def kept_of_refused(act: dict[str, Any], said: str, known: Collection[str]) -> tuple[dict[str, Any], str]:
    """What is kept of an act that was refused, and of the sentence that refused it.

    What should have named a thing of the house may have been anything. Codes and ids have digits, names have
    none: whatever has no digit and is not known here is left out.

    >>> kept_of_refused({"act": "take-up", "code": "Kowalska"}, "no set here has the code Kowalska", ())[0]
    {'act': 'take-up', 'code': '(left out: it read like a name)'}
    """
    kept = dict(act)
    for field in THINGS & set(act):
        for value in _texts(act[field]):
            if len(value) < _SHORTEST or value in known or any(sign.isdigit() for sign in value):
                continue
            kept[field] = LEFT_OUT
            said = said.replace(value, LEFT_OUT)
    return kept, said


def _texts(value: Any) -> list[str]:
    if isinstance(value, str):
        return [value]
    return [one for one in value if isinstance(one, str)] if isinstance(value, list | dict) else []
