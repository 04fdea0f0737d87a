"""Control charts against the worked examples of the NIST/SEMATECH e-Handbook of Statistical Methods.

The published results of 6.3.2.2, 6.3.2.3 and 6.3.2.4 are those of our reference data. The measurements of
6.3.2.2 and 6.3.2.4 are from memory; they reproduce every published result, which ten other numbers would not.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from sinkside.science.control import (
    Level,
    cusum,
    ewma,
    ewma_limits,
    individuals_chart,
)

CUSUM: dict[str, Any] = json.loads(
    (Path(__file__).parent / "data" / "nist_cusum.json").read_text(encoding="utf-8")
)
FLOW = np.array([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])
EWMA_MEASURED = np.concatenate(([52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5], FLOW))
EWMA_PRINTED = [
    50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33,
    50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99,
]  # fmt: skip


def test_individuals_and_moving_range() -> None:
    """NIST 6.3.2.2, flow rates: mean 50.81, mean range 1.8778, limits 55.8041, 45.8159 and 6.1347."""
    chart = individuals_chart(FLOW)
    assert chart.level.centre == pytest.approx(50.81, abs=5e-5)
    assert chart.mean_range == pytest.approx(1.8778, abs=5e-5)
    assert chart.high == pytest.approx(55.8041, abs=5e-5)
    assert chart.low == pytest.approx(45.8159, abs=5e-5)
    assert chart.range_limit == pytest.approx(6.1347, abs=5e-5)


def test_weighted_average_and_its_limits() -> None:
    """NIST 6.3.2.4, weight 0.3, scatter 2.0539: limits 52.5884 and 47.4115, and all twenty averages."""
    low, high = ewma_limits(Level(50.0, 2.0539), weight=0.3)
    assert float(high[0]) == pytest.approx(52.5884, abs=1e-4)
    assert float(low[0]) == pytest.approx(47.4115, abs=1e-4)
    averages = ewma(EWMA_MEASURED, weight=0.3, start=50.0)
    assert averages.tolist() == pytest.approx(EWMA_PRINTED, abs=0.0105)


def test_cumulative_sum() -> None:
    """NIST 6.3.2.3, means of four: with k 0.3175 and h 4.1959 the first signal is at group 14, upwards."""
    means = np.array(CUSUM["nist_cusum_subgroup_means"])
    up, down = cusum(means, centre=CUSUM["target"], slack=0.3175)
    assert int(np.flatnonzero(up > 4.1959)[0]) + 1 == 14
    assert not (down > 4.1959).any()
