"""The soil clock: until when cleaning must have begun after use, what each text says, how late it is.

It only worsens. The device's own time rules; where a text states none, cleaning begins now.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from pydantic import AwareDatetime

from sinkside.documents import Value
from sinkside.instruction import Action, Instruction, Origin
from sinkside.review.lexicon import says

if TYPE_CHECKING:
    from sinkside.review.case import Case, Passage

#: Such steps say how a device waits or travels; none of them is done because it waited too long.
_ON_THE_WAY = frozenset({Action.keep_moist, Action.transport, Action.start_cleaning})


class Delay(Value):
    """How long one text lets pass between use and cleaning, in seconds; none where it states no time.

    `where` is the place that says so.
    """

    device: str
    within_s: float | None = None
    as_written: str = ""
    where: Origin | None = None


class Measure(Value):
    """What a text says is to be done where soil has dried or cleaning begins late, in its own words."""

    device: str
    words: str
    where: Origin
    step: str = ""


class SoilClock(Value):
    """When a set was last used, and when cleaning must have begun.

    `by` is the time of the strictest text; a device whose text states none is among `unstated`, and then
    cleaning begins at once.
    """

    used: AwareDatetime
    begin_by: AwareDatetime
    by: Delay | None = None
    unstated: tuple[str, ...] = ()

    def late_s(self, at: datetime) -> float:
        """By how many seconds cleaning that begins at a moment is late; 0 if it is not.

        >>> from datetime import UTC
        >>> clock = soil_clock(datetime(2026, 12, 1, 13, 5, tzinfo=UTC), [Delay(device="D", within_s=3600)])
        >>> clock.late_s(datetime(2026, 12, 1, 16, 50, tzinfo=UTC)) / 60
        165.0
        """
        return max(0.0, (at - self.begin_by).total_seconds())


def delay_of(instruction: Instruction, *, device: str = "") -> Delay:
    """The time that a text lets pass between use and cleaning, the strictest if it states several.

    >>> from sinkside.instruction import Device, Step
    >>> from sinkside.quantities import Figure
    >>> soon = Figure(quantity="time", max=2, unit="h", role="time-since-use", as_written="within 2 h")
    >>> step = Step(id="s1", stage="transport", action="start-cleaning", figures=(soon,))
    >>> delay_of(Instruction(device=Device(name="Grasper"), steps=(step,))).within_s
    7200.0
    """
    from sinkside.review.delays import delays, longest_h

    name = device or instruction.device.name
    case = _case(instruction)
    stated = sorted(delays(case), key=lambda pair: longest_h(pair[1]))
    if not stated:
        return Delay(device=name)
    passage, figure = stated[0]
    return Delay(
        device=name,
        within_s=longest_h(figure) * 3600.0,
        as_written=figure.as_written or f"{longest_h(figure):g} h",
        where=_origin(case, passage),
    )


def measures_of(instruction: Instruction, *, device: str = "") -> tuple[Measure, ...]:
    """What a text itself says is to be done once soil has dried or cleaning begins late; mostly nothing."""
    name = device or instruction.device.name
    case = _case(instruction)
    return tuple(
        Measure(
            device=name,
            words=_origin(case, passage).text,
            where=_origin(case, passage),
            step=passage.step.id if passage.step else "",
        )
        for passage in case.passages
        if _is_for_the_late(passage)
    )


def soil_clock(used: datetime, delays: Iterable[Delay]) -> SoilClock:
    """The clock of a set that was last used at a moment: its strictest member's time rules.

    >>> from datetime import UTC
    >>> used = datetime(2026, 12, 1, 13, 5, tzinfo=UTC)
    >>> soil_clock(used, [Delay(device="A", within_s=3600), Delay(device="B")]).begin_by == used
    True
    """
    known = tuple(delays)
    unstated = tuple(one.device for one in known if one.within_s is None)
    stated = [one for one in known if one.within_s is not None]
    strictest = min(stated, key=lambda one: one.within_s or 0.0, default=None)
    if unstated or strictest is None or strictest.within_s is None:
        return SoilClock(used=used, begin_by=used, by=strictest, unstated=unstated)
    return SoilClock(used=used, begin_by=used + timedelta(seconds=strictest.within_s), by=strictest)


def worse_of(kept: SoilClock | None, told: SoilClock) -> SoilClock:
    """The clock that stands once another is told: the one that runs out earlier, with the earlier use.

    >>> from datetime import UTC
    >>> one, two = (soil_clock(datetime(2026, 12, 1, h, tzinfo=UTC), [Delay(device="A")]) for h in (13, 14))
    >>> worse_of(one, two) == one == worse_of(two, one)
    True
    """
    if kept is None:
        return told
    stands = min(kept, told, key=lambda one: one.begin_by)
    return stands.model_copy(
        update={
            "used": min(kept.used, told.used),
            "unstated": tuple(dict.fromkeys((*kept.unstated, *told.unstated))),
        }
    )


def question_to_maker(delay: Delay, late_s: float) -> str:
    """What the maker is asked where cleaning began late and the text has no measure for that.

    >>> question_to_maker(Delay(device="Hook", within_s=3600, as_written="within 60 min"), 9900)[56:88]
    ' min"; it began 2 h 45 min later'
    """
    if delay.within_s is None:
        allowed = f'Your text states no time between use and cleaning of "{delay.device}"; cleaning'
    else:
        allowed = f'Your text asks that cleaning of "{delay.device}" begins "{delay.as_written}"; it'
    return f"{allowed} began {span(late_s)} later. What is to be done before it is used again?"


def span(seconds: float) -> str:
    """A span of time as people say it, in whole minutes.

    >>> span(9900), span(3600), span(59 * 60), span(0)
    ('2 h 45 min', '1 h', '59 min', '0 min')
    """
    hours, minutes = divmod(round(abs(seconds) / 60.0), 60)
    if not hours:
        return f"{minutes} min"
    return f"{hours} h {minutes} min" if minutes else f"{hours} h"


def delays_of(texts: Mapping[str, Instruction]) -> tuple[Delay, ...]:
    """The time of every member of a set, by what the set calls it."""
    return tuple(delay_of(text, device=name) for name, text in texts.items())


def _case(instruction: Instruction) -> Case:
    # The profile decides nothing here: only the maker's own times are read.
    from sinkside.limits import profile
    from sinkside.review.case import Case
    from sinkside.review.glossing import glossed

    in_english = glossed(instruction)
    return Case(in_english.instruction, profile("eu"), printed=in_english.printed)


def _origin(case: Case, passage: Passage) -> Origin:
    """The place of some words, with what the document prints there."""
    place = case.as_printed(passage.place)
    words = place.text or passage.text
    return Origin(page=place.page or 1, line=place.line or 1, text=words)


def _is_for_the_late(passage: Passage) -> bool:
    step = passage.step
    if step is not None and step.action in _ON_THE_WAY:
        return False
    said = " ".join(filter(None, (step.condition if step else "", passage.text)))
    return says(said, "cleaned-late")
