"""What is typed about a loan: moments, masses, and lists of parts, read or refused in a sentence."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final

from sinkside.bench.loans import LoanPart
from sinkside.errors import BadInput, BadQuantity
from sinkside.quantities import Quantity
from sinkside.sets.document import MOST_OF_ONE

#: How many, then what: 2 Guide, 12 x Sleeve, 3 × Pin.
_PART: Final = re.compile(r"(\d{1,3})\s*(?:[x×]\s)?\s*(\S.*)")


def mass(typed: str) -> Quantity | None:
    """A mass; none where nothing was typed.

    Raises:
        BadInput: if it is none.
    """
    if not typed.strip():
        return None
    try:
        found = Quantity.parse(typed.strip())
        weighs = found.to("kg")
    except BadQuantity as error:
        raise BadInput("expected a mass such as 4.2 kg", resource="mass") from error
    if weighs <= 0:
        raise BadInput("expected a mass above nothing, such as 4.2 kg", resource="mass")
    return found


def parts_of(typed: str, *, most: int) -> tuple[LoanPart, ...]:
    r"""A list of parts, a line for each, how many first.

    Raises:
        BadInput: if a line does not say how many of what, says it twice, or there are too many.

    >>> [(one.expected, one.name) for one in parts_of("2 Guide, long\n12 x Sleeve", most=9)]
    [(2, 'Guide, long'), (12, 'Sleeve')]
    """
    found: dict[str, LoanPart] = {}
    for line in filter(None, (" ".join(one.split()) for one in typed.splitlines())):
        told = _PART.fullmatch(line)
        if told is None or not int(told[1]):
            raise BadInput(f"'{line[:60]}': expected how many and what, such as 2 Guide", resource="parts")
        if told[2] in found:
            raise BadInput(f"'{told[2][:60]}' stands twice on the list", resource="parts")
        found[told[2]] = LoanPart(name=told[2][:200], expected=int(told[1]))
    if len(found) > most:
        raise BadInput(f"{len(found)} lines; expected at most {most}: send it in parts", resource="parts")
    return tuple(found.values())


def counted(typed: Mapping[str, Any], lines: int) -> tuple[int, ...]:
    """How many of each line were counted.

    Raises:
        BadInput: if a line was not counted, or not in whole numbers.
    """
    found = []
    for number in range(1, lines + 1):
        field = f"counted_{number}"
        text = str(typed.get(field) or "").strip()
        if not text.isdecimal() or int(text) > MOST_OF_ONE:
            raise BadInput("expected how many came, 0 if none did", resource=field)
        found.append(int(text))
    return tuple(found)
