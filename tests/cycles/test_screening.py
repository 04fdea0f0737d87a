"""The quick look at all channels at once: it never passes over what the slow looks would find."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest

from sinkside.cycles import FAULTS, Trace, simulate, trust
from sinkside.cycles.trust import Samples, believable
from sinkside.department import Program


def looked_at_closely(trace: Trace, monkeypatch: pytest.MonkeyPatch) -> Samples:
    """The samples as the slow looks alone leave them."""

    def none_is_sound(channels: Sequence[object], *_: object, **__: object) -> list[bool]:
        return [False] * len(channels)

    with monkeypatch.context() as patched:
        patched.setattr(trust, "surely_sound", none_is_sound)
        return believable(trace)


def assert_the_same(trace: Trace, monkeypatch: pytest.MonkeyPatch) -> None:
    """Both ways leave the same doubts and the same readings."""
    quick, slow = believable(trace), looked_at_closely(trace, monkeypatch)
    assert quick.doubts == slow.doubts
    np.testing.assert_array_equal(quick.probes_c, slow.probes_c)
    assert (quick.pressure_pa is None) is (slow.pressure_pa is None)
    if quick.pressure_pa is not None and slow.pressure_pa is not None:
        np.testing.assert_array_equal(quick.pressure_pa, slow.pressure_pa)


@pytest.mark.parametrize("fault", ["normal", *(fault.name for fault in FAULTS)])
def test_no_fault_is_passed_over(
    fault: str, programs: dict[str, Program], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of each fault, at the size at which it must be seen, the slow looks find no more than the quick one."""
    known = next((one for one in FAULTS if one.name == fault), None)
    able = [one for one in programs.values() if known is None or known.befalls(one)]
    for program in able[:3]:
        name, size = (known.asked_as, known.smallest) if known else ("normal", None)
        assert_the_same(simulate(program, name, seed=77, size=size).as_trace("a"), monkeypatch)


@pytest.mark.parametrize("seed", range(40))
def test_no_blemish_is_passed_over(
    seed: int, programs: dict[str, Program], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Readings that are missing, stand still, jump, scatter or are cut off anywhere are found both ways."""
    random = np.random.default_rng(seed)
    trace = simulate(programs["134-3"], seed=seed).as_trace("a")
    for channel in trace.channels:
        start = int(random.integers(0, channel.values.size - 60))
        part = channel.values[start : start + int(random.integers(1, 60))]
        blemish = random.integers(0, 7)
        if blemish == 0:
            part[:] = part[0]
        elif blemish == 1:
            part[:] = np.nan
        elif blemish == 2:
            part[:] += random.normal(0.0, 0.02 * abs(part.mean()), part.size)
        elif blemish == 3:
            part[:1] += random.choice([-16.0, 16.0, 600.0])
        elif blemish == 4:
            np.minimum(channel.values, np.quantile(channel.values, 0.8), out=channel.values)
        elif blemish == 5:
            np.maximum(channel.values, np.quantile(channel.values, 0.1), out=channel.values)
    assert_the_same(trace, monkeypatch)
