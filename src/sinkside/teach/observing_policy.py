"""What observers watch for as policy: which criteria are critical and why, and how far a person may get."""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Collection, Mapping
from enum import StrEnum
from importlib import resources
from typing import Literal

from pydantic import Field

from sinkside.documents import Value
from sinkside.instruction import Action, Stage
from sinkside.quantities import FigureQuantity
from sinkside.route import Station
from sinkside.teach.sign_offs import Level


class CriterionKind(StrEnum):
    """What a criterion is about."""

    protection = "protection"
    act = "act"
    position = "position"
    until = "until"
    parts = "parts"
    pictures = "pictures"


class Manner(StrEnum):
    """How work is watched: on a device in use, or shown back after teaching."""

    at_work = "at-work"
    return_demonstration = "return-demonstration"


class CriticalRule(Value):
    """Which criteria are critical, and why; what is left empty holds for all."""

    id: str
    of: tuple[CriterionKind, ...]
    stages: tuple[Stage, ...] = ()
    actions: tuple[Action, ...] = ()
    quantities: tuple[FigureQuantity, ...] = ()
    why: str
    how_read: Literal["common-practice"]

    def fits(
        self, kind: CriterionKind, stage: Stage, action: Action, quantities: Collection[FigureQuantity]
    ) -> bool:
        """Whether a criterion of that kind, stage and action, with figures of those quantities, is meant."""
        return (
            kind in self.of
            and (not self.stages or stage in self.stages)
            and (not self.actions or action in self.actions)
            and (not self.quantities or bool(set(self.quantities) & set(quantities)))
        )


class OutcomeRule(Value):
    """How far what was seen may lead.

    Attributes:
        not_yet_from_critical_missed: so many critical criteria missed, and it is not yet.
        others_missed: so many others may be missed for independent work.
        seen_for_supervised: the least share of the criteria that must be seen done for supervised work.
        seen_for_independent: the same for independent work; every critical one must be seen done besides.
    """

    not_yet_from_critical_missed: int = Field(ge=1)
    others_missed: int = Field(ge=0)
    seen_for_supervised: float = Field(ge=0, le=1)
    seen_for_independent: float = Field(ge=0, le=1)


class MannerRule(Value):
    """What a way of watching is called, what it asks for, and how far it may lead."""

    name: str
    about: str
    highest: Level


class ObservingPolicy(Value):
    """Everything that decides an observation, beside what was seen."""

    critical: tuple[CriticalRule, ...]
    protection: Mapping[Station, str]
    outcome: OutcomeRule
    manners: Mapping[Manner, MannerRule]


@functools.cache
def observing_policy() -> ObservingPolicy:
    """What comes with Sinkside."""
    text = resources.files("sinkside.teach").joinpath("observing.toml").read_text("utf-8")
    return ObservingPolicy.model_validate(tomllib.loads(text))
