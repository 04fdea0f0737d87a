"""Additions that a text writes out."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sinkside.quantities import Figure, FigureQuantity
from sinkside.review.case import Passage

_SAME = 0.01

#: A multiple is of a figure in the same sentence, or in one of so many in front of it.
_NEAR = 2
_FACTORS = {"twice": 2.0, "double": 2.0, "half": 0.5, "three": 3.0, "four": 4.0}
_MULTIPLE = re.compile(
    r"\b(twice|double|half|three times|four times)\s+(?:as (?:long|much|many)|the (?:time|amount|volume|dose"
    r"|quantity))\b[^.;\d]{0,40}?(?:that is|which is|which makes|i\.e\.|namely|=|,|:|\()\s*"
    r"(?:that is\s|about\s)?",
    re.IGNORECASE,
)
_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_UNIT = r"(?:\s?(?:mL|ml|L|min|s|h|g|kg|mm|cm|°C))?"
_SUM = re.compile(
    rf"(?<![\d.,])(?P<terms>\d+(?:[.,]\d+)?{_UNIT}(?:\s?\+\s?\d+(?:[.,]\d+)?{_UNIT})+)\s?=\s?"
    r"(?P<stated>\d+(?:[.,]\d+)?)"
)

_BEFORE_TOTALS = (
    r"i\.e\.|(?:that|which) (?:is|are)|adds?|add(?:s|ing)? up to|amount(?:s|ing)? to"
    r"|(?:in )?sum(?: is| of|s to|ming to)?|mak(?:es|ing)|giv(?:es|ing)|equals|(?:al)?together|in all"
    r"|all told|com(?:es|ing) to|total(?:s|ling)?(?: of| is)?"
)


def written_totals(text: str, stated: Sequence[Figure]) -> list[Figure]:
    """The figures of a text that stand as a total behind others: "(150 mL)", "= 150 mL", "150 mL in all"."""
    totals = []
    for figure in stated[1:]:
        written = re.escape(figure.as_written)
        as_total = (
            rf"(?:[(\[]\s*{written}\s*[)\]])|(?:=\s*{written})|(?:\|\s*{written}\s*\|)"
            rf"|(?:(?:{_BEFORE_TOTALS}):?,?\s*{written})"
            rf"|(?:{written}\s+(?:in all|in total|in sum|total|altogether|together|overall|all told))"
        )
        if figure.as_written and re.search(as_total, text, re.IGNORECASE):
            totals.append(figure)
    return totals[:1]


def wrong_sums(text: str) -> Iterator[tuple[str, float, float]]:
    """Each addition of a text that does not come out: as written, what it makes, and what is stated.

    >>> list(wrong_sums("Flush with 20 mL + 30 mL = 60 mL."))
    [('20 mL + 30 mL', 50.0, 60.0)]
    """
    for written in _SUM.finditer(text):
        terms = [float(term.replace(",", ".")) for term in _NUMBER.findall(written["terms"])]
        stated = float(written["stated"].replace(",", "."))
        if not math.isclose(sum(terms), stated, rel_tol=_SAME):
            yield written["terms"].strip(), sum(terms), stated


@dataclass(frozen=True)
class Multiple:
    """A figure that is told as a multiple of another: "twice as long, that is twelve minutes"."""

    how: str
    factor: float
    base: Figure
    stated: Figure


def multiples(sentences: Sequence[Passage]) -> Iterator[tuple[Passage, Multiple]]:
    """Each figure told as a multiple of the last one of its kind in front of it, with its words."""
    last: dict[FigureQuantity, tuple[int, Figure]] = {}
    for at, passage in enumerate(sentences):
        match = _MULTIPLE.search(passage.text)
        behind = passage.text[match.end() :].lstrip() if match else ""
        for stated in passage.figures:
            known = last.get(stated.quantity)
            is_told = bool(stated.as_written) and behind.startswith(stated.as_written)
            if match and is_told and known and at - known[0] <= _NEAR:
                how = match[1].lower()
                yield passage, Multiple(how, _FACTORS[how.split()[0]], known[1], stated)
            last[stated.quantity] = (at, stated)


def syringes(sentences: Sequence[Passage]) -> Iterator[tuple[Passage, Figure, Figure, Figure]]:
    """Each number of syringes with the size that was told before and the total beside it."""
    size: tuple[int, Figure] | None = None
    for at, passage in enumerate(sentences):
        volumes = [figure for figure in passage.figures if figure.quantity is FigureQuantity.volume]
        for volume in volumes:
            if re.search(rf"{re.escape(volume.as_written)}\s+syringe", passage.text, re.IGNORECASE):
                size = (at, volume)
        counts = [f for f in passage.figures if re.search(r"\bsyring", f.as_written, re.IGNORECASE)]
        counts = [count for count in counts if count.quantity is FigureQuantity.counted]
        totals = [volume for volume in volumes if size and volume is not size[1]]
        if size and at - size[0] <= _NEAR and len(counts) == len(totals) == 1:
            yield passage, counts[0], size[1], totals[0]
