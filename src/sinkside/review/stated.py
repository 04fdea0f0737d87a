"""What steps state of a machine cycle: which are steam, their set temperature, their exposure."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass

from sinkside.errors import BadQuantity
from sinkside.findings import Evidence, Measure
from sinkside.instruction import Action, FigureRole, Stage, Step
from sinkside.language import figure_text
from sinkside.limits import recognised_steam_temperature
from sinkside.quantities import Bound, Figure, FigureQuantity
from sinkside.quantities.figure import FigureValue
from sinkside.review.case import Case, Passage, words
from sinkside.review.lexicon import says
from sinkside.review.plausible import BOILING_C, COOLEST_STEAM_C, COOLEST_TOLD_C, HOTTEST_STEAM_C

#: "121 °C, 10 min", "134 °C / 3 min", "132 °C for at least 4 minutes".
_CYCLE = re.compile(
    r"(?P<degrees>1[123]\d(?:[.,]\d)?)\s*(?:°|deg\.?|degrees)\s*C(?:elsius)?(?:\s*\([^)]{0,12}\))?[\s,;:/|]*"
    r"(?:for |at least |not less than |min\.? |minimum |no less than |\u2265\s?|>=\s?)*"
    r"(?P<time>\d{1,3}(?:[.,]\d)?)\s*(?P<unit>min|minutes?|s|sec|seconds?)\b",
    re.IGNORECASE,
)
_NEAR = 25
_A_DAY_S = 86400.0
_SENTENCE = re.compile(r"[.;]\s")
_OTHER_METHODS = ("dry-heat", "ethylene-oxide", "peroxide", "formaldehyde")
_AFTER_STEAM = frozenset({Action.dry, Action.cool, Action.release_check})
_WHERE_CYCLES_STAND = frozenset({Stage.sterilization, Stage.drying})
_NOT_EXPOSURE = frozenset({FigureRole.drying, FigureRole.total, FigureRole.time_since_use, FigureRole.life})


def steam_steps(case: Case) -> tuple[Step, ...]:
    """The sterilization steps that are not said to be by another method than steam."""
    return tuple(step for step in case.steps if _is_steam_cycle(step))


def _is_steam_cycle(step: Step) -> bool:
    return is_cycle(step) and (says(words(step), "steam") or not _is_by_another_method(step))


def is_steam(step: Step) -> bool:
    """Whether a step sterilizes with steam, by its words or by its temperature."""
    is_hot = any(figure.number("°C") >= BOILING_C for figure in set_temperatures(step))
    return not _is_by_another_method(step) and (is_hot or says(words(step), "steaming"))


def _is_by_another_method(step: Step) -> bool:
    return any(says(words(step), other) for other in (*_OTHER_METHODS, "aeration"))


def is_cycle(step: Step) -> bool:
    """Whether a step sterilizes, by its action or by what it states."""
    return (step.action is Action.sterilize and not _is_kept(step)) or _states_a_cycle(step)


def _is_kept(step: Step) -> bool:
    """Whether a step that was read as a cycle tells of months on a shelf: "18 to 25 °C, 6 months"."""
    times = step.figures_of(FigureQuantity.time)
    return bool(times) and all(_A_DAY_S <= time.number("s") < math.inf for time in times)


def _states_a_cycle(step: Step) -> bool:
    """Whether a step of another action has what a cycle has: "fractionated vacuum, 134 °C, 5 min"."""
    is_hot = any(figure.number("°C") >= COOLEST_STEAM_C for figure in set_temperatures(step))
    is_after = step.action in _AFTER_STEAM and not _holds_and_dries(step)
    if not is_hot or is_after or not exposures(step):
        return False
    # A chapter misread, but temperatures that only steam is told at, held and not blown.
    is_steam = all(recognised_steam_temperature(figure.number("°C")) for figure in set_temperatures(step))
    is_told = not any(says(words(step), sense) for sense in ("hot-air", "withstanding", "not-beyond"))
    return step.stage in _WHERE_CYCLES_STAND or (is_steam and is_told)


def _holds_and_dries(step: Step) -> bool:
    """Whether a step that was read as drying tells a cycle with its drying: "134 °C, 3 min, dry 20 min"."""
    times = step.figures_of(FigureQuantity.time)
    hot = [f for f in step.figures_of(FigureQuantity.temperature) if f.number("°C") >= COOLEST_STEAM_C]
    is_air = says(words(step), "hot-air") or any(f.bound is Bound.at_most for f in hot)
    return step.action is Action.dry and len(times) > 1 and bool(hot) and not is_air


def temperatures(step: Step) -> tuple[Figure, ...]:
    """The temperatures of a step; "about sixty degrees" of hot water are degrees Celsius too."""
    stated, said = step.figures_of(FigureQuantity.temperature), words(step)
    if stated or not says(said, "told-as-heat") or says(said, "told-as-angle"):
        return stated
    return tuple(
        angle.model_copy(update={"quantity": FigureQuantity.temperature, "unit": "°C"})
        for angle in step.figures_of(FigureQuantity.angle)
        if COOLEST_TOLD_C <= angle.number() <= HOTTEST_STEAM_C
    )


def set_temperatures(step: Step) -> tuple[Figure, ...]:
    """The temperatures that a step asks for.

    An upper bound asks for none; but "maximum sterilization temperature 134 °C" is how some makers ask.
    """
    stated = [f for f in temperatures(step) if f.role != FigureRole.drying]
    said = words(step)
    upper_counts = len(stated) == 1 and says(said, "sterilizing") and not says(said, "not-beyond")
    return tuple(figure for figure in stated if upper_counts or figure.bound is not Bound.at_most)


def has_a_cycle_beside(case: Case, step: Step) -> bool:
    """Whether another step sets a recognised temperature, so that an upper bound is a limit of the device."""
    return any(
        recognised_steam_temperature(figure.number("°C"))
        for other in steam_steps(case)
        if other.id != step.id
        for figure in set_temperatures(other)
        if figure.bound is not Bound.at_most
    )


def exposures(step: Step) -> tuple[Figure, ...]:
    """The times that a step holds its temperature."""
    times = step.figures_of(FigureQuantity.time)
    if _holds_and_dries(step):
        return times[:1]
    named = tuple(time for time in times if time.role == FigureRole.exposure)
    return named or tuple(time for time in times if time.role not in _NOT_EXPOSURE)


def held(step: Step) -> Iterator[tuple[Figure, float, Figure, float]]:
    """Each temperature in °C with the time in s that belongs to it, at their lower ends.

    One time for several temperatures is judged at the hottest; several times for one belong to nobody.
    """
    temperatures, times = set_temperatures(step), exposures(step)
    if len(temperatures) > 1 and len(temperatures) != len(times):
        times = _behind_each(step, temperatures) or times
    if len(temperatures) == 1 and all(time.role == FigureRole.exposure for time in times):
        # A row of a table: exposure stands in front of drying in every layout that we have met.
        times = times[:1]
    if len(times) == 1 and temperatures:
        temperatures = (max(temperatures, key=lambda figure: figure.number("°C")),)
    if len(temperatures) == len(times):
        for temperature, time in zip(temperatures, times, strict=True):
            if time.number("s") >= 0.0:
                yield temperature, temperature.number("°C"), time, time.number("s")


@dataclass(frozen=True)
class SpokenCycle:
    """A steam temperature with the time that stands right beside it in words."""

    passage: Passage
    temperature_c: float
    time_s: float
    written: str


def cycles_in_words(case: Case) -> Iterator[SpokenCycle]:
    """Each recognised steam temperature with the time right beside it, whatever was read of them."""
    for passage in case.sentences:
        for match in _CYCLE.finditer(passage.text):
            in_front = _SENTENCE.split(passage.text[max(0, match.start() - _NEAR) : match.start()])[-1]
            temperature_c = float(match["degrees"].replace(",", "."))
            is_air = says(in_front, "drying") or says(in_front, "air") or says(in_front, "not-beyond")
            if is_air or recognised_steam_temperature(temperature_c) is None:
                continue
            seconds = float(match["time"].replace(",", ".")) * (60.0 if match["unit"][0] in "mM" else 1.0)
            yield SpokenCycle(passage, temperature_c, seconds, match[0])


def _behind_each(step: Step, temperatures: tuple[Figure, ...]) -> tuple[Figure, ...]:
    """The first time behind each temperature and in front of the next; none where one has none."""
    said, behind, at = words(step), [], 0
    places = []
    for temperature in temperatures:
        at = said.find(temperature.as_written, at) if temperature.as_written else -1
        if at < 0:
            return ()
        places.append(at)
        at += len(temperature.as_written)
    for start, end in zip(places, [*places[1:], len(said)], strict=True):
        inside = [
            (said.find(time.as_written, start), n, time)
            for n, time in enumerate(step.figures_of(FigureQuantity.time))
            if time.as_written and start < said.find(time.as_written, start) < end
        ]
        if not inside:
            return ()
        behind.append(min(inside)[2])
    return tuple(behind)


def ends_in(figure: FigureValue, unit: str) -> tuple[float, float] | None:
    """Both ends of a figure in a unit; None where the units measure different things."""
    try:
        return figure.ends(unit)
    except BadQuantity:
        return None


def is_tolerance(figure: FigureValue) -> bool:
    """Whether a figure is written as a tolerance of the one in front of it: "45 kHz +/- 3 kHz"."""
    return figure.as_written.lstrip().startswith(("±", "+", "-/+", "\u2212/+"))


def hottest_c(figure: Figure) -> float:
    """The highest temperature that a figure lets in, in °C; its lower end where nothing bounds it."""
    low, high = figure.ends("°C")
    return low if math.isinf(high) else high


def measure(figure: FigureValue) -> Measure:
    """The one number that stands for a figure, as evidence."""
    return Measure(value=figure.number(), unit=figure.unit)


def shown(figure: FigureValue) -> str:
    """A figure as the document writes it, else as we would: '3 to 18 minutes'."""
    return figure.as_written or figure_text(figure)


def meant_in_celsius(stated: Figure) -> Evidence:
    """What is told of °F that only make sense as °C: as printed, in °C, and as meant."""
    return {
        "temperature": shown(stated),
        "celsius": Measure(value=stated.number("°C"), unit="°C"),
        "probably_meant": shown(stated).replace("F", "C"),
    }
