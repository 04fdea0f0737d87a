"""Recalls over HTTP: looked at, opened, dealt with set by set and case by case, closed (scene 3)."""

from __future__ import annotations

import re
from datetime import timedelta
from urllib.parse import urlencode

import pytest

from support.desk_visit import DeskVisit, app_over
from support.pace import quiet_s
from support.recalled_house import CASES, SETS, USED, a_morning_with_a_positive_indicator, indicators_of

HOME = "/at/north/recalls"
APART = {"found": "found", "words": "set apart"}
TOLD = {"answered": "nurse in charge of theatre 2", "words": "told"}
ENDED = {"words": "All found.", "root": "The door seal leaked.", "correction": "Seal renewed and tested."}


@pytest.fixture(scope="module")
def visit() -> DeskVisit:
    """The application on the morning of a positive indicator."""
    bench, negative = a_morning_with_a_positive_indicator()
    indicators_of(bench, negative, read="positive")
    bench.house.now = negative + timedelta(hours=30)
    return DeskVisit(bench.house, app_over(bench.house))


def _asked(since: str = "2026-03-02T08:30", **more: str) -> dict[str, str]:
    asked = {"kind": "indicator", "of": "sterilizer-1", "words": "The 14:10 indicator grew.", "since": since}
    return {**asked, **more}


def test_what_it_reaches_is_listed_before_anybody_opens_it(visit: DeskVisit) -> None:
    """11 loads, 74 sets, 13 cases within two seconds of processor time; what may be opened stands first."""
    address = f"{HOME}/new?{urlencode(_asked())}"
    assert quiet_s(lambda: visit.json("lena", address), counts=1) < 2
    page = visit.json("lena", address)
    assert page["counts"] == f"11 loads, {SETS} sets, {CASES} cases"
    assert page["sets"][0]["to_do"].startswith("Call for it now")
    assert len([one for one in page["sets"] if one["used_in"]]) == USED
    assert visit.json("lena", HOME)["open"] == []


def test_the_lead_does_not_narrow_it(visit: DeskVisit) -> None:
    """Only infection prevention may let it reach less far; the page offers it to nobody else."""
    narrow = _asked(reach="this-load", reason="One load was overloaded.")
    assert visit.caller("lena").get(f"/api{HOME}/new?{urlencode(narrow)}").status_code == 403
    assert visit.json("lena", f"{HOME}/new?{urlencode(_asked())}")["may_narrow"] is False
    assert visit.json("ruth", f"{HOME}/new?{urlencode(narrow)}")["what"].startswith("Where an error of those")


def test_a_recall_is_opened_dealt_with_and_closed(visit: DeskVisit) -> None:
    """Everything is dealt with by name; before that it does not close; the list then has it closed."""
    lena = visit.caller("lena")
    opened = lena.post(HOME, _asked())
    assert opened.status_code == 303, opened.text
    address = opened.headers["location"]
    page = visit.json("lena", address)
    assert page["left"] == f"{SETS - USED} sets, {CASES} cases to go"
    assert lena.post(f"{address}/close", ENDED).status_code == 422
    for one in page["to_do"]:
        assert lena.post(f"{address}/sets/{one['run']}", APART).status_code == 303
    for case in page["cases"]:
        assert lena.post(f"{address}/cases/{case['key']}", TOLD).status_code == 303
    assert "set apart (Lena" in lena.get(address).text
    assert lena.post(f"{address}/close", ENDED).status_code == 303
    closed = visit.json("lena", address)
    assert [line.partition(":")[0] for line in closed["closed"][1:]] == ["Found", "At the root", "Put right"]
    assert len(closed["held"]) == SETS - USED - 1
    assert [one["open_sets"] for one in visit.json("lena", HOME)["closed"]] == [0]


