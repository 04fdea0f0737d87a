"""The department on the web: read by everybody here, changed by form and spreadsheet, compared."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any, Final

import pytest
from openpyxl import Workbook, load_workbook

from sinkside.department.spreadsheet import sheets
from support.browserless import Caller
from web.conftest import House

HOME: Final = "/at/valley/department"
XLSX: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
STERILIZER: Final = f"{HOME}/machines/4"


def _json(caller: Caller, address: str) -> Any:
    answer = caller.get(f"/api{address}")
    assert answer.status_code == 200, answer.text
    return answer.json()


def _workbook(**pages: list[tuple[Any, ...]]) -> bytes:
    workbook = Workbook()
    workbook.remove(workbook.worksheets[0])
    for name, rows in pages.items():
        page = workbook.create_sheet(name)
        for row in rows:
            page.append(list(row))
    written = io.BytesIO()
    workbook.save(written)
    return written.getvalue()


def _hand_in(caller: Caller, data: bytes, name: str = "valley.xlsx") -> Any:
    return caller.post(f"{HOME}/import", files={"table": (name, data, XLSX)})


def test_the_whole_department_is_on_one_page(house: House) -> None:
    """Each kind of thing is told with its number and names, the revision with who made it."""
    data = _json(house.caller("technician"), HOME)
    counts = {one["words"]: one["count"] for one in data["families"]}
    assert (counts["Machines"], counts["Brushes"], counts["Own limits"]) == (9, 7, 0)
    assert data["made"].endswith("Tove Rasmussen")
    page = house.caller("technician").get(HOME).text
    assert "Sterilizer 1" in page
    assert "Hand in a spreadsheet" not in page
    assert "Hand in a spreadsheet" in house.caller("lead").get(HOME).text


@pytest.mark.parametrize("family", [name for name, sheet in sheets().items() if sheet.field])
def test_every_kind_of_thing_has_its_page_and_every_thing_its_own(house: House, family: str) -> None:
    """Each list leads to its things; each thing says its figures, and how it was."""
    caller = house.caller("auditor")
    listed = _json(caller, f"{HOME}/{family}")["family"]["things"]
    for line in listed[:3]:
        thing = _json(caller, line["address"])
        assert thing["title"] == line["name"]
        assert thing["history"][-1]["sentences"] == ["added"]
        assert thing["facts"]
        page = caller.get(line["address"])
        assert page.status_code == 200
        assert "Keep the change" not in page.text


def test_a_program_is_shown_with_its_machine_and_its_phases(house: House) -> None:
    """A washer leads to its programs, a program to its phases, which name what is dosed and drawn."""
    caller = house.caller("educator")
    washer = _json(caller, f"{HOME}/machines/1")
    assert [part["words"] for part in washer["parts"]] == ["Programs", "Racks"]
    program = _json(caller, washer["parts"][0]["things"][0]["address"])
    (phases,) = program["parts"]
    wash = dict(zip(phases["columns"], phases["things"][1]["cells"], strict=True))
    assert wash == {
        "Temperature": "52 °C to 58 °C",
        "Time": "10 min",
        "Chemical": "Alkaclear",
        "Dose": "5 mL/L",
        "Water": "reverse osmosis loop",
    }


def test_a_low_temperature_program_is_shown_with_its_lumen_claims(house: House) -> None:
    """The program leads to its claims, row by row; a washer's program has none to show."""
    caller = house.caller("educator")
    program = _json(caller, f"{HOME}/programs/9-1")
    (claims,) = program["parts"]
    assert (claims["words"], claims["first"]) == ("Lumen claims", "Material")
    assert claims["columns"] == ["Narrowest bore", "Longest", "Lumens per load"]
    assert [one["name"] for one in claims["things"]] == [*["stainless steel"] * 3, "PTFE"]
    assert [part["words"] for part in _json(caller, f"{HOME}/programs/1-1")["parts"]] == [
        "Phases of washer programs"
    ]


def test_a_claim_is_added_and_told_where_it_does_not_fit(caller: Callable[..., Caller]) -> None:
    """A claim in the wrong unit comes back beside its field; a right one stands below its program."""
    lead = caller("lead")
    form = {"on_revision": 1, "material": "PEEK", "narrowest_bore": "1 kg", "longest": "250 mm"}
    form["lumens_per_load"] = "4"
    answer = lead.post(f"{HOME}/claims/new?under=9-1", form)
    assert answer.status_code == 422
    assert 'href="#narrowest_bore"' in answer.text
    answer = lead.post(f"{HOME}/claims/new?under=9-1", {**form, "narrowest_bore": "1 mm"})
    assert answer.headers["location"] == f"{HOME}/programs/9-1"
    assert _json(lead, f"{HOME}/programs/9-1")["parts"][0]["things"][-1]["cells"] == ["1 mm", "250 mm", "4"]


