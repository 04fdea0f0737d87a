"""Scenes of the working day, from outside: the drying that is missing, and the dose that does not fit."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from support.command import Sinkside

#: Invented, as little of it as the scene needs.
TEXT = """format: sinkside/instruction-1
device: {name: Quarl 3 hook}
steps:
- id: s1
  stage: sterilization
  action: sterilize
  air_removal: prevacuum
  with: saturated steam
  figures:
  - {quantity: temperature, value: 132, unit: °C}
  - {quantity: time, value: 4, unit: min, role: exposure}
  - {quantity: time, value: 30, unit: min, role: drying}
"""
SITE = """format: sinkside/department-1
name: Test department
machines:
- id: sterilizer-1
  name: Sterilizer 1
  kind: steam-sterilizer
  programs:
  - kind: steam-prevacuum
    name: 132 °C, 4 min
    exposure: {temperature: 132 °C, time: 4 min}
    air_removal: {pulses: 4, vacuum: 15 kPa}
    drying: {time: %s}
  - kind: steam-prevacuum
    name: 134 °C, 3 min
    exposure: {temperature: 134 °C, time: 3 min}
    air_removal: {pulses: 4, vacuum: 15 kPa}
    drying: {time: 30 min}
"""


@pytest.fixture
def files(tmp_path: Path) -> tuple[Path, Path]:
    """The text of scene 2, and the site that has each half of it."""
    text, site = tmp_path / "hook.yaml", tmp_path / "site.yaml"
    text.write_text(TEXT, encoding="utf-8")
    site.write_text(SITE % "20 min", encoding="utf-8")
    return text, site


def test_scene_2_a_drying_is_validated_and_no_other_cycle_stands_in(
    sinkside: Sinkside, files: tuple[Path, Path]
) -> None:
    """132/4 with drying 30 has no route; the smallest change is that drying on 132/4; 134/3 is never said."""
    text, site = files
    refused = sinkside("route", text, "--department", site, "--json")
    assert refused.status == 1
    assert not refused.values["resolved"]
    (repair,) = refused.values["smallest_repair"]
    assert (
        repair["sentence"].replace("\xa0", " ") == "Validate 30 min drying on 132 °C, 4 min (Sterilizer 1)."
    )
    changes = [one["sentence"] for one in refused.values["changes"]]
    assert not [told for told in changes if "134" in told]
    told = sinkside("route", text, "--department", site)
    assert "Smallest change: Validate 30" in told.out


def test_scene_2_once_the_drying_is_validated_there_is_a_route(
    sinkside: Sinkside, files: tuple[Path, Path]
) -> None:
    """With 30 min drying on the 132/4 program the route uses it, and the fit table says that it fits."""
    text, site = files
    site.write_text(SITE % "30 min", encoding="utf-8")
    answer = sinkside("route", text, "--department", site, "--json")
    assert answer.status == 0, answer.err
    (operation,) = answer.values["operations"]
    assert operation["bindings"][0]["program"] == "132 °C, 4 min"
    fits = sinkside("fit", text, "--department", site, "--json")
    assert json.loads(fits.out)["fit"]["word"] == "fits"
