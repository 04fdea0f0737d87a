"""What the longer hunts measured, told at their end: these are the figures of docs/reliability.md."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Final

import pytest

from support.figures import Figure

#: The name under which a figure travels with the report of its test.
FIGURE: Final = "figure"


@pytest.fixture
def figure(record_property: Callable[[str, object], None]) -> Figure:
    """Keeps what a test measured, in words."""
    return lambda words: record_property(FIGURE, words)


def figures_of(reports: Iterable[pytest.TestReport]) -> list[str]:
    """A line for each figure that was kept: what was measured, the test, and how long that took."""
    return [
        f"{value} ({report.nodeid}, {report.duration:.0f} s)"
        for report in reports
        for name, value in report.user_properties
        if name == FIGURE
    ]


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Print them after everything else."""
    passed = terminalreporter.stats.get("passed", [])
    if lines := figures_of(one for one in passed if one.when == "call"):
        terminalreporter.section("figures")
        for line in lines:
            terminalreporter.write_line(line)
