"""Figures in signs that need no translation."""

from __future__ import annotations

from typing import Any

import pytest

from sinkside.errors import BadQuantity
from sinkside.language import bounds_text, figure_text
from sinkside.quantities.figure import FigureValue


@pytest.mark.parametrize(
    ("figure", "language", "expected"),
    [
        ({"quantity": "time", "min": 30, "unit": "min"}, "en", "≥ 30 min"),
        ({"quantity": "temperature", "min": 20, "max": 45, "unit": "°C"}, "en", "20–45 °C"),
        ({"quantity": "temperature", "max": 35, "unit": "°C"}, "en", "≤ 35 °C"),
        ({"quantity": "time", "value": 4, "unit": "min"}, "en", "4 min"),
        ({"quantity": "temperature", "max": 45, "unit": "°C", "strict": True}, "en", "< 45 °C"),
        ({"quantity": "ph", "min": 10, "unit": "pH", "strict": True}, "en", "pH > 10"),
        ({"quantity": "ph", "min": 6.5, "max": 9.5, "unit": "pH"}, "de", "pH 6,5–9,5"),
        ({"quantity": "temperature-difference", "min": -1, "max": 3, "unit": "K"}, "en", "\u22121 – 3 K"),
        ({"quantity": "time", "min": 1, "max": 2, "unit": "d"}, "en", "1–2 days"),
        (
            {"quantity": "pressure", "max": 15, "unit": "kPa", "reference": "absolute"},
            "en",
            "≤ 15 kPa absolute",
        ),
        ({"quantity": "pressure", "value": 2.1, "unit": "bar", "reference": "unsaid"}, "en", "2.1 bar"),
        ({"quantity": "percent", "min": 0.5, "max": 1, "unit": "%"}, "de", "0,5–1 %"),
    ],
)
def test_figures(figure: dict[str, Any], language: str, expected: str) -> None:
    """The bound is a sign, a range an en dash, and a strict bound leaves the figure itself out."""
    assert figure_text(FigureValue(**figure), language).replace("\u00a0", " ") == expected


def test_a_figure_without_ends_is_no_figure() -> None:
    """Two open ends bound nothing and are refused."""
    with pytest.raises(BadQuantity, match="no number that can be written"):
        bounds_text(float("-inf"), float("inf"), "K")
