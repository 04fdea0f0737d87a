"""Sets and kits: how many pieces, how heavy, and whether there is time before the operation."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sinkside.findings import Evidence, Level, Measure
from sinkside.quantities import Bound, Figure, FigureQuantity
from sinkside.review.case import Case, Passage
from sinkside.review.lexicon import says
from sinkside.review.rule import Theme, Trip, rule
from sinkside.review.stated import shown

_COUNT_WORDS = {
    "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
    "ten": 10, "eleven": 11, "twelve": 12,
}  # fmt: skip
_NUMBER = rf"(\d{{1,3}}|{'|'.join(_COUNT_WORDS)})"
_PIECES = r"(?:pieces|parts|items|instruments|articles|components)"
_IN_ALL = re.compile(
    rf"\b{_NUMBER}\s+{_PIECES}\s+(?:in all|in total|altogether)"
    rf"|(?:total|altogether|in all|in total|makes|making|=)\s*(?:of|:)?\s*{_NUMBER}\s+{_PIECES}",
    re.IGNORECASE,
)
#: "The tray holds 14 pieces: 4 handles, 4 tubes and 6 inserts": the number stands in front.
_TOLD_FIRST = re.compile(rf"\b{_NUMBER}\s+{_PIECES}\b[^:.;]{{0,40}}:\s*(?P<rest>[^.;]+)", re.IGNORECASE)
_COUNTED = re.compile(
    rf"(?<![\w.,/-]){_NUMBER}\s+(?!(?:mm|cm|m|ml|l|kg|g|bar|min|s|h|x|times)\b)[a-z]", re.IGNORECASE
)
_TOTAL_ROW = re.compile(
    r"^(?:total|totals|sum|both|all|together|altogether|in all|whole set)\b", re.IGNORECASE
)
_CELL_NUMBER = re.compile(r"^(\d{1,6}(?:[.,]\d{1,4})?)\s*(kg|g|lb)?$", re.IGNORECASE)
_FEWEST = 2
_A_MONTH_S = 30 * 86400.0
_ROUNDING = 1e-6
_TABLE_ROUNDING = 0.051


@rule(
    Theme.units_and_arithmetic,
    Level.concern,
    title="The pieces of a set do not add up to the number that is told.",
    message="What is counted up comes to {sum}, and {told} is told.",
    remedy="Ask the maker how many pieces the set has; until then the set is counted piece by piece.",
)
def pieces_do_not_add_up(case: Case) -> Iterator[Trip]:
    """Counts of one sentence, and columns of a table with a last row that adds up."""
    for passage in case.sentences:
        match = _IN_ALL.search(passage.text)
        told = match and _value(match[1] or match[2])
        counts = [_value(one) for one in _COUNTED.findall(passage.text[: match.start()])] if match else []
        if told and len(counts) >= _FEWEST and sum(counts) != told:
            yield Trip(passage.place, {"sum": sum(counts), "told": told})
        elif first := _TOLD_FIRST.search(passage.text):
            told = _value(first[1])
            counts = [_value(one) for one in _COUNTED.findall(f"{first['rest']} ")]
            if told and len(counts) >= _FEWEST and sum(counts) != told:
                yield Trip(passage.place, {"sum": sum(counts), "told": told})
    rows = [(passage, _cells(passage)) for passage in case.sentences]
    for at, (passage, cells) in enumerate(rows):
        if cells and _TOTAL_ROW.match(cells[0]):
            yield from _wrong_columns(passage, cells, [r for _, r in rows[:at]])


@rule(
    Theme.packaging_and_sterilization,
    Level.concern,
    title="A set is heavier than the text itself allows.",
    message="The set weighs {mass}; the text itself sets {limit} as the most.",
    remedy="Ask the maker how the set is divided; until then it is packed in lighter trays.",
)
def heavier_than_own_limit(case: Case) -> Iterator[Trip]:
    """Every mass that words tell of trays or the set against every upper bound on a load."""
    masses = [(p, f) for p in case.sentences for f in p.figures if f.quantity is FigureQuantity.mass]
    limits = [(p, f) for p, f in masses if f.bound is Bound.at_most]
    told = [(p, f) for p, f in masses if f.bound is Bound.value]
    for limited, limit in limits:
        over = [(p, f) for p, f in told if p.text != limited.text and _kg(f) > _kg(limit) * (1 + _ROUNDING)]
        if over:
            passage, mass = max(over, key=lambda pair: _kg(pair[1]))
            evidence: Evidence = {"mass": shown(mass), "limit": shown(limit)}
            yield Trip(limited.place, evidence, (passage.place,))


@rule(
    Theme.storage,
    Level.concern,
    title="The set comes too late to be processed before it is used.",
    message="The set comes {first} before it is used, and processing takes {second}.",
    remedy="Ask the maker to send the set earlier, in time for all of the processing.",
)
def comes_too_late(case: Case) -> Iterator[Trip]:
    """The time between arrival and operation against the time that words give the whole processing."""
    arrivals = _timed(case, "arrives", "before-the-operation")
    works = _timed(case, "whole-processing", "takes-time")
    for arrival, lead in arrivals:
        for work, takes in works:
            if arrival.text != work.text and _s(lead) < _s(takes) <= _A_MONTH_S:
                evidence: Evidence = {"first": _hours(lead), "second": _hours(takes)}
                yield Trip(arrival.place, evidence, (work.place,))
                return


def _timed(case: Case, *senses: str) -> list[tuple[Passage, Figure]]:
    """Sentences that say some senses together, with their one time."""
    out = []
    for passage in case.sentences:
        times = [f for f in passage.figures if f.quantity is FigureQuantity.time]
        if len(times) == 1 and all(says(passage.text, sense) for sense in senses):
            out.append((passage, times[0]))
    return out


def _hours(figure: Figure) -> Measure:
    return Measure(value=_s(figure) / 3600.0, unit="h")


def _s(figure: Figure) -> float:
    return figure.number("s")


def _kg(figure: Figure) -> float:
    return figure.number("kg")


def _value(written: str) -> int:
    return _COUNT_WORDS.get(written.lower()) or int(written)


def _cells(passage: Passage) -> list[str]:
    if not passage.text.lstrip().startswith("|"):
        return []
    return [cell.strip() for cell in passage.text.strip().strip("|").split("|")]


def _measure(value: float, unit: str | None) -> Measure | int:
    """A number of a table with its unit, or a plain count."""
    return Measure(value=value, unit=unit) if unit in {"kg", "g", "lb"} else round(value)


def _wrong_columns(passage: Passage, total: list[str], above: list[list[str]]) -> Iterator[Trip]:
    """The columns of a table whose last row does not add up what stands above it."""
    rows: list[list[str]] = []
    for cells in reversed(above):
        if len(cells) != len(total) or _TOTAL_ROW.match(cells[0]):
            break
        rows.append(cells)
    for column, cell in enumerate(total):
        told = _CELL_NUMBER.match(cell)
        numbers = [_CELL_NUMBER.match(row[column]) for row in rows]
        read = [match for match in numbers if match]
        if not told or len(read) < _FEWEST or any(m[2] != told[2] for m in read) or len(read) < len(rows) - 1:
            continue
        values = [float(match[1].replace(",", ".")) for match in read]
        expected = float(told[1].replace(",", "."))
        if abs(sum(values) - expected) > _TABLE_ROUNDING * len(values):
            evidence: Evidence = {"sum": _measure(sum(values), told[2]), "told": _measure(expected, told[2])}
            yield Trip(passage.place, evidence)


RULES = (pieces_do_not_add_up, heavier_than_own_limit, comes_too_late)
