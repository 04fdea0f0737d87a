"""The department's own photo on the web: put, lettered without script, shown beside a step, taken away."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
from PIL import Image

from sinkside import web
from support.set_house import a_device, a_part
from support.web_texts import read_text
from web.conftest import House


def _photo(width: int = 400) -> dict[str, tuple[str, bytes, str]]:
    out = io.BytesIO()
    Image.new("RGB", (width, 300), (90, 120, 140)).save(out, format="PNG")
    return {"photo": ("punch.png", out.getvalue(), "image/png")}


@pytest.fixture
def punch(fresh: House) -> tuple[House, str]:
    """A house with the text of a punch; the address of its photo."""
    text = read_text(fresh, a_device("Quarl 5 punch", a_part("rod"), a_part("handle")))
    return fresh, f"/at/valley/instructions/{text}/photo"


def test_a_photo_is_put_lettered_and_shown_beside_its_step(punch: tuple[House, str]) -> None:
    """From the first upload to the letters beside a step, by forms alone; a new photo asks for a look."""
    house, address = punch
    educator, technician = house.caller("educator"), house.caller("technician")
    assert "No photo yet" in technician.get(address).text
    assert "No people in photos" in educator.get(address).text
    assert educator.post(address, {"on_revision": "0"}, files=_photo()).status_code == 303
    point = {"on_revision": "1", "of": "part:rod", "what": "", "x": "25", "y": "50"}
    assert educator.post(f"{address}/points", point).status_code == 303
    step = {"on_revision": "2", "of": "step:s2", "what": "sterilize open", "x": "75", "y": "10"}
    assert educator.post(f"{address}/points", step).status_code == 303
    page = technician.get(f"/api{address}").json()
    assert [(one["letter"], one["what"]) for one in page["letters"]] == [
        ("A", "rod"),
        ("B", "sterilize open"),
    ]
    picture = re.search(r'href="([^"]+/photo/[0-9a-f]{64})"', page["svg"])
    assert picture is not None
    answer = technician.get(picture[1])
    assert answer.headers["content-type"] == "image/jpeg"
    assert Image.open(io.BytesIO(answer.content)).size == (400, 300)
    instruction = address.removesuffix("/photo")
    beside = technician.get(f"/api{instruction}?step=s2").json()["beside"]
    assert beside["is_photo"]
    assert [(one["letter"], one["here"]) for one in beside["letters"]] == [("B", True), ("A", False)]
    assert "A: rod, left, half way down" in technician.get(f"{instruction}?step=s2").text
    assert educator.post(address, {"on_revision": "3"}, files=_photo(500)).status_code == 303
    assert technician.get(picture[1]).status_code == 404
    assert "placed on an earlier photo" in educator.get(address).text
    assert educator.post(f"{address}/looked", {"on_revision": "4"}).status_code == 303
    assert educator.post(f"{address}/shown", {"on_revision": "5", "shown": "drawing"}).status_code == 303
    assert not technician.get(f"/api{instruction}?step=s2").json()["beside"]["is_photo"]
    assert educator.post(f"{address}/points/strike", {"on_revision": "6", "letter": "A"}).status_code == 303
    assert educator.post(f"{address}/away", {"on_revision": "7"}).status_code == 303
    assert "No photo yet" in technician.get(address).text


def test_what_is_wrong_is_told_at_its_field_and_technicians_only_look(punch: tuple[House, str]) -> None:
    """A text for a photo, a place outside it and a late change are refused; who may not edit has no form."""
    house, address = punch
    educator, technician = house.caller("educator"), house.caller("technician")
    text = {"photo": ("punch.jpg", b"Dry the device.", "image/jpeg")}
    refused = educator.post(address, {"on_revision": "0"}, files=text)
    assert refused.status_code == 422
    assert "This is no photo" in refused.text or "this is no photo" in refused.text
    assert educator.post(address, {"on_revision": "0"}, files=_photo()).status_code == 303
    outside = {"on_revision": "1", "what": "tip", "x": "120", "y": "50"}
    told = educator.post(f"{address}/points", outside)
    assert told.status_code == 422
    assert 'id="x-hint"' in told.text
    assert 'value="tip"' in told.text
    late = educator.post(f"{address}/points", {**outside, "x": "20", "on_revision": "0"})
    assert late.status_code == 409
    main = technician.get(address).text.partition("<main")[2].partition("</main>")[0]
    assert "<form" not in main


def test_no_class_that_the_photo_takes_by_script_is_hidden_on_narrow_screens() -> None:
    """What the module calls the photo is hidden by no rule of the look: it is there at every width."""
    static = Path(web.__file__).parent / "static"
    taken = re.findall(r'classList\.add\("(\w+)"\)', (static / "photo_points.js").read_text("utf-8"))
    hidden = re.findall(r"\.([\w-]+)[^{}]*\{[^{}]*display: none", (static / "look.css").read_text("utf-8"))
    assert taken
    assert "places" in hidden
    assert not set(taken) & set(hidden)
