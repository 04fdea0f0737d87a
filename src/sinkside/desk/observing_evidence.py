"""What shows that somebody can work alone: lesson, questions, observations; and what is still missing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sinkside.desk import lessons, sign_offs
from sinkside.desk.observing_documents import Observation
from sinkside.desk.observing_kept import OBSERVATION
from sinkside.desk.ports import Unit
from sinkside.desk.sign_off_policy import policy_in
from sinkside.records import WantedRows
from sinkside.teach.sign_offs import Level

_PERCENT: Final = 100


@dataclass(frozen=True)
class ShownBy:
    """What is shown, by kind of evidence, and what policy asks for that is not shown yet, in words."""

    evidence: dict[str, str]
    missing: tuple[str, ...]


def shown_for(
    unit: Unit, department: str, made: Observation, observation: str, family: str, *, now: datetime
) -> ShownBy:
    """What shows that a trainee can do what was just watched, and what is missing for work alone.

    Args:
        unit: the transaction.
        department: where.
        made: the observation that both signed.
        observation: its id.
        family: the device family that is signed off.
        now: the moment.
    """
    before = {
        (one.family, one.station): one for one in sign_offs.standings_of(unit, department, made.trainee)
    }
    stood = before.get((family, made.station))
    occasion = sign_offs.occasion_of(unit, department, made.trainee, stood, now)
    asked = policy_in(unit, department).asked(occasion)
    watched = _watched(unit, department, made)
    evidence = {"observation": f"{observation}, {made.outcome.sentence}"}
    missing = []
    taken = lessons.learnt_by(unit, department, made.instruction, made.revision).get(made.trainee)
    if taken is not None:
        evidence["lesson"] = f"revision {made.revision}, {taken.date().isoformat()}"
    elif asked.lesson != "none":
        missing.append("the lesson")
    right, answered = unit.answers.right_of(department, made.instruction, made.revision).get(
        made.trainee, (0, 0)
    )
    if answered and right * _PERCENT >= asked.questions * answered:
        evidence["questions"] = f"{right} of {answered} right"
    elif asked.questions:
        missing.append(f"{asked.questions} % of the questions right")
    if watched < asked.observations:
        missing.append(f"{asked.observations - watched} more observed")
    return ShownBy(evidence, tuple(missing))


def listed(words: Sequence[str]) -> str:
    """Words one after the other, the last after "and".

    >>> listed(["the lesson", "questions", "one more"]), listed(["the lesson"])
    ('the lesson, questions and one more', 'the lesson')
    """
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1])))


def _watched(unit: Unit, department: str, made: Observation) -> int:
    """How often the trainee was seen to work alone at this station with this device, this time included."""
    fields = {
        "trainee": made.trainee,
        "instruction": made.instruction,
        "station": made.station.value,
        "level": Level.independent.value,
    }
    return unit.rows.count_found(OBSERVATION, [department], WantedRows(states=["signed"], fields=fields))