def test_staff_are_told_by_shift_and_skill_and_a_shift_stays_while_they_are_on(
    caller: Callable[..., Caller],
) -> None:
    """The form offers shifts and families by name; a shift with people on stays; no id tells a name."""
    lead = caller("lead")
    groups = _json(lead, f"{HOME}/staff/new")["groups"]
    fields = {field["name"]: field for group in groups for field in group["fields"]}
    assert set(fields) == {"shift", "role", "how_many", "stations", "families"}
    assert [one["words"] for one in fields["families"]["options"]] == [
        "tubular instruments",
        "microsurgical instruments",
    ]
    form: dict[str, Any] = {"on_revision": 1, "shift": "late", "role": "assessor", "how_many": "1"}
    form |= {"stations": ["sink", "bench"], "families": ["tubular"]}
    assert lead.post(f"{HOME}/staff/new", form).status_code == 303
    made = _json(lead, f"{HOME}/staff/4")
    assert (made["title"], made["id"]) == ("assessor, late", "assessor-late")
    struck = lead.post(f"{HOME}/shifts/2/strike", {"on_revision": 2})
    assert struck.status_code == 422
    assert "It is still needed: technician are on &#39;late&#39;" in struck.text


def test_packaging_is_told_as_a_device(caller: Callable[..., Caller]) -> None:
    """Methods, lumens and its own instruction are fields of the form; what changed is told one by one."""
    lead = caller("lead")
    form: dict[str, Any] = {"on_revision": 1, "name": "lidded container", "kind": "container"}
    form |= {"methods": ["steam", "hydrogen-peroxide"], "cycles": ["prevacuum"], "largest_load": "10 kg"}
    form |= {"narrowest_lumen": "2 mm", "longest_lumen": "450 mm", "temperature_to": "137 °C"}
    form |= {"its_instruction": "Lidded container series L", "revision": "8", "dated": "2031-01-08"}
    assert lead.post(f"{HOME}/packaging/4", form).status_code == 303
    (kind,) = _json(lead, f"{HOME}/changes")["kinds"]
    assert [(one["what"], one["before"], one["after"]) for one in kind["changes"]] == [
        ("methods", "steam", "steam, hydrogen peroxide"),
        ("narrowest lumen", "1.5 mm", "2 mm"),
        ("revision", "7", "8"),
        ("dated", "2030-09-02", "2031-01-08"),
    ]


def test_a_thing_is_added_changed_and_struck_by_form(caller: Callable[..., Caller]) -> None:
    """Each act makes a revision with a name; the comparison tells it in the trade's terms."""
    lead = caller("lead")
    form = {"on_revision": 1, "name": "2.7 mm brush", "diameter": "2.7 mm", "length": "400 mm"}
    answer = lead.post(f"{HOME}/brushes/new", form)
    assert (answer.status_code, answer.headers["location"]) == (303, f"{HOME}/brushes")
    assert "Added, by Tove Rasmussen." in lead.get(f"{HOME}/brushes").text
    form |= {"on_revision": 2, "length": "450 mm", "why": "Other maker"}
    assert lead.post(f"{HOME}/brushes/8", form).status_code == 303
    told = _json(lead, f"{HOME}/changes")
    assert (told["before"], told["after"], told["why"]) == (2, 3, "Other maker")
    assert told["kinds"][0]["changes"][0] == {
        "kind": "changed",
        "thing": "2.7 mm brush",
        "what": "length",
        "before": "400 mm",
        "after": "450 mm",
    }
    thing = _json(lead, f"{HOME}/brushes/8")
    assert [one["sentences"] for one in thing["history"]] == [["length 400 mm → 450 mm"], ["added"]]
    struck = lead.post(f"{HOME}/brushes/8/strike", {"on_revision": 3})
    assert struck.headers["location"] == f"{HOME}/brushes"
    assert lead.get(f"{HOME}/brushes/8").status_code == 404


def test_a_fault_stands_beside_its_field_with_what_was_typed(caller: Callable[..., Caller]) -> None:
    """A figure that is none comes back in its field with the sentence, and nothing is kept."""
    lead = caller("lead")
    form = {"on_revision": 1, "name": "2.7 mm brush", "diameter": "wide"}
    answer = lead.post(f"{HOME}/brushes/new", form)
    assert answer.status_code == 422
    assert 'href="#diameter"' in answer.text
    assert "&#39;wide&#39; is no quantity; expected a number and a unit" in answer.text
    assert 'value="wide"' in answer.text
    assert _json(lead, HOME)["revision"] == 1


def test_a_form_of_an_older_revision_is_refused(caller: Callable[..., Caller]) -> None:
    """Two people at one department: the second is told that the first was quicker."""
    lead, engineer = caller("lead"), caller("equipment-engineer")
    form = {"on_revision": 1, "name": "a brush"}
    assert lead.post(f"{HOME}/brushes/new", form).status_code == 303
    answer = engineer.post(f"{HOME}/brushes/new", form)
    assert answer.status_code == 409
    assert "Somebody else made revision 2 meanwhile" in answer.text


