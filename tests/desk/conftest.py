"""Houses for the tests of the desk."""

from __future__ import annotations

import pytest

from support.desk_house import House, new_house


@pytest.fixture
def house() -> House:
    """A house with an administrator who leads, two educators, a technician and an auditor."""
    made = new_house()
    made.add("eve", "educator")
    made.add("uma", "educator")
    made.add("tom", "technician")
    made.add("olga", "auditor")
    return made