def test_a_recall_from_the_beginning_is_opened_and_read_again(visit: DeskVisit) -> None:
    """Where no good evidence was ever kept it has no begin; the page says so."""
    asked = {"kind": "machine", "of": "washer-1", "words": "The door seal leaked."}
    opened = visit.caller("lena").post(HOME, asked)
    assert opened.status_code == 303, opened.text
    page = visit.json("lena", opened.headers["location"])
    assert page["window"].startswith("from the beginning")
    assert page["counts"] == "0 loads, 0 sets, 0 cases"


def test_a_failed_indicator_leads_to_what_it_reaches(visit: DeskVisit) -> None:
    """One click: machine, load and begin are filled in, the list is that of scene 3; Tom has no such link."""
    link = visit.json("lena", "/at/north/indicators/i-11")["recall"]
    page = visit.json("lena", link)
    assert page["counts"] == f"11 loads, {SETS} sets, {CASES} cases"
    assert "the last load with a biological indicator that did not grow" in page["window"]
    assert "A cycle with a record alone is not among them" in visit.caller("lena").get(link).text
    assert visit.json("lena", "/at/north/indicators/i-0")["recall"] == ""
    assert visit.json("tom", "/at/north/indicators/i-11")["recall"] == ""


def test_other_failures_lead_there_too(visit: DeskVisit) -> None:
    """A machine, a water point, a text and a sign-off each open what they reach, with the cause filled in."""
    tom = visit.house.people["tom"]
    text = visit.json("lena", "/at/north/instructions")["instructions"][0]["address"]
    links = {
        "machine": visit.json("lena", "/at/north/machines/washer-1")["recall"],
        "water": visit.json("lena", "/at/north/machines/ro-loop")["recall"],
        "text": visit.json("lena", text)["approval"]["recall"],
        "person": visit.json("lena", f"/at/north/sign-offs/people/{tom}")["held"][0]["recall"],
    }
    for kind, link in links.items():
        assert f"kind={kind}" in link
        assert visit.json("lena", link)["may_open"] is True


def test_every_cause_has_a_form(visit: DeskVisit) -> None:
    """A list of codes, a person at the sink, a lot since yesterday; prions without a code are refused."""
    tom = visit.house.people["tom"]
    asked = {
        "product": {"kind": "product", "codes": "R-1\r\nR-2, R-3"},
        "prion": {"kind": "prion", "codes": "R-4"},
        "person": {"kind": "person", "of": tom, "where": "sink"},
        "chemical": {"kind": "chemical", "of": "enzyclear", "lot": "E-9", "since": "2026-03-01T08:00"},
    }
    found = {kind: visit.json("lena", f"{HOME}/new?{urlencode(one)}") for kind, one in asked.items()}
    assert [found[kind]["counts"].split(", ")[0] for kind in ("product", "prion")] == ["3 sets", "1 set"]
    assert found["prion"]["sets"][0]["to_do"].startswith("Set it apart")
    assert {one["may_narrow"] for one in found.values()} == {False}
    assert {one["counts_lists"] for one in found.values()} == {False}
    bare = visit.caller("lena").get(f"/api{HOME}/new?kind=prion")
    assert (bare.status_code, "can the codes" in bare.text) == (422, True)


def test_one_cause_has_one_open_recall(visit: DeskVisit) -> None:
    """Pressed twice it leads to the open one, whatever the words; another one says why, and its words too."""
    lena = visit.caller("lena")
    asked = {"kind": "water", "of": "ro-loop", "words": "Germs were counted."}
    first = lena.post(HOME, asked).headers["location"]
    again = lena.post(HOME, {**asked, "words": "Pressed twice."})
    assert (again.status_code, again.headers["location"]) == (303, first)
    assert "This recall is open already; here it is." in lena.get(first).text
    page = visit.json("lena", f"{HOME}/new?{urlencode(asked)}")
    assert [one["id"] for one in page["already"]] == [first]
    assert 'name="again"' in lena.get(f"{HOME}/new?{urlencode(asked)}").text
    other = lena.post(HOME, {**asked, "again": "a second sample, of another day"}).headers["location"]
    assert other != first
    title = visit.json("lena", other)["title"]
    assert title == "Germs were counted. (another one: a second sample, of another day)"
    assert len(visit.json("lena", f"{HOME}/new?{urlencode(asked)}")["already"]) == 2


