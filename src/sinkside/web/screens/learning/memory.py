"""One's own memory: what fades, what is fresh, and when it comes again; nobody else sees it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sinkside.desk import memories
from sinkside.desk.memories import OwnMemory
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screens.learning.asking import LEARN, PLACE, screen

#: More than this nobody reads; what comes soonest stands first.
_MOST: Final = 60


@dataclass(frozen=True)
class MemoryLine:
    """A question: of which device, what it asks, how likely it is known, how often asked, due when."""

    device: str
    prompt: str
    likely: str
    times: str
    again: str
    is_due: bool


@dataclass(frozen=True)
class MemoryPage:
    """What somebody is likely to remember.

    Attributes:
        title: the heading.
        fading: what is to be asked again, the likeliest forgotten first.
        fresh: what is not, by when it comes again.
        more: how many fresh ones are not shown.
        learning: where today's questions are.
    """

    title: str
    fading: tuple[MemoryLine, ...]
    fresh: tuple[MemoryLine, ...]
    more: int
    learning: str


@screen.page(f"{PLACE}/memory", right=LEARN, template="learning_memory.html")
def memory(asked: Asked) -> MemoryPage:
    """One's own memory, in lists and words."""
    own = memories.own_memories(asked.archive, asked.visitor, now=asked.now)
    fading = sorted((one for one in own if one.is_due(asked.now)), key=lambda one: one.likely)
    fresh = [one for one in own if not one.is_due(asked.now)]
    return MemoryPage(
        title="What I am likely to remember",
        fading=tuple(_line(asked, one) for one in fading),
        fresh=tuple(_line(asked, one) for one in fresh[:_MOST]),
        more=max(len(fresh) - _MOST, 0),
        learning=asked.at("/learning"),
    )


def _line(asked: Asked, one: OwnMemory) -> MemoryLine:
    times = "once" if one.memory.times == 1 else f"{one.memory.times} times"
    return MemoryLine(
        device=one.device,
        prompt=one.question.prompt,
        likely=_in_ten(one.likely),
        times=f"asked {times}, {one.memory.right} right",
        again=shown_moment(one.memory.due, asked.visitor.zone)[:10],
        is_due=one.is_due(asked.now),
    )


def _in_ten(chance: float) -> str:
    """A chance as people say it; nothing is certain.

    >>> _in_ten(0.97), _in_ten(0.88), _in_ten(0.01)
    ('more than 9 in 10', 'about 9 in 10', 'fewer than 1 in 10')
    """
    tenths = round(10 * chance)
    if tenths in {0, 10}:
        return "more than 9 in 10" if tenths else "fewer than 1 in 10"
    return f"about {tenths} in 10"
