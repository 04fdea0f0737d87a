"""Whether the questions of a device are any good, by the latest answers of a department."""

from __future__ import annotations

import functools
import tomllib
from importlib import resources
from typing import Final

from sinkside.desk import shelf
from sinkside.desk.access import Visitor, require
from sinkside.desk.memories import bank_in_force
from sinkside.desk.ports import Archive
from sinkside.teach.question_quality import Given, Quality, QualityPolicy, quality_of

_WITH_FAILURES: Final = 3


@functools.cache
def policy() -> QualityPolicy:
    """From where on a figure is worth a look.

    >>> policy().fewest
    30
    """
    file = resources.files("sinkside.desk").joinpath("policies", "question_quality.toml")
    return QualityPolicy.model_validate(tomllib.loads(file.read_text(encoding="utf-8")))


def observations_for(share: float, confidence: float) -> tuple[int, ...]:
    """How many observations show, so surely, that failures are rarer than a share: with none, one and two.

    >>> observations_for(0.05, 0.95)
    (59, 93, 124)
    """
    from sinkside.science.binomial import observations_needed

    return tuple(observations_needed(share, confidence, failures=one) for one in range(_WITH_FAILURES))


def quality_here(archive: Archive, who: Visitor, instruction: str) -> Quality:
    """What people's first answers in this department say of the questions of a device; nobody is named.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such instruction here.
    """
    require(who, "lesson-edit")
    known = policy()
    with archive.unit(writes=False) as unit:
        row = shelf.row_of(unit, who, instruction)
        questions = bank_in_force(unit, who, row.id)
        given = unit.answers.of_instruction(who.department, row.id, most=known.most)
    return quality_of(questions, [Given(one.person, one.question, one.choice) for one in given], known)