def test_an_unknown_code_comes_back_to_its_form(visit: DeskVisit) -> None:
    """Which codes nothing has is said at the field; what was typed stands there, and in no other form."""
    asked = {"kind": "prion", "codes": "R-1\nNOBODY\nNONE-2", "words": "A notice of today."}
    answer = visit.caller("lena").get(f"{HOME}/new?{urlencode(asked)}")
    assert answer.status_code == 422
    assert "Nothing here has these codes: NOBODY, NONE-2." in answer.text
    assert "R-1\nNOBODY\nNONE-2</textarea>" in answer.text
    assert answer.text.count("A notice of today.") == 1
    assert '<option value="prion" selected>' in answer.text
    assert re.findall(r"<details class=.spaced. open>\s*<summary>([^<]*)", answer.text) == [
        "A notice about a product, or suspicion of prions"
    ]
    program = visit.caller("lena").get(f"/api{HOME}/new?{urlencode(asked)}")
    assert (program.status_code, program.json()["error"]["where"]) == (422, "codes")


def test_every_refused_question_comes_back_to_the_form_that_asked_it(visit: DeskVisit) -> None:
    """A moment that is none, a revision that there is not, a lot that nobody logged: each at its form."""
    text = visit.json("lena", "/at/north/instructions")["instructions"][0]["address"].rpartition("/")[2]
    refused = {
        "since": _asked(since="the day before"),
        "revision": {"kind": "text", "of": text, "revision": "90"},
        "since-lot": {"kind": "chemical", "of": "enzyclear", "lot": "NEVER-1", "since": ""},
    }
    for where, one in refused.items():
        answer = visit.caller("lena").get(f"{HOME}/new?{urlencode(one)}")
        assert answer.status_code == 422, where
        assert "<h1>Recalls</h1>" in answer.text
        field = where.partition("-")[0]
        assert f'<a href="#{field}">' in answer.text
        assert re.search(rf'id="{field}"[^>]*aria-invalid="true"', answer.text), where
    assert "NEVER-1" in visit.caller("lena").get(f"{HOME}/new?{urlencode(refused['since-lot'])}").text


def test_a_place_that_is_none_is_refused_in_plain_words(visit: DeskVisit) -> None:
    """The field is called by its name, and what it takes is listed, without words of the program's own."""
    answer = visit.caller("lena").get(f"/api{HOME}/new?kind=person&of=x&where=moon")
    said = answer.json()["error"]
    assert (answer.status_code, said["where"]) == (422, "where")
    assert said["sentence"] == "Where: expected 'sink', 'inspection', 'packing', 'loads' or 'store'."
    everywhere = visit.json("lena", f"{HOME}/new?kind=person&of={visit.house.people['tom']}&where=")
    assert everywhere["title"] == "Somebody worked without being signed off"


def test_a_set_leads_to_what_is_kept_of_it(visit: DeskVisit) -> None:
    """Each set of the table has a link to its evidence, for whoever may read that."""
    page = f"{HOME}/new?{urlencode(_asked())}"
    first = visit.json("lena", page)["sets"][0]
    assert f'<a href="{first["evidence"]}">{first["name"]}</a>' in visit.caller("lena").get(page).text
    assert visit.caller("lena").get(first["evidence"]).status_code == 200


def test_papers_are_handed_out_for_an_open_recall(visit: DeskVisit) -> None:
    """Pick list, call sheet and letters are PDFs; without another house there is no letter to one."""
    opened = visit.caller("lena").post(HOME, _asked()).headers["location"]
    for paper in ("pick-list", "calls", "cases"):
        answer = visit.caller("lena").get(f"{opened}/papers/{paper}")
        assert answer.content.startswith(b"%PDF"), paper
    assert visit.caller("lena").get(f"{opened}/papers/others").status_code == 422
    assert visit.caller("lena").get(f"{opened}/papers/calls?language=fr").status_code != 200
