"""Run charts and charts of counts against the tables and examples that were published."""

from __future__ import annotations

import pytest

from sinkside.science.counts import rate_chart
from sinkside.science.run_chart import crossings_needed, longest_allowed, runs_about

#: The longest run that chance allows, from so many useful values on until the next line (public table of
#: critical values for the rule of Anhøj and Olesen 2014, n = 10 to 109; read on a page that quotes it).
LONGEST = ((10, 6), (12, 7), (23, 8), (46, 9), (91, 10), (110, 10))

#: The fewest crossings: 13 values as told by the authors of the rule in words ("less than three crossings"),
#: read; 24 values and 20 values from the vignette of the R package qicharts (from memory).
CROSSINGS = ((13, 3), (20, 6), (24, 8))

#: Defects on 25 wafers, NIST/SEMATECH e-Handbook 6.3.3.1, its counts and limits (from memory).
WAFERS = (16, 14, 28, 16, 12, 20, 10, 12, 10, 17, 19, 17, 14, 16, 15, 13, 14, 16, 11, 20, 11, 19, 16, 31, 13)


@pytest.mark.parametrize("line", range(len(LONGEST) - 1))
def test_the_longest_run_is_that_of_the_published_table(line: int) -> None:
    """Every number of values from 10 to 109 has the printed limit."""
    begin, limit = LONGEST[line]
    for useful in range(begin, LONGEST[line + 1][0]):
        assert longest_allowed(useful) == limit, useful


@pytest.mark.parametrize(("useful", "fewest"), CROSSINGS)
def test_the_fewest_crossings_are_as_published(useful: int, fewest: int) -> None:
    """So many values need so many crossings at least."""
    assert crossings_needed(useful) == fewest


def test_the_example_of_thirteen_values() -> None:
    """Five crossings and a longest run of three (sciencetrends.com on crossings, runs and crossrun, read).

    The text tells where its series crosses the line: from 3 to 4, 6 to 7, 7 to 8, 9 to 10 and 10 to 11. It
    has a signal below three crossings.
    """
    values = [1.0 if side == "+" else -1.0 for side in "+++---+--+---"]
    assert runs_about(values, 0.0) == (13, 3, 5)
    assert crossings_needed(13) <= 5


def test_the_wafers_of_the_handbook() -> None:
    """Their mean is 16; limits are 4 and 28, and one wafer of 31 lies outside."""
    chart = rate_chart(WAFERS, [1.0] * len(WAFERS))
    assert (chart.centre, chart.low[0], chart.high[0]) == (16.0, 4.0, 28.0)
    outside = [count for count in WAFERS if not chart.low[0] <= count <= chart.high[0]]
    assert outside == [31]
