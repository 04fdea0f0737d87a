"""Words that people write into programmes, families and events: short, and without a name."""

from __future__ import annotations

from typing import Annotated, Final

from pydantic import Field

from sinkside.bench.no_names import reads_like_a_name
from sinkside.errors import BadInput

LONGEST: Final = 300

Words = Annotated[str, Field(max_length=LONGEST)]


def plain(text: str, field: str, *, needed: bool = False) -> str:
    """Words as they are kept: white space folded, none too long, no name in them.

    Raises:
        BadInput: if they read like a name, are too long, or are missing where they are needed.

    >>> plain("  the  lead of sterile services ", "said_by")
    'the lead of sterile services'
    """
    words = " ".join(text.split())
    if needed and not words:
        raise BadInput("expected a few words", resource=field)
    if len(words) > LONGEST:
        raise BadInput(f"these are {len(words)} characters; at most {LONGEST}", resource=field)
    if reads_like_a_name(words):
        raise BadInput("this reads like a name; write the post or the thing instead", resource=field)
    return words
