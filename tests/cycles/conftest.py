"""The labelled records, and programs of every kind that can be judged."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from sinkside import documents
from sinkside.department import Program

TRACES = Path(__file__).parents[1] / "samples" / "traces"


def _program(**fields: Any) -> Program:
    return documents.validate(Program, fields, resource="program")


def _steam(kind: str, temperature: str, time: str, **more: Any) -> Program:
    exposure = {"temperature": temperature, "band": "3 K", "time": time}
    return _program(kind=f"steam-{kind}", name=f"{temperature}, {time}", exposure=exposure, **more)


_WASHES_HOT = [
    {"name": "pre-rinse", "temperature": {"max": "45 °C"}, "time": "3 min"},
    {"name": "wash", "temperature": {"min": "65 °C", "max": "72 °C"}, "time": "5 min", "dose": "100 mL"},
    {"name": "rinse", "temperature": {"min": "30 °C", "max": "60 °C"}, "time": "2 min"},
    {"name": "disinfection", "temperature": {"min": "80 °C"}},
    {"name": "drying", "temperature": {"min": "90 °C"}, "time": "10 min"},
]
_RINSES_TWICE = [
    {"name": "pre-rinse", "time": "2 min"},
    {"name": "wash", "temperature": {"min": "40 °C", "max": "45 °C"}, "time": "10 min"},
    {"name": "rinse", "time": "1 min"},
    {"name": "rinse", "temperature": {"min": "30 °C", "max": "50 °C"}, "time": "1 min"},
    {"name": "disinfection", "temperature": {"min": "90 °C", "max": "95 °C"}, "time": "5 min"},
    {"name": "drying", "time": "20 min"},
]


def _made() -> dict[str, Program]:
    sample = {name: documents.load(Program, TRACES / f"{name}.yaml") for name in ("132-4", "134-3", "washer")}
    return sample | {
        "134-18": _steam(
            "prevacuum", "134 °C", "18 min",
            air_removal={"pulses": 3, "vacuum": "10 kPa"}, drying={"time": "30 min", "vacuum": "8 kPa"},
            probes={"spread": "2 K"},
        ),
        "121-20": _steam(
            "prevacuum", "121 °C", "20 min",
            air_removal={"pulses": 4, "vacuum": "20 kPa"}, drying={"time": "15 min"},
        ),
        "270-f": _steam(
            "prevacuum", "270 °F", "4 min",
            air_removal={"pulses": 4, "vacuum": "2.2 psi"}, drying={"time": "20 min"},
        ),
        "gravity": _steam("gravity", "121 °C", "30 min", drying={"time": "15 min", "vacuum": "20 kPa"}),
        "gravity-undried": _steam("gravity", "121 °C", "15 min"),
        "pulse": _steam(
            "pulse", "132 °C", "4 min",
            air_removal={"pulses": 4, "pressure": "200 kPa"}, drying={"time": "15 min"},
        ),
        "pulse-undried": _steam("pulse", "132 °C", "4 min", air_removal={"pulses": 3, "pressure": "150 kPa"}),
        "shows-spray": _program(
            kind="washer-disinfector", name="shows its spray", phases=_WASHES_HOT, disinfection={"a0": 3000},
            cleaning={"spray_arm": {"min": "20 rpm"}, "pump_pressure": {"min": "25 kPa"}},
        ),
        "quick-to-heat": _steam(
            "prevacuum", "134 °C", "5 min", air_removal={"pulses": 3, "vacuum": "12 kPa", "left": "0.1 %"},
            drying={"time": "10 min"}, scope=["equilibration"], use="wrapped",
        ),
        "air-removal-test": _program(
            kind="air-removal-test", name="air removal",
            exposure={"temperature": "134 °C", "time": "3.5 min", "longest": "4.5 min", "come_up": "3 min"},
            air_removal={"pulses": 3, "vacuum": "10 kPa"},
        ),
        "leak-rate": _program(
            kind="leak-rate", name="leak rate", leak={"vacuum": "7 kPa", "settle": "5 min", "time": "10 min"}
        ),
        "gas": _program(
            kind="exposure", name="gas",
            exposure={
                "temperature": "52 °C", "band": "6 K", "time": "120 min", "pressure": {"max": "70 kPa"},
                "concentration": {"min": "450 mg/L"}, "humidity": {"min": "40 %", "max": "80 %"},
            },
            aeration={"time": "60 min", "temperature": {"min": "50 °C", "max": "60 °C"}},
        ),
        "cabinet": _program(
            kind="drying-cabinet", name="cabinet",
            exposure={"temperature": "60 °C", "band": "10 K", "time": "45 min"},
        ),
        "bath": _program(
            kind="thermal-disinfection", name="bath", exposure={"temperature": "80 °C", "time": "10 min"},
        ),
        "washes-hot": _program(
            kind="washer-disinfector", name="hot wash", phases=_WASHES_HOT, disinfection={"a0": 600}
        ),
        "rinses-twice": _program(
            kind="washer-disinfector", name="two rinses", phases=_RINSES_TWICE, disinfection={"a0": 3000}
        ),
    }  # fmt: skip


@pytest.fixture(scope="session")
def programs() -> dict[str, Program]:
    """Programs by name; figures invented, but for the three that come with the labelled records."""
    return _made()


@pytest.fixture(scope="session")
def traces() -> Path:
    """The folder of the labelled records."""
    return TRACES
