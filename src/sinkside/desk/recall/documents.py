"""What is kept of a recall: why, how far, what it reached, and what was done about each."""

from __future__ import annotations

from typing import Literal

from pydantic import AwareDatetime, Field

from sinkside.bench.recall import CauseKind, Fate
from sinkside.documents import Value


class Cause(Value):
    """What a recall began with: its kind, the thing, and one sentence.

    `of` is the machine, instruction, person, set or lot; `load` the one load that it began with, if any.
    """

    kind: CauseKind
    of: str
    words: str = Field(min_length=1, max_length=500)
    load: str = ""
    revision: int = 0


class Recalled(Value):
    """One run that it reached, and how its set was found when it was opened."""

    run: str
    copy_id: str
    code: str
    name: str
    load: str
    at: AwareDatetime
    fate: Fate
    place: str
    used_in: tuple[str, ...] = ()


class Dealt(Value):
    """That something was dealt with: in what words, by whom, when."""

    words: str
    by: str
    at: AwareDatetime


class Recall(Value):
    """A recall (`sinkside/recall-1`).

    `sets` is what was done about each run, `cases` who was told of each case; later revisions have more.
    """

    format: Literal["sinkside/recall-1"] = "sinkside/recall-1"
    cause: Cause
    reach: str
    reason: str = ""
    since: AwareDatetime | None = None
    until: AwareDatetime
    loads: tuple[str, ...]
    reached: tuple[Recalled, ...]
    sets: dict[str, Dealt] = Field(default={})
    cases: dict[str, Dealt] = Field(default={})
    closed: Dealt | None = None
    by: str
    at: AwareDatetime

    @property
    def numbers(self) -> tuple[str, ...]:
        """The cases that something was used in, each once."""
        return tuple(dict.fromkeys(number for one in self.reached for number in one.used_in))

    @property
    def open_sets(self) -> tuple[Recalled, ...]:
        """What nobody has dealt with yet; a set that was processed again asks for nothing itself."""
        return tuple(
            one for one in self.reached if one.run not in self.sets and one.fate is not Fate.came_back
        )

    @property
    def open_cases(self) -> tuple[str, ...]:
        """The cases of which nobody was told yet."""
        return tuple(number for number in self.numbers if number not in self.cases)
