"""What would leave less water: each change reckoned anew, and only those that help told."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from sinkside.moisture.balance import SteamCycle
from sinkside.moisture.bounds import (
    Assumed,
    Container,
    Item,
    ItemEnds,
    PackBounds,
    Span,
    bound_ends,
    ends_of,
)
from sinkside.moisture.things import Lie

#: How much longer is reckoned with, where the texts allow longer at all.
_LONGER: Final = 1.5

#: So many things are tried at most: those that may leave or pass on the most.
_TRIED: Final = 3


@dataclass(frozen=True)
class Change:
    """A change that leaves less at the wetter end: in words, and what the pack then holds, in kg of water."""

    sentence: str
    left: Span


@dataclass(frozen=True)
class Pack:
    """Everything that an estimate is made of; what is reckoned of a thing is kept while others change."""

    ends: tuple[ItemEnds, ...]
    container: Container
    cycle: SteamCycle
    assumed: Assumed

    @classmethod
    def of(cls, items: Iterable[Item], container: Container, cycle: SteamCycle, assumed: Assumed) -> Pack:
        """A pack of things that are reckoned now."""
        return cls(tuple(ends_of(item, cycle, assumed) for item in items), container, cycle, assumed)

    @property
    def items(self) -> tuple[Item, ...]:
        """The things in it."""
        return tuple(end.item for end in self.ends)

    def bounds(self) -> PackBounds:
        """Its water between the ends of what is assumed."""
        return bound_ends(self.ends, self.container, self.cycle, self.assumed)


def what_would_help(pack: Pack, now: PackBounds, *, longer_allowed: bool) -> tuple[Change, ...]:
    """The changes that leave less at the wetter end, the best first; a stated time is never shortened.

    Args:
        pack: the set as it is.
        now: its water as it is.
        longer_allowed: whether every text says "at least" of its drying time.
    """
    least = pack.assumed["visible-water"].high / 1000.0
    changed = [
        Change(sentence, other.bounds().pack.left)
        for sentence, other in _changes(pack, now, longer_allowed=longer_allowed)
    ]
    good = [change for change in changed if change.left.high < now.pack.left.high - least]
    return tuple(sorted(good, key=lambda change: change.left.high))


def _changes(pack: Pack, now: PackBounds, *, longer_allowed: bool) -> Iterator[tuple[str, Pack]]:
    for at in _wettest(now):
        item = pack.items[at]
        if item.lies is not Lie.draining:
            drained = ends_of(replace(item, lies=Lie.draining), pack.cycle, pack.assumed)
            yield (
                f"Lay {item.name} so that water runs off.",
                replace(pack, ends=(*pack.ends[:at], drained, *pack.ends[at + 1 :])),
            )
    movable = [at for at, item in enumerate(pack.items) if item.movable]
    if len(movable) > 1:
        at = max(movable, key=lambda place: now.items[place].condensed.high)
        rest = (*pack.ends[:at], *pack.ends[at + 1 :])
        yield f"Pack {pack.items[at].name} in another set.", replace(pack, ends=rest)
    if not pack.container.liner:
        lined = replace(pack.container, liner=True)
        yield (
            "Lay an absorbent liner on the floor, if the maker of the packaging allows one.",
            replace(pack, container=lined),
        )
    if longer_allowed:
        longer = replace(pack.cycle, drying_s=_LONGER * pack.cycle.drying_s)
        yield (
            f"Use a program validated to dry for {longer.drying_s / 60.0:g} min; the texts say 'at least'.",
            Pack.of(pack.items, pack.container, longer, pack.assumed),
        )


def _wettest(now: PackBounds) -> list[int]:
    """Places of the items that may hold the most, at most as many as are tried."""
    return sorted(range(len(now.items)), key=lambda at: now.items[at].left.high, reverse=True)[:_TRIED]
