"""Units and arithmetic: slips by ten and a thousand, sums that do not come out."""

from __future__ import annotations

import math
from collections.abc import Iterator

from sinkside.findings import Evidence, Level, Measure
from sinkside.instruction import Action, FigureRole, Stage
from sinkside.limits import published
from sinkside.quantities import Figure, FigureQuantity, convert, dimension_of
from sinkside.quantities.figure import FigureValue
from sinkside.review import plausible
from sinkside.review.case import WET_ACTIONS, Case, Passage, words
from sinkside.review.lexicon import says
from sinkside.review.rule import Theme, Trip, book, figure, rule
from sinkside.review.stated import is_tolerance, measure, shown

_ASK_FIGURE = "Ask the maker which figure is meant."
_SHARES = frozenset({"%", "mL/L", "mL/mL"})
_SAME_SUM = 0.01
_NEEDS_THESE = 2


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="A number of times a volume is not the stated total.",
    message="{count} × {each} is {product}, not {total}.",
    remedy="Ask the maker whether the total or the number of flushes is meant.",
)
def product_is_not_total(case: Case) -> Iterator[Trip]:
    """Every total of a step against its count and its volume, where there is one of each."""
    for step in case.steps:
        volumes = step.figures_of(FigureQuantity.volume)
        totals = [volume for volume in volumes if volume.role == FigureRole.total]
        singles = [volume for volume in volumes if volume.role != FigureRole.total]
        counts = step.figures_of(FigureQuantity.counted)
        if len(totals) != 1 or len(singles) != 1 or not counts:
            continue
        total, each = totals[0].number("mL"), singles[0].number("mL")
        if not any(math.isclose(count.number() * each, total, rel_tol=_SAME_SUM) for count in counts):
            evidence: Evidence = {
                "count": int(counts[0].number()),
                "each": measure(singles[0]),
                "product": Measure(value=counts[0].number() * singles[0].number(), unit=singles[0].unit),
                "total": measure(totals[0]),
            }
            yield Trip(case.place(step), evidence)


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="One figure in two units disagrees with itself.",
    message="{first} is {converted:.3}, not {second}.",
    remedy=_ASK_FIGURE,
    source=book("unit-definitions"),
)
def two_units_disagree(case: Case) -> Iterator[Trip]:
    """Every figure given in two units, and a share in per cent beside one in millilitres a litre."""
    for passage in case.passages:
        for first, second in _in_two_units(passage):
            there, here = _number(first, second.unit), second.number()
            if not math.isclose(there, here, rel_tol=plausible.PAIR_AGREES_SHARE):
                evidence: Evidence = {
                    "first": measure(first),
                    "second": measure(second),
                    "converted": Measure(value=there, unit=second.unit),
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
        for dose in passage.figures:
            is_dose = dose.quantity is FigureQuantity.concentration or dose.role == FigureRole.dose
            if not is_dose or dose.unit not in _SHARES or says(passage.text, "disinfectant-strength"):
                continue
            share = _number(dose, "ratio")
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
    flushes = [(step, v) for step in case.doing(Action.flush) for v in step.figures_of(FigureQuantity.volume)]
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
            if (
                stated.unit == "°F"
                and not stated.also
                and says(f"{step.with_ or ''} {words(step)}", "detergent")
                and celsius < plausible.COLDEST_DETERGENT_C
                and usual[0] <= stated.number() <= usual[1]
            ):
                evidence: Evidence = {
                    "temperature": shown(stated),
                    "celsius": Measure(value=celsius, unit="°C"),
                    "probably_meant": shown(stated).replace("F", "C"),
                }
                yield Trip(case.place(step), evidence)


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
            is_of_air = stated.role == FigureRole.drying
            if stated.unit == "°C" and stated.number() > plausible.BOILING_C and not is_of_air:
                evidence: Evidence = {
                    "temperature": shown(stated),
                    "probably_meant": f"{stated.number():g} °F",
                }
                yield Trip(case.place(step), evidence)


@rule(
    Theme.units_and_arithmetic,
    Level.note,
    title="A soak is too short to do anything.",
    message="A soak of {time} wets the device and does no more.",
    remedy="Ask the maker for the soaking time.",
)
def soak_too_short(case: Case) -> Iterator[Trip]:
    """Soaking times against our own bound."""
    for step in case.doing(Action.soak):
        time = step.figure(FigureQuantity.time)
        if time and time.role is None and time.number("s") < plausible.SHORTEST_SOAK_S:
            evidence: Evidence = {"time": measure(time)}
            if time.unit == "s":
                evidence["probably_meant"] = f"{time.number():g} min"
            yield Trip(case.place(step), evidence)


def _in_two_units(passage: Passage) -> Iterator[tuple[Figure, FigureValue]]:
    """Figures that say one thing in two units; temperatures are judged with the physics."""
    for stated in passage.figures:
        if stated.quantity is not FigureQuantity.temperature:
            yield from ((stated, other) for other in stated.also if _is_other_unit(stated.unit, other.unit))
    shares = [stated for stated in passage.figures if stated.unit in _SHARES]
    if len(shares) == _NEEDS_THESE and {share.unit for share in shares} == {"%", "mL/L"}:
        yield shares[0], shares[1]


def _is_other_unit(one: str, other: str) -> bool:
    """Whether two units differ and measure the same thing."""
    return one != other and dimension_of(_convertible(one)) == dimension_of(_convertible(other))


def _number(stated: FigureValue, unit: str) -> float:
    """A figure's number in another unit; millilitres a millilitre are a share like any other."""
    return convert(stated.number(), _convertible(stated.unit), _convertible(unit))


def _convertible(unit: str) -> str:
    return "ratio" if unit == "mL/mL" else unit


def _is_bath_frequency(hertz: float) -> bool:
    return plausible.SLOWEST_BATH_HZ <= hertz <= plausible.FASTEST_BATH_HZ


RULES = (
    product_is_not_total,
    two_units_disagree,
    dose_implausible,
    ultrasonic_frequency_implausible,
    flush_volume_implausible,
    pressure_implausible,
    fahrenheit_for_celsius,
    celsius_for_fahrenheit,
    soak_too_short,
)
