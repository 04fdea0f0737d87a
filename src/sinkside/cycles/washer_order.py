"""Which stay is which phase: the choice that follows the program's order best."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from sinkside.cycles.criteria import DUST
from sinkside.cycles.trust import Samples
from sinkside.cycles.washer_phases import (
    WATER_CHANGE_S,
    Stay,
    WaterChanges,
    required_s,
    stays_of,
    water_changes,
)
from sinkside.department import WasherPhase, WasherPhaseName

#: A change of water before a phase can have lasted is the first fill and tells nothing.
_FIRST_FILL_SHARE: Final = 0.5

#: How many phases a choice of stays satisfies, by what share it satisfies all, and how long it is.
_Worth = tuple[int, float, float]


@dataclass(frozen=True)
class _Choice:
    """Stays for the phases so far, None where there is none, and what they are worth."""

    worth: _Worth
    stays: tuple[Stay | None, ...]

    @property
    def last(self) -> int | None:
        """The last phase that has a stay."""
        return next((i for i in reversed(range(len(self.stays))) if self.stays[i]), None)


def stays_in_order(
    samples: Samples, phases: Sequence[WasherPhase], *, end: int, doubtful: bool
) -> tuple[Stay | None, ...]:
    """For each phase its stay, so that stays follow each other as the program says.

    Of all choices the one that satisfies most phases is taken, then the one with the longest stays: a machine
    that did what it should is never failed for a stay elsewhere that happens to be in range too.

    Args:
        samples: As far as they can be believed.
        phases: Of the program, in order.
        end: Stays end before this sample.
        doubtful: Whether a gap or a reading that cannot be believed counts as in range.
    """
    changes = water_changes(samples)
    choices = [_Choice((0, 0.0, 0.0), ())]
    for index in range(len(phases)):
        stays = stays_of(samples, phases, index, changes=changes, end=end, doubtful=doubtful)
        best: dict[object, _Choice] = {}
        for choice in choices:
            for stay in (None, *stays):
                if stay is None or _fits(stay, choice, phases, samples, changes):
                    longer = _with(choice, stay, phases[index])
                    last = longer.last
                    key = None if last is None else (last, longer.stays[last])
                    if key not in best or longer.worth > best[key].worth:
                        best[key] = longer
        choices = list(best.values())
    return max(choices, key=lambda choice: choice.worth).stays


def _with(choice: _Choice, stay: Stay | None, phase: WasherPhase) -> _Choice:
    if stay is None:
        return _Choice(choice.worth, (*choice.stays, None))
    required, measured = required_s(phase), stay.duration.measured
    share = min(measured / required, 1.0) if required > 0.0 else 1.0
    met, shares, seconds = choice.worth
    worth = (met + (measured >= required - DUST), shares + share, seconds + measured)
    return _Choice(worth, (*choice.stays, stay))


def _fits(
    stay: Stay, choice: _Choice, phases: Sequence[WasherPhase], samples: Samples, changes: WaterChanges
) -> bool:
    """Whether a stay may follow a choice: later, and in other water than a phase of another name.

    Heating up for the wash passes through the range of the pre-rinse; it is not the pre-rinse, where the
    record shows that the water was new. Disinfection may heat the water of the rinse before it.
    """
    last = choice.last
    if last is None:
        return True
    before = choice.stays[last]
    if before is None or stay.span.first <= before.span.first or stay.span.last <= before.span.last:
        return False
    phase = phases[len(choice.stays)]
    if phase.name in {phases[last].name, WasherPhaseName.disinfection}:
        return True
    fills = [fill for fill in changes.colder if fill <= stay.span.first]
    if not fills:
        return True
    lasted = float(samples.times_s[fills[-1]] - samples.times_s[0])
    is_first_fill = lasted < _FIRST_FILL_SHARE * required_s(phases[last])
    in_other_water = float(samples.times_s[fills[-1]] - samples.times_s[before.span.first])
    return is_first_fill or in_other_water > WATER_CHANGE_S
