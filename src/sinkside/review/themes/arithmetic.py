"""Arithmetic that a text does itself: products, sums, multiples."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from sinkside.findings import Evidence, Level, Measure
from sinkside.instruction import FigureRole
from sinkside.quantities import Figure, FigureQuantity
from sinkside.review.case import Case, Passage, words
from sinkside.review.lexicon import says
from sinkside.review.plausible import PAIR_AGREES_SHARE
from sinkside.review.rule import Theme, Trip, rule
from sinkside.review.stated import measure, shown
from sinkside.review.sums import multiples, syringes, written_totals, wrong_sums

_ASK_FIGURE = "Ask the maker which figure is meant."
_SAME_SUM = 0.01
_TWO = 2
#: "Both channels", "the two ports", "from each of its three ends".
_WAYS = {
    "both": 2,
    "two": 2,
    "2": 2,
    "three": 3,
    "3": 3,
    "four": 4,
    "4": 4,
    "five": 5,
    "5": 5,
    "six": 6,
    "6": 6,
}
_SEVERAL = re.compile(
    r"\b(both|two|three|four|five|six|[2-6])\s+(?:[a-z-]+\s+){0,2}?"
    r"(?:channels|lumens|ports|tubes|bores|ends|sides|ways|cannulas|openings|directions|inlets|hubs|parts|pieces"
    r"|of them|of these|holes|passages)\b",
    re.IGNORECASE,
)
_MULTIPLIED = ((FigureQuantity.volume, "mL"), (FigureQuantity.time, "s"))
_MULTIPLIES = frozenset({None, FigureRole.repeats, FigureRole.strokes})

#: How a dose counts what is in a bath: in a hundred, or in a litre.
_SHARES = {"%": 100.0, "mL/L": 1000.0}


def _ways(said: str) -> tuple[int, ...]:
    """Through how many ways each volume may go: "both channels, 3 x 10 mL each" is six times."""
    named = {_WAYS[match.lower()] for match in _SEVERAL.findall(said)}
    return (1, *sorted(named))


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="A number of times a volume is not the stated total.",
    message="{count} × {each} is {product}, not {total}.",
    remedy="Ask the maker whether the total or the number of flushes is meant.",
)
def product_is_not_total(case: Case) -> Iterator[Trip]:
    """Every total of a step against its count and its volume or time, where there is one of each."""
    for step in case.steps:
        counts = [f for f in step.figures_of(FigureQuantity.counted) if f.role in _MULTIPLIES]
        for quantity, unit in _MULTIPLIED:
            stated = step.figures_of(quantity)
            totals = [f for f in stated if f.role == FigureRole.total]
            if len(totals) == len(stated):
                totals = written_totals(words(step), stated)  # not each figure of a step can be its total
            totals = totals or written_totals(words(step), stated)
            singles = {f.number(unit): f for f in stated if f not in totals}
            if totals and len(singles) > 1:
                # "3 × 50 mL (150 mL) and then 200 mL": what stands behind the total is another work.
                singles = {f.number(unit): f for f in stated[: stated.index(totals[0])]}
            if len(totals) != 1 or len(singles) != 1 or not counts:
                continue
            total, (each, single) = totals[0].number(unit), *singles.items()
            products = [count.number() * each * ways for count in counts for ways in _ways(words(step))]
            if not any(math.isclose(product, total, rel_tol=_SAME_SUM) for product in products):
                evidence: Evidence = {
                    "count": int(counts[0].number()),
                    "each": measure(single),
                    "product": Measure(value=counts[0].number() * single.number(), unit=single.unit),
                    "total": measure(totals[0]),
                }
                yield Trip(case.place(step), evidence)


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="A sum that the text writes out does not come out.",
    message="{sum} is {right}, not {stated}.",
    remedy=_ASK_FIGURE,
)
def sum_does_not_come_out(case: Case) -> Iterator[Trip]:
    """Additions written out with an equals sign, in one unit."""
    for passage in case.passages:
        for sum_, right, stated in wrong_sums(passage.text):
            evidence: Evidence = {"sum": sum_, "right": f"{right:g}", "stated": f"{stated:g}"}
            yield Trip(passage.place, evidence)


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="A figure is told as a multiple of another, and is not.",
    message="{how} {base} is {product}, not {stated}.",
    remedy=_ASK_FIGURE,
)
def multiple_does_not_come_out(case: Case) -> Iterator[Trip]:
    """Twice as long, half as much, three syringes: each against the figure in front of it."""
    for passage, told in multiples(case.sentences):
        expected = told.factor * told.base.number(told.stated.unit)
        yield from _if_unequal(passage, told.how, told.base, told.stated, expected)
    for passage, count, size, total in syringes(case.sentences):
        expected = count.number() * size.number(total.unit)
        yield from _if_unequal(passage, f"{count.number():g} ×", size, total, expected)


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="A dose is not what the stated volumes make.",
    message="{cleaner} in {bath} is {product}, not {stated}.",
    remedy=_ASK_FIGURE,
)
def dose_of_bath_does_not_come_out(case: Case) -> Iterator[Trip]:
    """Cleaner and water told as two volumes in one sentence, with the share that they are said to make."""
    for passage in case.sentences:
        volumes = [f for f in passage.figures if f.quantity is FigureQuantity.volume]
        shares = [f for f in passage.figures if f.unit in _SHARES and f.role == FigureRole.dose]
        if len(volumes) != _TWO or len(shares) != 1 or not says(passage.text, "detergent"):
            continue
        little, much = sorted(volumes, key=lambda volume: volume.number("mL"))
        made = _SHARES[shares[0].unit] * little.number("mL") / much.number("mL")
        if not math.isclose(made, shares[0].number(), rel_tol=PAIR_AGREES_SHARE):
            evidence: Evidence = {
                "cleaner": shown(little),
                "bath": shown(much),
                "product": Measure(value=made, unit=shares[0].unit),
                "stated": shown(shares[0]),
            }
            yield Trip(passage.place, evidence)


def _if_unequal(passage: Passage, how: str, base: Figure, stated: Figure, expected: float) -> Iterator[Trip]:
    if not math.isclose(expected, stated.number(), rel_tol=_SAME_SUM):
        evidence: Evidence = {
            "how": how.capitalize(),
            "base": shown(base),
            "product": Measure(value=expected, unit=stated.unit),
            "stated": shown(stated),
        }
        yield Trip(passage.place, evidence)


RULES = (
    product_is_not_total,
    sum_does_not_come_out,
    multiple_does_not_come_out,
    dose_of_bath_does_not_come_out,
)
