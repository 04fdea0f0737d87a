"""Benches tap along while the house is killed: nothing acknowledged is lost, nothing is done twice."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

from sinkside import wiring
from support.figures import Figure
from support.filled_house import house_at


def _tool() -> ModuleType:
    path = Path(wiring.__file__).parents[2] / "tools" / "bench_taps.py"
    spec = importlib.util.spec_from_file_location("bench_taps", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize(
    ("benches", "seconds", "kills"),
    [(6, 4.0, 1), pytest.param(40, 60.0, 20, marks=pytest.mark.long)],
)
def test_no_tap_is_lost_doubled_or_out_of_order_over_kills(
    tmp_path: Path, benches: int, seconds: float, kills: int, figure: Figure
) -> None:
    """Every bench goes on with what was not acknowledged; each tap is kept once, in its order."""
    tool = _tool()
    folder = house_at(tmp_path / "house")
    queues = tool.fill(folder, benches)
    house = tool.House(folder)
    try:
        tool.kill_meanwhile(house, queues, seconds=seconds, kills=kills, seed=7)
    finally:
        house.stop()
    assert [len(bench.sent) for bench in queues] == [int(seconds)] * benches
    assert [one for bench in queues for one in bench.surprises] == []
    assert tool.faults_of(folder, queues) == []
    taps = sum(len(bench.sent) for bench in queues)
    figure(f"{benches} benches, {kills} kills, {taps:,} taps, none lost or doubled")
