"""What the team has fresh, by device and step; no names, no ranks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sinkside.desk import team_memory
from sinkside.desk.memory_policy import policy
from sinkside.web.asked import Asked
from sinkside.web.screens.learning.asking import LEARN, PLACE, screen

#: From which share of fresh answers on the daily questions suffice, or a word about them does; below it,
#: somebody shows it again (common practice, no source).
_WILL_DO: Final = 0.8
_REMIND: Final = 0.5


@dataclass(frozen=True)
class TeamLine:
    """A device or a step: its page, what it is, how much is fresh, and what to do."""

    address: str
    what: str
    fresh: str
    next: str


@dataclass(frozen=True)
class TeamPage:
    """What the team has fresh.

    Attributes:
        title: the heading.
        lines: what should be refreshed most stands first; of one device, its steps in order.
        too_few: how many devices too few people were asked of.
        fewest: below how many people nothing is shown.
        back: where one came from.
        device: which device; empty for all of them.
    """

    title: str
    lines: tuple[TeamLine, ...]
    too_few: int
    fewest: int
    back: str
    device: str


@screen.page(f"{PLACE}/team", right=LEARN, template="learning_team.html")
def team(asked: Asked) -> TeamPage:
    """Every device that enough people were asked of."""
    found = team_memory.team_devices(asked.archive, asked.visitor, now=asked.now)
    return TeamPage(
        title="What the team has fresh",
        lines=tuple(
            TeamLine(
                asked.at(f"/learning/team/{one.instruction}"),
                one.device,
                f"{one.fresh} of {one.kept} answers of {one.people} people are fresh",
                _next(one.fresh, one.kept),
            )
            for one in found.devices
        ),
        too_few=found.too_few,
        fewest=policy().fewest_shown,
        back=asked.at("/learning"),
        device="",
    )


@screen.page(f"{PLACE}/team/{{instruction}}", right=LEARN, template="learning_team.html")
def team_device(asked: Asked, instruction: str) -> TeamPage:
    """One device, step by step."""
    device, steps = team_memory.team_steps(asked.archive, asked.visitor, instruction, now=asked.now)
    at = asked.at(f"/instructions/{instruction}") if asked.visitor.may("instruction-read") else ""
    return TeamPage(
        title=f"{device}: what the team has fresh",
        lines=tuple(
            TeamLine(
                f"{at}?step={one.step.id}#step-{one.step.id}" if at else "",
                one.step.origin.text,
                f"{one.fresh} of {one.kept} answers are fresh",
                _next(one.fresh, one.kept),
            )
            for one in steps
        ),
        too_few=0,
        fewest=policy().fewest_shown,
        back=asked.at("/learning/team"),
        device=device,
    )


def _next(fresh: int, of: int) -> str:
    """What to do, in words: a team is told what to repeat, not how well it did."""
    if fresh == of:
        return "Nothing to do."
    if fresh >= _WILL_DO * of:
        return "The daily questions will do."
    if fresh >= _REMIND * of:
        return "Remind each other of the daily questions."
    return "Show it again at the next briefing."