def test_a_program_is_added_under_its_machine_by_its_kind(caller: Callable[..., Caller]) -> None:
    """One chooses the kind first; the form then asks for what such a program has, and no more."""
    lead = caller("lead")
    kinds = _json(lead, f"{HOME}/programs/new?under=4")["kinds"]
    assert [one["words"] for one in kinds][:1] == ["Steam prevacuum"]
    form = _json(lead, kinds[0]["id"])
    names = {field["name"] for group in form["groups"] for field in group["fields"]}
    assert {"exposure_time", "drying_time", "pulse_vacuum"} <= names
    assert not names & {"a0", "bath_time", "leak_rate", "humidity_from"}
    sent = {
        "on_revision": 1,
        "name": "134 °C, 18 min",
        "exposure_temperature": "134 °C",
        "exposure_time": "18 min",
        "pulses": "4",
        "pulse_vacuum": "15 kPa",
        "use": "wrapped",
    }
    refused = lead.post(kinds[0]["id"], sent)
    assert "A cycle for wrapped use needs drying." in refused.text
    answer = lead.post(kinds[0]["id"], {**sent, "drying_time": "25 min"})
    assert answer.headers["location"] == STERILIZER
    programs = _json(lead, STERILIZER)["parts"][0]["things"]
    assert programs[-1]["name"] == "134 °C, 18 min"


def test_what_something_leans_on_stays(caller: Callable[..., Caller]) -> None:
    """A water point that a program draws is not struck, and the sentence names the program."""
    answer = caller("lead").post(f"{HOME}/water/4/strike", {"on_revision": 1})
    assert answer.status_code == 422
    assert "It is still needed: Washer 1, Instruments 93, wash takes" in answer.text


def test_programs_do_the_same_as_people(caller: Callable[..., Caller]) -> None:
    """The API takes the same fields, lists as lists, and tells what a thing has not."""
    lead = caller("lead")
    form = {
        "on_revision": 1,
        "name": "Foamstop",
        "kinds": ["rinse-aid"],
        "dose_from": "1 mL/L",
        "use_within": "8 h",
    }
    assert lead.send(f"/api{HOME}/chemicals/new", form).json()["go"] == f"{HOME}/chemicals"
    facts = {one["label"]: one["text"] for one in _json(lead, f"{HOME}/chemicals/6")["facts"]}
    assert facts == {"Kinds": "rinse aid", "Dose": "at least 1 mL/L", "Use within": "8 h"}
    wrong = lead.send(f"/api{HOME}/brushes/new", {"on_revision": 2, "name": "b", "dose_from": "1 mL/L"})
    assert wrong.status_code == 422
    assert "a brush has none" in wrong.json()["error"]["sentence"]


def test_the_spreadsheet_goes_out_filled_and_empty(house: House) -> None:
    """Both files open as workbooks with every sheet; the filled one has every brush."""
    caller = house.caller("educator")
    for path, rows in (("table", 8), ("template", 1)):
        answer = caller.get(f"{HOME}/{path}")
        assert answer.headers["content-type"] == XLSX
        assert "attachment" in answer.headers["content-disposition"]
        workbook = load_workbook(io.BytesIO(answer.content))
        assert workbook.sheetnames == list(sheets())
        assert workbook["brushes"].max_row == rows


def test_a_spreadsheet_is_looked_at_and_then_kept(caller: Callable[..., Caller]) -> None:
    """What would change is told first; kept, it is the next revision, and a second keeping is refused."""
    lead = caller("lead")
    data = _workbook(brushes=[("id", "name", "diameter"), ("b9", "9 mm brush", "9 mm")])
    seen = _hand_in(lead, data).headers["location"]
    page = lead.get(seen).text
    assert "Nothing is changed yet." in page
    assert "9 mm brush" in page
    assert _json(lead, HOME)["revision"] == 1
    kept = lead.post(seen)
    assert kept.headers["location"] == HOME
    assert "Kept as revision 2, by Tove Rasmussen." in lead.get(HOME).text
    assert lead.post(seen).status_code == 409
    assert caller("technician").get(seen).status_code == 403


def test_faults_of_a_spreadsheet_are_told_row_by_row(caller: Callable[..., Caller]) -> None:
    """Every fault is a line with sheet, row and column, for people and for programs."""
    lead = caller("lead")
    data = _workbook(
        brushes=[("id", "name", "diameter"), ("b1", "one", "wide")],
        air=[("id", "name", "grade", "pressure to"), ("a", "air", "room", "2 bar")],
    )
    answer = _hand_in(lead, data)
    assert answer.status_code == 422
    assert "Brushes, row 2, diameter: &#39;wide&#39; is no quantity" in answer.text
    assert "Air, row 2, grade: " in answer.text
    told = lead.ask("POST", f"/api{HOME}/import", files={"table": ("v.xlsx", data, XLSX)})
    assert "brushes, row 2, diameter" in told.json()["error"]["sentence"].lower()
    assert _hand_in(lead, b"not a workbook").status_code == 422


def test_a_department_of_which_nobody_said_anything(house: House) -> None:
    """Before the first revision every page is there, empty, and says how to begin."""
    caller = house.caller("administrator")
    page = caller.get("/at/harbour/department").text
    assert "Nobody has said yet what this department has." in page
    for path in ("/brushes", "/changes", "/department/1"):
        assert caller.get(f"/at/harbour/department{path}").status_code == 200
