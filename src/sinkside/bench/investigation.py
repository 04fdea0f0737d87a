"""What is kept where a pack was wet, or soil was found at assembly: what else lay in that load, and where."""

from __future__ import annotations

from enum import StrEnum
from typing import Final, Literal

from pydantic import AwareDatetime

from sinkside.bench.run import Place
from sinkside.documents import Value


class Trouble(StrEnum):
    """What was found."""

    wet = "wet"
    soil = "soil"


TROUBLE_WORDS: Final[dict[Trouble, str]] = {
    Trouble.wet: "wet pack",
    Trouble.soil: "soil found at assembly",
}

#: Where nobody in the department has it in hand any longer.
_GONE: Final = frozenset({Place.issued})


class Beside(Value):
    """Another piece of the same load: where it was, and whether it was held or whoever has it is told."""

    copy_id: str
    code: str
    name: str
    place: Place
    then: Literal["held", "told"]

    @property
    def words(self) -> str:
        """One clause for a list."""
        return f"{self.name} ({self.code}), {self.place.value.replace('-', ' ')}: {self.then}"


class Investigation(Value):
    """What was found in a load (`sinkside/investigation-1`), what lay beside it, and what it came to.

    Attributes:
        kind: wet pack or soil.
        load: the load.
        machine: its machine's name.
        code: the code of the piece that it was found on.
        name: what that is called.
        where: where on or in it.
        note: anything else.
        beside: the other pieces of the load, as they were then.
        by: who found it.
        at: when.
        closed_by: who closed it; nobody yet where it is empty.
        closed_at: when.
        found: what it came to, in words.
    """

    format: Literal["sinkside/investigation-1"] = "sinkside/investigation-1"
    kind: Trouble
    load: str
    machine: str
    code: str
    name: str
    where: str
    note: str = ""
    beside: tuple[Beside, ...] = ()
    by: str
    at: AwareDatetime
    closed_by: str = ""
    closed_at: AwareDatetime | None = None
    found: str = ""

    @property
    def told(self) -> str:
        """What was found and what follows, in a sentence or two.

        >>> from datetime import UTC, datetime
        >>> one = Beside(copy_id="c-2", code="S2", name="Cup", place=Place.in_store, then="held")
        >>> Investigation(kind=Trouble.soil, load="l-1", machine="Washer 1", code="S1", name="Nose set",
        ...     where="jaw", beside=(one,), by="p-1", at=datetime(2026, 3, 1, tzinfo=UTC)).told
        'Soil found at assembly: Nose set (S1), jaw; load of Washer 1. 1 other: Cup (S2), in store: held.'
        """
        words = TROUBLE_WORDS[self.kind].capitalize()
        head = f"{words}: {self.name} ({self.code}), {self.where}; load of {self.machine}."
        if not self.beside:
            return f"{head} Nothing else lay in it that is still under way."
        number = f"{len(self.beside)} other{'' if len(self.beside) == 1 else 's'}"
        return f"{head} {number}: {'; '.join(one.words for one in self.beside)}."


def beside(copy_id: str, code: str, name: str, place: Place) -> Beside:
    """Another piece of the load: held where the department has it, else whoever has it is told."""
    return Beside(
        copy_id=copy_id, code=code, name=name, place=place, then="told" if place in _GONE else "held"
    )
