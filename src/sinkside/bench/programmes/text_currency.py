"""Whether a text is still the maker's current one: when the maker was asked, who answered, and what."""

from __future__ import annotations

from enum import StrEnum
from typing import Literal

from pydantic import AwareDatetime, Field

from sinkside.bench.programmes.words import LONGEST, Words
from sinkside.documents import Value


class Currency(StrEnum):
    """How a text stands towards its maker."""

    never_asked = "never-asked"
    waits = "waits"
    current = "current"
    replaced = "replaced"


class MakerSaid(Value):
    """What the maker answered: which department of it, whether ours is the current edition, else which is."""

    said_by: str = Field(min_length=1, max_length=LONGEST)
    is_current: bool
    edition: Words = ""
    by: str
    at: AwareDatetime


class MakerAsked(Value):
    """That the maker was asked: how, by whom, when, about which revision of ours; and what came of it."""

    how: Words = ""
    revision: int
    by: str
    at: AwareDatetime
    answer: MakerSaid | None = None


class TextCurrency(Value):
    """Everything that a maker was asked about one text (`sinkside/text-currency-1`), the oldest first."""

    format: Literal["sinkside/text-currency-1"] = "sinkside/text-currency-1"
    asked: tuple[MakerAsked, ...] = ()

    def stands(self, approved: int) -> Currency:
        """How the text stands, with the revision that is approved now.

        An answer that another edition is current stands until a later revision of ours is approved.
        """
        if not self.asked:
            return Currency.never_asked
        last = self.asked[-1]
        if last.answer is None:
            return Currency.waits
        if last.answer.is_current:
            return Currency.current
        return Currency.replaced if approved <= last.revision else Currency.never_asked
