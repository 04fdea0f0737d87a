"""Scenes of the working day in a served house: the drying that was missing, the dose that does not fit."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any, Final

from sinkside import wiring
from sinkside.demo.house import VALLEY
from sinkside.department import Department
from sinkside.desk import departments
from sinkside.desk.access import visitor_in
from sinkside.desk.ports import Archive
from support.fitting import LINNET
from support.routing import a_department, a_program, a_sterilizer
from support.served import Guest, guest, served

SEE_OTHER: Final = 303
READ_WITHIN_S: Final = 300

#: Scene 2: 132/4 dries for 20 min, 134/3 for 30.
SITE: Final = a_department(
    a_sterilizer(a_program("132 °C", "4 min", "20 min"), a_program("134 °C", "3 min", "30 min")),
    water=[{"id": "tap", "name": "tap", "grade": "tap", "temperature": {"max": "30 °C"}}],
    air=[{"id": "air", "name": "air", "grade": "medical", "pressure": {"max": "2 bar"}}],
)
TEXT: Final = LINNET.replace("134 °C for 3 minutes, drying time 20", "132 °C for 4 minutes, drying time 30")


#: Scene 13: a chemical that is dosed at 5 mL/L and nothing else.
SINK: Final = a_department(
    chemicals=[
        {
            "id": "enzymatic",
            "name": "Enzymatic cleaner",
            "kinds": ["enzymatic-detergent"],
            "dose": {"min": "5 mL/L", "max": "5 mL/L"},
            "temperature": {"min": "20 °C", "max": "45 °C"},
        }
    ]
)


def _keep(archive: Archive, department: Department) -> None:
    now = wiring.now()
    with archive.unit(writes=False) as unit:
        person = unit.people.by_sign_in("lead")
        assert person is not None
        visitor = visitor_in(unit, person.id, VALLEY.id, now)
    departments.keep_department(archive, visitor, department, now=now)


def _cell(who: Guest, port: int) -> Any:
    """The cell of the text, once the worker has read it."""
    until = time.monotonic() + READ_WITHIN_S
    while time.monotonic() < until:
        rows = who.data(port, "/at/valley/fit?text=linnet")["rows"]
        if rows:
            return who.data(port, rows[0]["cells"][0]["address"])
        time.sleep(0.5)
    raise AssertionError("the text was not read")


def test_scene_2_from_the_refusal_to_the_validated_drying(house: Path) -> None:
    """Never 134/3: 30 min drying on 132/4 is proposed, said to be validated, and then the route uses it."""
    archive = wiring.open_workspace(house)
    _keep(archive, SITE)
    who = guest(archive, "lead")
    with served(house) as serving:
        port = serving.port
        sent = who.send_file(
            port, "/at/valley/instructions/new", field="document", name="l.txt", data=TEXT.encode()
        )
        assert sent[0] == SEE_OTHER
        cell = _cell(who, port)
        assert cell["state"] == "no-route"
        (repair,) = cell["repair"]
        assert repair["sentence"].replace("\xa0", " ").startswith("Validate 30 min drying on 132 °C, 4 min")
        assert not [one for one in cell["others"] if "134" in one["sentence"]]
        page = who.data(port, repair["address"])
        said = {field["name"]: field["value"] for field in page["fields"]}
        said |= {"base": page["base"], "on": page["day"], "reference": "V-7", "firm": "Invented Ltd"}
        assert who.post(port, repair["address"], said)[0] == 422, "a plan"
        assert who.post(port, repair["address"], {**said, "in_place": "true"})[0] == SEE_OTHER
        turned = _cell(who, port)
    assert turned["state"] == "fits"
    used = [one["bound"] for station in turned["stations"] for one in station["done"]]
    assert any("132" in bound for bound in used)
    assert not any("134" in bound for bound in used)


def test_scene_13_an_ounce_to_the_gallon_is_refused_and_hard_water_flagged(house: Path) -> None:
    """30 L at 5 mL/L takes 150 mL; 1 oz/gal (1/128 by definition) would take 234 mL and is refused."""
    archive = wiring.open_workspace(house)
    _keep(archive, SINK)
    who = guest(archive, "technician")
    asked = "/at/valley/solutions/new?chemical=enzymatic&litres=30&temperature=38&hardness=260"
    with served(house) as serving:
        right = who.data(serving.port, f"{asked}&dose=5+mL/L")
        wrong = who.data(serving.port, f"{asked}&dose=1+oz/gal")
    assert (right["worked"]["figure"], right["worked"]["unit"]) == ("150", "mL")
    (remark,) = right["worked"]["remarks"]
    assert remark["level"] == "concern"
    assert "260" in remark["sentence"]
    assert wrong["worked"] is None
    assert "1 oz/gal would take 234.4 mL for 30 L" in wrong["refused"]
