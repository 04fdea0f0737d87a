"""Writes a picture of every simulated fault for docs/cycles: `.venv/bin/python tools/fault_pictures.py`."""

from __future__ import annotations

import io
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from PIL import Image
from playwright.sync_api import sync_playwright

from sinkside import documents
from sinkside.aids.report.plot import cycle_plot
from sinkside.aids.report.plot_svg import plot_svg
from sinkside.cycles import FAULTS, Fault, judge, simulate
from sinkside.department import Program

ROOT = Path(__file__).parents[1]
PICTURES = ROOT / "docs" / "cycles" / "pictures"
SEED = 4

_STEAM = {
    "kind": "steam-prevacuum", "name": "134 °C, 3.5 min",
    "exposure": {"temperature": "134 °C", "band": "3 K", "time": "3.5 min", "come_up": "3 min"},
    "air_removal": {"pulses": 3, "vacuum": "10 kPa"}, "drying": {"time": "12 min"},
}  # fmt: skip
_WASHER = {
    "kind": "washer-disinfector", "name": "instruments",
    "phases": [
        {"name": "pre-rinse", "temperature": {"max": "45 °C"}, "time": "3 min"},
        {"name": "wash", "temperature": {"min": "50 °C", "max": "60 °C"}, "time": "5 min", "dose": "100 mL"},
        {"name": "rinse", "temperature": {"min": "30 °C", "max": "50 °C"}, "time": "2 min"},
        {"name": "disinfection", "temperature": {"min": "90 °C"}},
        {"name": "drying", "temperature": {"min": "90 °C"}, "time": "15 min"},
    ],
    "disinfection": {"a0": 3000}, "probes": {"spread": "2 K"},
    "cleaning": {"spray_arm": {"min": "20 rpm"}, "pump_pressure": {"min": "25 kPa"}},
}  # fmt: skip
_OTHERS = (
    {
        "kind": "drying-cabinet", "name": "cabinet",
        "exposure": {"temperature": "60 °C", "band": "10 K", "time": "45 min"},
    },
    {"kind": "leak-rate", "name": "leak", "leak": {"vacuum": "7 kPa", "settle": "5 min", "time": "10 min"}},
)  # fmt: skip
_STYLE = (
    ":root{--ink:#111;--soft:#555;--paper:#fff;--accent:#06527a;--hairline:#ddd;--shade:#f4f4f4;--judged:#e4eef3}"
    "body{margin:12px;background:#fff;font-family:sans-serif}"
)


def main() -> None:
    """Draw each fault at its smallest size, in the first program here that can have it."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    style = _STYLE + (ROOT / "src/sinkside/aids/report/report.css").read_text("utf-8")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path="/usr/bin/chromium", args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 984, "height": 900})
        for fault, drawing in _drawings():
            page.set_content(f"<style>{style}</style><div id=all>{drawing}</div>")
            shot = page.locator("#all").screenshot()
            with Image.open(io.BytesIO(shot)) as picture:
                picture.convert("RGB").save(PICTURES / f"{fault.name}.webp", quality=80, method=6)
        browser.close()
    sys.stdout.write(f"{len(FAULTS)} pictures in {PICTURES}\n")


def _drawings() -> Iterator[tuple[Fault, str]]:
    programs = [_program(fields) for fields in (_STEAM, _WASHER, *_OTHERS)]
    for fault in FAULTS:
        program = next(one for one in programs if fault.befalls(one))
        trace = simulate(program, fault.asked_as, seed=SEED, size=fault.smallest).as_trace(fault.name)
        plot = cycle_plot(trace, judge(trace, program), program)
        yield fault, plot_svg(plot, key=fault.name, title=fault.what, description=fault.what)


def _program(fields: dict[str, Any]) -> Program:
    return documents.validate(Program, fields, resource="program")


if __name__ == "__main__":
    main()
