"""A record that holds more than one cycle: what two loads were given never makes one `meets`."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sinkside.cycles import Trace, judge, simulate
from sinkside.department import Program


def _joined(first: Trace, second: Trace) -> Trace:
    """Two records in one file, as a recorder writes that is not stopped between loads."""
    later = second.times_s + float(first.times_s[-1]) + first.interval_s
    channels = tuple(
        replace(one, values=np.concatenate([one.values, other.values]))
        for one, other in zip(first.channels, second.channels, strict=True)
    )
    return replace(first, times_s=np.concatenate([first.times_s, later]), channels=channels)


@pytest.mark.parametrize(
    ("name", "kinds"),
    [
        ("132-4", ("normal", "normal")),
        ("132-4", ("normal", "short-exposure")),
        ("132-4", ("normal", "missing-pulse")),
        ("132-4", ("short-dry", "normal")),
        ("132-4", ("normal", "low-temperature")),
        ("washer", ("normal", "normal")),
        ("washer", ("normal", "low-disinfection")),
    ],
)
def test_two_cycles_in_one_record_do_not_meet(
    name: str, kinds: tuple[str, str], programs: dict[str, Program]
) -> None:
    """A load that was not dried, or not exposed, may not borrow from the cycle of another load."""
    program = programs[name]
    first, second = (simulate(program, kind, seed=3).as_trace("record") for kind in kinds)
    verdict = judge(_joined(first, second), program)
    assert verdict.verdict != "meets"
    assert "further-cycle" in {finding.rule for finding in verdict.findings}
    assert "another was running" in verdict.summary


@pytest.mark.parametrize("name", ["132-4", "134-18", "121-20", "gravity", "pulse", "washer", "washes-hot"])
def test_one_cycle_is_not_taken_for_two(name: str, programs: dict[str, Program]) -> None:
    """Pulses, drying under vacuum and hot air after cool water are parts of one cycle."""
    for seed in range(5):
        verdict = judge(simulate(programs[name], seed=seed).as_trace("record"), programs[name])
        assert verdict.verdict == "meets"
        assert "further-cycle" not in {finding.rule for finding in verdict.findings}
