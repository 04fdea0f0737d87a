"""Lessons on the web: listed, gone through part by part, projected, noted beside; all without script."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass

import pytest
from PIL import Image

from support.desk_visit import DeskVisit, app_over
from support.taught_house import a_taught_house


@dataclass(frozen=True)
class Taught(DeskVisit):
    """The application over a house with an approved text, and the address of its lesson."""

    forceps: str


@pytest.fixture(scope="module")
def taught() -> Taught:
    """A house of its own."""
    house, key = a_taught_house()
    return Taught(house, app_over(house), f"/at/north/teaching/{key}")


def test_a_lesson_is_gone_through_part_by_part(taught: Taught) -> None:
    """From the list through each part by its button alone, until the list says that it is learnt."""
    tom = taught.caller("tom")
    assert "Not yet gone through" in tom.get("/at/north/teaching").text
    address, parts = taught.forceps, tom.get(f"/api{taught.forceps}").json()["parts"]
    assert len(parts) == 2
    for _ in parts:
        page = tom.get(address).text
        fields = dict(re.findall(r'name="(part|revision|since|language)" value="([^"]*)"', page))
        assert "I have gone through this part" in page
        answer = tom.post(f"{taught.forceps}/learnt", fields)
        assert answer.status_code == 303, answer.text
        address = answer.headers["location"]
    assert address == "/at/north/teaching"
    told = tom.get(address).text
    assert "You went through it" in told
    assert "I have gone through this part" not in tom.get(taught.forceps).text


def test_a_step_says_what_why_and_with_what(taught: Taught) -> None:
    """Figures with their unit, the open jaw drawn, reasons with their source, hazards, good and bad."""
    page = taught.caller("olga").get(f"{taught.forceps}?part=sterilizer").text
    assert "A closed jaw traps air" in page
    assert "Steam and hot metal burn" in page
    assert '<svg xmlns="http://www.w3.org/2000/svg" class="device-drawing"' in page
    assert '<b>134</b> <span class="unit">°C</span>' in page
    assert "AAMI ST79" in page
    assert "I have gone through" not in page


def test_a_wall_has_one_step_and_two_ways(taught: Taught) -> None:
    """Next leads from the first step through every step of every part to the last, and back is the same."""
    tom = taught.caller("tom")
    lesson = tom.get(f"/api{taught.forceps}").json()
    seen: list[str] = []
    address = lesson["projected"]
    while address:
        page = tom.get(f"/api{address}").json()
        assert bool(page["previous"]) == bool(seen)
        seen.append(page["step"]["letter"])
        address = page["next"]
    whole = [
        step["letter"]
        for part in lesson["parts"]
        for step in tom.get(f"/api{part['address']}").json()["steps"]
    ]
    assert seen == whole
    assert 'rel="next"' in tom.get(lesson["projected"]).text


def test_words_that_nobody_reviewed_are_refused_with_the_way_out(taught: Taught) -> None:
    """Another language is refused in a sentence, shown as a marked proof, and read from right to left."""
    tom = taught.caller("tom")
    refused = tom.get(f"{taught.forceps}?language=ar").text
    assert "It must not be taught from yet" in refused
    assert "not reviewed in Arabic" in refused
    proof = tom.get(f"{taught.forceps}?language=ar&proof=true").text
    assert "Not for the floor" in proof
    assert '<div lang="ar" dir="rtl">' in proof
    assert "I have gone through" not in proof
    assert tom.get(f"{taught.forceps}/projected?language=ar").status_code == 409


def test_a_note_is_written_beside_a_step_and_taken_away(taught: Taught) -> None:
    """An educator notes words and a photo; a technician reads both, and finds no form."""
    eve, tom = taught.caller("eve"), taught.caller("tom")
    first = taught.caller("eve").get(f"/api{taught.forceps}").json()["steps"][0]
    form = first["note_form"]
    assert eve.post(form, {"base": "0", "words": "Swabs: drawer 2."}).status_code == 303
    out = io.BytesIO()
    Image.new("RGB", (300, 220), (40, 90, 90)).save(out, format="PNG")
    photo = [("photo", ("swab.png", out.getvalue(), "image/png"))]
    assert eve.post(f"{form}/photo", {"base": "1"}, files=photo).status_code == 303
    step = tom.get(f"/api{taught.forceps}").json()["steps"][0]
    assert step["note"]["text"] == "Swabs: drawer 2."
    assert step["note_form"] == ""
    assert tom.get(step["note"]["photo"]).headers["content-type"] == "image/jpeg"
    assert tom.get(form).status_code == 403
    assert "Swabs: drawer 2." in tom.get(taught.forceps).text
    late = eve.post(form, {"base": "0", "words": "Late."})
    assert late.status_code == 409
    assert "omebody else changed the notes meanwhile" in late.text
    assert eve.post(f"{form}/away", {"base": "2"}).status_code == 303
    assert eve.get(f"/api{taught.forceps}").json()["steps"][0]["note"] is None


def test_a_device_that_is_not_approved_is_refused_in_a_sentence(taught: Taught) -> None:
    """An instruction that is not there has no lesson, and a step that is not there no note."""
    eve = taught.caller("eve")
    assert eve.get("/at/north/teaching/i-0").status_code == 404
    assert eve.get(f"{taught.forceps}/notes/s999").status_code == 404
    assert eve.get(f"{taught.forceps}?since=9").status_code == 404
    assert eve.get(f"{taught.forceps}?part=roof").status_code == 404
