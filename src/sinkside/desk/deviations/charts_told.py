"""What charts of deviations say, in words: names of bars, the few that make most, signals, delays.

A page and a paper say the same of the same figures.
"""

from __future__ import annotations

from collections.abc import Mapping

from sinkside.bench.faults import policy
from sinkside.desk.deviations.charting import PER, By, Charted, Every, Stretch
from sinkside.desk.deviations.drawing import MOST_BARS, MOST_OF_IT, RUN_HEIGHT, run_svg
from sinkside.language import number
from sinkside.science.counts import Ranked
from sinkside.science.run_chart import FEWEST_USEFUL, RunChart


def stage_words(stage: str) -> str:
    """A stage in words, or that nobody knows it.

    >>> stage_words("point-of-use"), stage_words("")
    ('point of use', 'not known yet')
    """
    return stage.replace("-", " ") if stage else "not known yet"


def hour_words(hour: str) -> str:
    """An hour of the day as people write it.

    >>> hour_words("06")
    '06:00 to 06:59'
    """
    return f"{hour}:00 to {hour}:59"


def name_of(one: Ranked, by: By, machines: Mapping[str, str]) -> str:
    """What a bar stands for, in words; `machines` are their names by id."""
    if by is By.fault:
        return policy().faults[one.name].words
    if not one.name:
        return "not known" if by is By.began else "none"
    if by in {By.found, By.began}:
        return stage_words(one.name)
    if by is By.machine:
        return machines.get(one.name, one.name)
    return hour_words(one.name) if by is By.hour else one.name


def counted(count: int, one: str) -> str:
    """So many of something, in words.

    >>> counted(1, "set"), counted(3, "deviation")
    ('1 set', '3 deviations')
    """
    return f"{count} {one}{'' if count == 1 else 's'}"


def percent(share: float) -> str:
    """A share in whole per cent.

    >>> percent(0.254)
    '25 %'
    """
    return f"{number(100 * share, decimals=0)} %"


def few_words(seen: Charted, names: list[str]) -> str:
    """The few that make most of it."""
    few = [name for one, name in zip(seen.bars, names, strict=True) if one.cumulated - one.share < MOST_OF_IT]
    if not few:
        return ""
    share = seen.bars[len(few) - 1].cumulated
    more = f" The first {MOST_BARS} of {len(names)} are drawn." if len(names) > MOST_BARS else ""
    verb = "makes" if len(few) == 1 else "make"
    return f"{len(few)} of {len(names)} {verb} {percent(share)} of them: {', '.join(few[:MOST_BARS])}.{more}"


def rate_words(count: int, sets: int) -> str:
    """The rate behind a count, as it stands after that; nothing where no set was processed.

    >>> rate_words(3, 200), rate_words(3, 0)
    (': 1.5 per 100', '')
    """
    return f": {number(PER * count / sets, decimals=2)} per {PER}" if sets else ""


def signals_of(seen: Charted, every: Every) -> tuple[str, ...]:
    """What the chart says, by the published rules, in sentences."""
    if seen.run is None:
        return ("No set was processed in this time, so there is no rate to draw.",)
    told = [_outside(one, every) for one in seen.outside]
    told += _runs(seen.run)
    missing = len(seen.stretches) - len(seen.drawn)
    if missing:
        were = (
            f"1 {every.value} without a set is"
            if missing == 1
            else f"{missing} {every.value}s without a set are"
        )
        told.append(f"{were} left out.")
    return tuple(told)


def _outside(one: Stretch, every: Every) -> str:
    rate = number(one.rate, decimals=1)
    return f"The {every.value} of {one.begins.isoformat()} lies outside the usual: {rate} per {PER} sets."


def _runs(run: RunChart) -> list[str]:
    if not run.can_say:
        few = f"{run.useful} points lie off the median"
        return [f"{few}; with {FEWEST_USEFUL} or more, runs and crossings are told."]
    told = []
    if run.run_is_long:
        row = f"{run.longest_run} points in a row lie on one side of the median"
        told.append(f"{row}, chance allows {run.longest_allowed}: the rate has shifted.")
    if run.crossings_are_few:
        crosses = f"The line crosses its median {run.crossings} times"
        told.append(f"{crosses}, chance asks for {run.crossings_needed}: the rate has shifted or drifts.")
    row = f"at most {run.longest_run} points in a row on one side (chance allows {run.longest_allowed})"
    crossed = f"{run.crossings} crossings (chance asks for {run.crossings_needed})"
    return told or [f"No sign of a shift: {row}, {crossed}."]


def run_chart_of(seen: Charted, every: Every, *, of: str = "Deviations", height: float = RUN_HEIGHT) -> str:
    """The rates drawn; nothing where no set was processed.

    Args:
        seen: what the charts show.
        every: how long one point is.
        of: what is counted.
        height: how high the rates are drawn.
    """
    if seen.run is None:
        return ""
    rates = [one.rate for one in seen.drawn]
    description = (
        f"{len(rates)} {every.value}s from {number(min(rates), decimals=1)} to "
        f"{number(max(rates), decimals=1)} per {PER} sets, median {number(seen.run.median, decimals=1)}."
    )
    return run_svg(
        seen,
        title=f"{of} per {PER} sets, {every.value} by {every.value}",
        description=description,
        height=height,
    )


def delay_words(seen: Charted) -> str:
    """How long cases waited, in a sentence."""
    if not seen.delays:
        return "Of none of them is it known how long a case waited."
    late = sum(bool(row.fields["delay"]) for row in seen.rows)
    known = f"in {late} of the {seen.delays} of which it is known"
    unknown = len(seen.rows) - seen.delays
    return f"Cases waited {seen.delay_min} min in all, {known}; of {unknown} nobody said so."
