"""Units: slips by ten and a thousand, one figure in two units, figures that nothing has."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sinkside.findings import Evidence, Level, Measure
from sinkside.instruction import Action, FigureRole, Stage, Step
from sinkside.limits import published
from sinkside.quantities import Bound, Figure, FigureQuantity
from sinkside.review import plausible
from sinkside.review.case import WET_ACTIONS, Case, words
from sinkside.review.doing import sonicated, uses_cleaner
from sinkside.review.lexicon import says
from sinkside.review.pairs import in_two_units, litres_a_litre, number_in
from sinkside.review.rule import Theme, Trip, book, figure, rule
from sinkside.review.stated import is_tolerance, meant_in_celsius, measure, shown

_ASK_FIGURE = "Ask the maker which figure is meant."
_SHARES = frozenset({"%", "mL/L", "mL/mL"})
_SIGNS = frozenset("≤≥<>|×")
_UNITS_OF_WORK = frozenset({"s", "min", "h"})
_BATHS = {Action.soak: "soaking", Action.sonicate: "ultrasound", Action.wash: "machine washing"}


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="One figure in two units disagrees with itself.",
    message="{first} is {converted:.3}, not {second}.",
    remedy=_ASK_FIGURE,
    source=book("unit-definitions"),
)
def two_units_disagree(case: Case) -> Iterator[Trip]:
    """Every figure given in two units; a dose as share, as ratio and in millilitres a litre."""
    for passage in case.passages:
        for first, second in in_two_units(passage):
            there, here = number_in(first, second.unit), second.number()
            if not math.isclose(there, here, rel_tol=plausible.PAIR_AGREES_SHARE):
                evidence: Evidence = {
                    "first": shown(first),
                    "second": shown(second),
                    "converted": Measure(value=there, unit="1" if second.unit == "ratio" else second.unit),
                }
                yield Trip(passage.place, evidence)


@rule(
    Theme.units_and_arithmetic,
    Level.stop,
    title="A dose is so strong that its unit must be wrong.",
    message="A dose of {dose} makes the bath {share:.0} cleaner; its unit must be wrong.",
    remedy="Get the maker's written answer: the dose in millilitres of cleaner a litre of water.",
)
def dose_implausible(case: Case) -> Iterator[Trip]:
    """Every dose against our own bound of what is plausible."""
    for passage in case.passages:
        for dose in (*passage.figures, *litres_a_litre(passage)):
            is_dose = dose.quantity is FigureQuantity.concentration or dose.role == FigureRole.dose
            is_disinfectant = dose.unit != "mL/mL" and says(passage.text, "disinfectant-strength")
            if not is_dose or dose.unit not in _SHARES or is_disinfectant:
                continue
            share = number_in(dose, "ratio")
            if share > plausible.STRONGEST_DOSE:
                # Parts of cleaner to one part of water: five to one is five sixths of the bath.
                of_bath = 100.0 * (share / (1.0 + share) if dose.unit == "mL/mL" else share)
                evidence: Evidence = {"dose": shown(dose), "share": Measure(value=of_bath, unit="%")}
                if dose.unit == "mL/mL":
                    evidence["probably_meant"] = f"{dose.number():g} mL/L"
                yield Trip(passage.place, evidence)


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="An ultrasonic frequency is none that a cleaning bath has.",
    message="{frequency} is no frequency of an ultrasonic cleaning bath; {typical} is typical.",
    remedy="Ask the maker for the frequency; a value in MHz is usually one in kHz.",
    source=figure("ultrasonic-frequency-typical"),
)
def ultrasonic_frequency_implausible(case: Case) -> Iterator[Trip]:
    """Every frequency in cleaning, and in words about ultrasound."""
    typical = published("ultrasonic-frequency-typical")
    for passage in case.passages:
        is_bath = passage.step is not None and passage.step.stage is Stage.cleaning
        if not is_bath and not says(passage.text, "ultrasonic"):
            continue
        for stated in passage.figures:
            if stated.quantity is not FigureQuantity.frequency or is_tolerance(stated):
                continue
            if _is_bath_frequency(stated.number("Hz")):
                continue
            evidence: Evidence = {
                "frequency": shown(stated),
                "typical": Measure(value=typical.value[0], unit=typical.unit),
            }
            if stated.unit == "MHz" and _is_bath_frequency(stated.number() * 1e3):
                evidence["probably_meant"] = shown(stated).replace("MHz", "kHz")
            yield Trip(passage.place, evidence)


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="More liquid is flushed than anybody can push through.",
    message="{volume} is more than anybody flushes through one instrument {how}.",
    remedy="Ask the maker for the flush volume.",
)
def flush_volume_implausible(case: Case) -> Iterator[Trip]:
    """Flush volumes by syringe and otherwise against our own bounds; other flushes stand beside."""
    through = [
        s for s in case.doing(Action.rinse) if says(words(s), "syringe") or says(words(s), "through-lumen")
    ]
    flushing = (*case.doing(Action.flush), *through)
    flushes = [(step, v) for step in flushing for v in step.figures_of(FigureQuantity.volume)]
    for step, volume in flushes:
        by_syringe = says(" ".join((words(step), *step.tools)), "syringe")
        most = plausible.MOST_BY_SYRINGE_ML if by_syringe else plausible.MOST_FLUSH_ML
        if volume.number("mL") > most:
            evidence: Evidence = {
                "volume": measure(volume),
                "how": "by syringe" if by_syringe else "by hand",
            }
            if volume.unit == "L":
                evidence["probably_meant"] = f"{volume.number():g} mL"
            others = tuple(case.place(s) for s, v in flushes if v.number("mL") <= most)
            yield Trip(case.place(step), evidence, others)


@rule(
    Theme.units_and_arithmetic,
    Level.stop,
    title="A pressure is higher than any line in a department has.",
    message="{pressure} is more than any water, air or steam line in a department has.",
    remedy="Get the maker's written answer: the highest pressure that the lumen withstands.",
)
def pressure_implausible(case: Case) -> Iterator[Trip]:
    """Every pressure against our own bound, which no steam reaches either."""
    for passage in case.passages:
        for pressure in passage.figures:
            is_pressure = pressure.quantity is FigureQuantity.pressure
            if is_pressure and pressure.number("kPa") > plausible.MOST_PRESSURE_KPA:
                evidence: Evidence = {
                    "pressure": shown(pressure),
                    "probably_meant": f"{pressure.number() / 10:g} {pressure.unit}",
                }
                yield Trip(passage.place, evidence)


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="A detergent solution is so cold that °F must stand for °C.",
    message="{temperature} is {celsius:.0}, too cold for a cleaning solution.",
    remedy="Ask the maker for the temperature of the solution, with its unit.",
    source=figure("detergent-enzymatic-temperature-low-source"),
)
def fahrenheit_for_celsius(case: Case) -> Iterator[Trip]:
    """Temperatures in °F alone of solutions that would be ice-cold, and usual if read as °C."""
    usual = published("detergent-enzymatic-temperature-low-source").ends("°C")
    for step in case.steps:
        if step.action not in WET_ACTIONS | {Action.prepare_solution} or says(words(step), "cold"):
            continue
        for stated in step.figures_of(FigureQuantity.temperature):
            celsius = stated.number("°C")
            is_wash = step.action is Action.wash
            coldest_c = plausible.COLDEST_WASH_C if is_wash else plausible.COLDEST_DETERGENT_C
            if (
                stated.unit == "°F"
                and not stated.also
                and (
                    step.action is Action.wash or uses_cleaner(step) or step.action is Action.prepare_solution
                )
                and celsius < coldest_c
                and usual[0] <= stated.number() <= plausible.WARMEST_WASH_C
            ):
                yield Trip(case.place(step), meant_in_celsius(stated))


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="Water is asked to be hotter than it can be, so °C must stand for °F.",
    message="{temperature} is above the boiling point of water.",
    remedy="Ask the maker for the temperature of the water, with its unit.",
)
def celsius_for_fahrenheit(case: Case) -> Iterator[Trip]:
    """Temperatures in °C of wet work that only steam could have."""
    for step in case.doing(*WET_ACTIONS, Action.prepare_solution):
        for stated in step.figures_of(FigureQuantity.temperature):
            said = words(step)
            is_of_air = stated.role == FigureRole.drying or says(said, "drying") or says(said, "air")
            is_other = is_of_air or says(said, "sets-a-limit")
            if stated.unit == "°C" and stated.number() > plausible.BOILING_C and not is_other:
                evidence: Evidence = {
                    "temperature": shown(stated),
                    "probably_meant": f"{stated.number():g} °F",
                }
                yield Trip(case.place(step), evidence)


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="A soak, a bath or a machine wash is too short to do anything.",
    message="{time} of {action} wets the device and does no more.",
    remedy="Ask the maker for the time, with its unit.",
)
def cleaning_time_too_short(case: Case) -> Iterator[Trip]:
    """Times of soaking, ultrasound and machine washing against our own bounds; longer ones are a doubt."""
    for step in (*case.doing(Action.soak, Action.wash), *sonicated(case)):
        for time in _own_times(step):
            seconds = time.ends("s")[1] if time.bound is Bound.at_most else time.number("s")
            if step.stage is Stage.cleaning and seconds < plausible.SHORTEST_SOAK_S:
                evidence: Evidence = {"time": measure(time), "action": _BATHS.get(step.action, "ultrasound")}
                if time.unit == "s":
                    evidence["probably_meant"] = f"{time.number():g} min"
                yield Trip(case.place(step), evidence, doubtful=seconds >= plausible.SURELY_SHORT_SOAK_S)


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="A soak, a bath or a machine wash lasts longer than any working day allows.",
    message="{time} of {action} is longer than anybody cleans.",
    remedy="Ask the maker for the time, with its unit.",
)
def cleaning_time_too_long(case: Case) -> Iterator[Trip]:
    """Times of soaking, ultrasound and machine washing against our own bounds; sterilants soak for hours."""
    for step in case.doing(Action.soak, Action.sonicate, Action.wash):
        if step.stage is not Stage.cleaning or says(words(step), "soaks-for-hours"):
            continue
        if says(words(step), "may-be-used"):
            continue  # how long a bath keeps is no time of cleaning
        for time in _own_times(step):
            if time.number("s") > plausible.LONGEST_CLEANING_S[step.action]:
                evidence: Evidence = {"time": measure(time), "action": _BATHS[step.action]}
                if time.unit == "h":
                    evidence["probably_meant"] = f"{time.number():g} min"
                elif time.unit == "min":
                    evidence["probably_meant"] = f"{time.number() / 10:g} min"
                yield Trip(case.place(step), evidence, doubtful=time.bound is Bound.at_most)


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="Hot air is to dry in less time than it needs to get warm.",
    message="Hot air dries nothing in {time}.",
    remedy="Ask the maker for the drying time, with its unit.",
)
def hot_air_too_short(case: Case) -> Iterator[Trip]:
    """Drying with hot air, in front of the pack, against our own bound."""
    for step in case.steps:
        if step.action is not Action.dry and not says(words(step), "drying-time"):
            continue
        hot = any(figure.number("°C") >= plausible.HOT_AIR_C for figure in step.figures_of("temperature"))
        if step.stage is Stage.sterilization or not (
            hot or says(words(step), "hot-air") or _by_machine(case, step)
        ):
            continue
        # "Hot air, 20 min. Then medical air, 30 s": the longest time is that of the hot air.
        for time in sorted(step.figures_of(FigureQuantity.time), key=lambda one: -one.number("s"))[:1]:
            if time.number("s") < plausible.SHORTEST_HOT_AIR_S:
                evidence: Evidence = {"time": measure(time)}
                if time.unit == "s":
                    evidence["probably_meant"] = f"{time.number():g} min"
                yield Trip(case.place(step), evidence)


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="A range runs from the larger number to the smaller.",
    message="{range} runs backwards.",
    remedy=_ASK_FIGURE,
)
def range_runs_backwards(case: Case) -> Iterator[Trip]:
    """Ranges whose first end is above the second."""
    for passage in case.passages:
        for stated in passage.figures:
            low, high = stated.ends()
            # "≤ 25 – 3 ×": a bound in one cell and a count in the next are no range.
            if _SIGNS & set(stated.as_written):
                continue
            if low > high and stated.quantity is not FigureQuantity.temperature_difference:
                yield Trip(passage.place, {"range": shown(stated)})


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="A pH is none that any liquid has.",
    message="A pH of {ph} does not exist; the scale runs from 0 to 14.",
    remedy="Ask the maker for the pH.",
)
def ph_off_the_scale(case: Case) -> Iterator[Trip]:
    """Every pH against the scale."""
    for passage in case.passages:
        for stated in passage.figures:
            ends = [end for end in stated.ends() if math.isfinite(end)]
            if stated.quantity is FigureQuantity.ph and max(ends) > plausible.TOP_OF_PH_SCALE:
                evidence: Evidence = {"ph": f"{max(ends):g}"}
                if max(ends) / 10 <= plausible.TOP_OF_PH_SCALE:
                    evidence["probably_meant"] = f"pH {max(ends) / 10:g}"
                yield Trip(passage.place, evidence)


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="A temperature is above that of any process for instruments.",
    message="{temperature} is hotter than any process for instruments.",
    remedy="Ask the maker for the temperature, with its unit.",
)
def hotter_than_any_process(case: Case) -> Iterator[Trip]:
    """Every temperature of a step against our own bound, which dry heat does not reach."""
    for step in case.steps:
        for stated in step.figures_of(FigureQuantity.temperature):
            if stated.number("°C") > plausible.HOTTEST_PROCESS_C:
                evidence: Evidence = {"temperature": shown(stated)}
                if stated.unit == "°C":
                    evidence["probably_meant"] = f"{stated.number():g} °F"
                yield Trip(case.place(step), evidence)


def _by_machine(case: Case, step: Step) -> bool:
    """Whether drying words belong to a machine: told as a drying time, without a blow of air."""
    said = " ".join(words(one) for one in case.beside(step))
    is_blow = any(says(said, sense) for sense in ("compressed-air", "blowing"))
    return says(words(step), "drying-time") and not is_blow and not step.figures_of(FigureQuantity.pressure)


def _own_times(step: Step) -> list[Figure]:
    """The times that a step itself takes."""
    times = step.figures_of(FigureQuantity.time)
    return [time for time in times if time.role is None and time.unit in _UNITS_OF_WORK]


def _is_bath_frequency(hertz: float) -> bool:
    return plausible.SLOWEST_BATH_HZ <= hertz <= plausible.FASTEST_BATH_HZ


RULES = (
    two_units_disagree,
    range_runs_backwards,
    dose_implausible,
    ultrasonic_frequency_implausible,
    flush_volume_implausible,
    pressure_implausible,
    fahrenheit_for_celsius,
    celsius_for_fahrenheit,
    hotter_than_any_process,
    cleaning_time_too_short,
    cleaning_time_too_long,
    hot_air_too_short,
    ph_off_the_scale,
)
