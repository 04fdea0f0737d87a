"""The figures in force as a document."""

from __future__ import annotations

import json

import jsonschema
import pytest

from sinkside.limits import LimitsDocument, limits_document, profile, profile_names


@pytest.mark.parametrize("name", profile_names())
def test_the_document_fits_its_own_schema(name: str) -> None:
    """What is handed on validates against the JSON Schema and reads back the same."""
    document = limits_document(profile(name))
    written = document.model_dump_json(exclude_none=True)
    jsonschema.validate(json.loads(written), LimitsDocument.model_json_schema())
    assert LimitsDocument.model_validate_json(written) == document


def test_the_document_says_everything_of_a_figure() -> None:
    """A figure carries its kind, source and override, so that nobody takes an observation for a limit."""
    site = profile("us").override("mass-set-limit-us", 9, reason="Two of us lift alone.")
    written = json.loads(limits_document(site).model_dump_json(exclude_none=True))
    figures = {figure["id"]: figure for figure in written["figures"]}
    assert written["format"] == "sinkside/limits-1"
    assert figures["mass-set-limit-us"]["value"] == 9
    assert figures["mass-set-limit-us"]["override"] == {"published": 11.34, "reason": "Two of us lift alone."}
    assert figures["rescue-soak-time"]["kind"] == "observation"
    assert figures["work-area-humidity"]["value"] == [30, 60]
    assert figures["mass-set-limit-us"]["source"]["how_read"] == "second-hand"
    assert [known["temperature_c"] for known in written["recognised_steam_temperatures"]][:2] == [115, 121]
