"""Languages on the web: what is shown filled in both languages, reviewed, taken back, named and chosen."""

from __future__ import annotations

import re
from collections.abc import Callable

from sinkside.plain.reviewing import templates_of
from support.browserless import Caller

PLACE = "/at/valley/languages"


def test_templates_are_reviewed_and_taken_back(caller: Callable[..., Caller]) -> None:
    """Each template stands filled beside English; what is ticked is reviewed by name, or taken back."""
    edda = caller("educator")
    page = edda.get(f"{PLACE}/pl").text
    assert re.search(r'lang="pl" dir="ltr">Wyszczotkuj: shaft lumen i jaw</span>', page)
    assert re.search(r'lang="en">Brush the shaft lumen and jaw</span>', page)
    assert "0 of" in page
    chosen = {"templates": [one.digest for one in templates_of("pl")[:2]]}
    assert edda.post(f"{PLACE}/pl/review", chosen).status_code == 303
    known = edda.get(f"/api{PLACE}/pl").json()
    assert known["line"]["reviewed"] == 2
    assert "Edda" in next(one for part in known["parts"] for one in part["reviewed"])["reviewed"]
    assert edda.post(f"{PLACE}/pl/withdraw", chosen).status_code == 303
    assert edda.get(f"/api{PLACE}/pl").json()["line"]["reviewed"] == 0


def test_nothing_chosen_is_a_sentence(caller: Callable[..., Caller]) -> None:
    """A form without a tick says what it expected, and keeps nothing."""
    answer = caller("educator").post(f"{PLACE}/pl/review", {})
    assert answer.status_code == 422
    assert "Choose at least one template" in answer.text


def test_arabic_stands_from_right_to_left(caller: Callable[..., Caller]) -> None:
    """The browser is told the direction; no formula for reading is claimed where none was made."""
    page = caller("technician").get(f"{PLACE}/ar").text
    assert 'lang="ar" dir="rtl"' in page
    assert "Reads at" not in page
    assert "These are right" not in page


def test_names_and_units_of_the_department(caller: Callable[..., Caller]) -> None:
    """An educator says what a part is called, a lead which units are read; both stand on the pages."""
    edda, lead = caller("educator"), caller("lead")
    given = {"written": "lock screw", "called": "śruba blokująca"}
    assert edda.post(f"{PLACE}/pl/names", given).status_code == 303
    assert edda.get(f"/api{PLACE}/pl").json()["names"] == [["lock screw", "śruba blokująca"]]
    assert lead.post(f"{PLACE}/units", {"temperature": "°F", "pressure": "psi"}).status_code == 303
    assert "Temperatures: °F. Pressures: psi." in edda.get(PLACE).text
