"""One table of settings: who wins, what is refused, and the page that lists them."""

from __future__ import annotations

from pathlib import Path

import pytest

from sinkside.errors import BadDocument
from sinkside.settings import Settings, settings_page, settle, variable

ROOT = Path(__file__).parents[1]


def test_a_flag_wins_then_the_environment_then_the_workspace_then_the_default() -> None:
    """Each source is heard only where the one before it says nothing."""
    file = {"port": 1, "upload_mb": 1, "host": "0.0.0.0"}  # noqa: S104 # nothing is listened on here
    environment = {"SINKSIDE_PORT": "2", "SINKSIDE_UPLOAD_MB": "2", "SINKSIDE_HOST": ""}
    found = settle(flags={"port": 3, "host": None}, environment=environment, workspace=file)
    assert (found.port, found.upload_mb, found.host) == (3, 2, "0.0.0.0")  # noqa: S104 # as above
    assert found.log_level == "info"


@pytest.mark.parametrize(
    ("environment", "workspace", "place"),
    [
        ({"SINKSIDE_PORT": "many"}, {}, "SINKSIDE_PORT"),
        ({}, {"upload_mb": 0}, "[settings] upload_mb"),
        ({}, {"colour": "blue"}, "[settings] colour"),
        ({"SINKSIDE_ADDRESS": "house.example"}, {}, "SINKSIDE_ADDRESS"),
    ],
)
def test_what_will_not_do_is_refused_with_its_place(
    environment: dict[str, str], workspace: dict[str, object], place: str
) -> None:
    """An unknown setting or a wrong value says where it was said."""
    with pytest.raises(BadDocument, match=place.replace("[", r"\[").replace("]", r"\]")):
        settle(flags={}, environment=environment, workspace=workspace)


def test_every_setting_is_documented() -> None:
    """docs/settings.md is the page that the program makes, and each setting has a sentence in it."""
    text = (ROOT / "docs/settings.md").read_text("utf-8")
    assert text == settings_page()
    for name, field in Settings.model_fields.items():
        assert field.description
        assert variable(name) in text
