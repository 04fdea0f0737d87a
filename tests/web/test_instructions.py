"""Instructions on the web: handed in, read, corrected, answered, approved by somebody else, compared."""

from __future__ import annotations

import re
from dataclasses import dataclass
from html import unescape
from typing import Any

import httpx
import pytest

from sinkside import wiring
from sinkside.desk.jobs import work_once
from sinkside.records import Wanted
from support.browserless import Caller
from support.command import SAMPLES
from support.memory_archive import MemoryArchive
from web.conftest import NOW, House, make_house

SPINE = SAMPLES / "d_spine_endoscopy_bad.txt"

#: Reads without a stop: what a department can approve at once.
CALM = """Example Works
Linnet 3 mm grasping forceps
Processing instruction, revision 2

Cleaning

Rinse the forceps under running tap water of at most 35 °C for at least 1 minute.

Drying

Dry the forceps with medical air for 30 seconds.

Sterilization

Sterilize with steam, fractionated pre-vacuum, 134 °C for {minutes} minutes, drying time 20 minutes.
"""
LINNET = "Linnet 3 mm grasping forceps"
HOSTILE = "<script>alert(1)</script>"


NEW = "/at/valley/instructions/new"


@dataclass(frozen=True)
class Read:
    """A demo house in which every document was read, and the addresses of two more."""

    archive: MemoryArchive
    spine: str
    calm: str


def _hand_in(house: House, caller: Caller, data: bytes, *, name: str = "text.txt", where: str = NEW) -> str:
    """Hand in a document, let the worker read it, and say where its instruction is."""
    answer = caller.post(where, files=[("document", (name, data, "text/plain"))])
    assert answer.status_code == 303, answer.text
    _work(house)
    return answer.headers["location"].removesuffix("/reading")


def _work(house: House) -> None:
    while work_once(house.archive, wiring.job_handlers(), worker="w", clock=lambda: NOW):
        pass


@pytest.fixture(scope="module")
def read(filled: MemoryArchive) -> Read:
    """The bad sample and a text without a stop, handed in by the educator and read once."""
    house = make_house(MemoryArchive(filled.tables))
    caller = house.caller("educator")
    spine = _hand_in(house, caller, SPINE.read_bytes(), name=SPINE.name)
    return Read(house.archive, spine, _hand_in(house, caller, CALM.format(minutes=3).encode()))


@pytest.fixture
def fresh(read: Read) -> House:
    """A house of its own, to be changed."""
    return make_house(MemoryArchive(read.archive.tables))


@pytest.fixture
def spine(read: Read) -> str:
    """The address of the bad sample."""
    return read.spine


@pytest.fixture
def calm(read: Read) -> str:
    """The address of the text without a stop."""
    return read.calm


def _json(caller: Caller, address: str) -> Any:
    answer = caller.get(f"/api{address}")
    assert answer.status_code == 200, answer.text
    return answer.json()


def _steps(page: Any) -> list[Any]:
    return [step for stage in page["stages"] for step in stage["steps"]]


def _step(page: Any, words: str) -> Any:
    return next(step for step in _steps(page) if words in step["sentence"])


def _finding(page: Any, *, maker_only: bool, level: str = "stop") -> Any:
    return next(
        finding
        for step in _steps(page)
        for finding in step["findings"]
        if finding["level"] == level and finding["maker_only"] is maker_only
    )


def _settle(caller: Caller, address: str) -> int:
    """Accept every step, stage by stage, and every finding with a reason; the revision that this made."""
    for stage in _json(caller, address)["stages"]:
        page = _json(caller, address)
        wish = {"base": str(page["revision"]), "steps": stage["to_accept"]}
        assert caller.post(f"{address}/accept", wish).status_code == 303
    page = _json(caller, address)
    if page["approval"]["findings"]:
        wish = {"findings": [one["id"] for one in page["approval"]["findings"]], "words": "Local policy"}
        assert caller.post(f"{address}/findings/accept", wish).status_code == 303
    return int(page["revision"])


def _correction(caller: Caller, address: str, step: str, **changed: str) -> httpx.Response:
    """Send the form of a step as it stands, with some fields changed."""
    page = _json(caller, f"{address}?step={step}")
    fields = page["form"]["fields"]
    sent = {**fields, **fields.pop("positions"), "base": str(page["revision"]), **changed}
    return caller.post(page["form"]["act"], sent)


def test_a_document_is_read_and_leads_to_its_page(fresh: House) -> None:
    """While the worker has not read it the page says so; afterwards it leads on by itself, without script."""
    caller = fresh.caller("educator")
    answer = caller.post(NEW, files=[("document", ("text.txt", SPINE.read_bytes(), "text/plain"))])
    reading = answer.headers["location"]
    before = caller.get(reading)
    assert '<noscript><meta http-equiv="refresh"' in before.text
    _work(fresh)
    after = caller.get(reading)
    assert f'content="0; url={reading.removesuffix("/reading")}"' in after.text
    assert caller.get(reading.removesuffix("/reading")).status_code == 200


def test_what_cannot_be_read_is_said_in_a_sentence(fresh: House) -> None:
    """A page that calls itself PDF, a file of another kind, and none at all: one sentence each."""
    caller = fresh.caller("educator")
    sent = ("document", ("trick.pdf", b"<html><body>no</body></html>", "application/pdf"))
    reading = caller.post(NEW, files=[sent]).headers["location"]
    _work(fresh)
    assert "this is no PDF although its name says so" in caller.get(reading).text
    assert "could not be read" in caller.get("/at/valley/instructions").text.lower()
    other = ("document", ("sheet.xls", b"\xd0\xcf", "application/vnd.ms-excel"))
    refused = caller.post(NEW, files=[other])
    assert refused.status_code == 422
    assert "not read here" in refused.text
    assert caller.post(NEW, files=[]).status_code == 422


def test_the_list_shows_how_each_stands_and_finds(fresh: House, spine: str, calm: str) -> None:
    """Counts by level, state, whose turn; filters by state and by words."""
    caller = fresh.caller("lead")
    lines = {one["address"]: one for one in _json(caller, "/at/valley/instructions")["instructions"]}
    assert lines[spine]["stops"] > 10
    assert lines[spine]["state"] == "in-work"
    assert lines[calm]["state_words"] == "to be checked and answered"
    assert lines[calm]["turn"] == "Educator or Lead, to check steps and answer findings"
    _settle(fresh.caller("educator"), calm)
    line = next(
        one for one in _json(caller, "/at/valley/instructions")["instructions"] if one["address"] == calm
    )
    assert line["state_words"] == "waits for approval"
    assert line["turn"] == "Educator or Lead, to approve; nobody who wrote it"
    found = _json(caller, "/at/valley/instructions?shown=to-answer")["instructions"]
    assert spine in {one["address"] for one in found}
    assert calm not in {one["address"] for one in found}
    assert _json(caller, "/at/valley/instructions?text=nothing-like-it")["instructions"] == []


def test_a_selected_step_lights_the_words_it_came_from(fresh: House, spine: str) -> None:
    """The words lit are those of the step, in the line that it names, and no others."""
    caller = fresh.caller("lead")
    page = _json(caller, spine)
    step = _step(page, "Steam with vacuum")
    shown = _json(caller, f"{spine}?step={step['id']}")
    assert (
        shown["source"]["lit"]
        == "Steam sterilization with pre-vacuum, 143 C, 3 to 18 minutes, pressure 3 bar."
    )
    assert [line["number"] for line in shown["source"]["lines"] if line["lit"]] == [55]
    html = caller.get(f"{spine}?step={step['id']}").text
    assert re.search(r"<mark>Steam sterilization with pre-vacuum, 143 C", html)


def test_a_step_shows_the_device_as_it_must_stand(fresh: House, spine: str) -> None:
    """The chosen step draws the device in the positions it needs; a step that moves nothing draws nothing."""
    caller = fresh.caller("educator")
    steps = [one["id"] for one in _steps(_json(caller, spine))]
    drawn = {step: _json(caller, f"{spine}?step={step}")["beside"]["svg"] for step in steps}
    engaged = [step for step, svg in drawn.items() if "ratchet engaged" in svg]
    assert engaged
    assert "" in drawn.values()
    for step, svg in drawn.items():
        page = caller.get(f"{spine}?step={step}").text
        assert ('class="device-drawing"' in page) is bool(svg)
    assert 'class="device-drawing"' not in caller.get(spine).text


def test_a_pdf_is_shown_as_a_picture_with_rectangles_over_the_words(fresh: House) -> None:
    """The demo's PDF: a PNG of the page, and rectangles that lie within it, told in words too."""
    _work(fresh)
    caller = fresh.caller("lead")
    line = next(
        one
        for one in _json(caller, "/at/valley/instructions?text=sinus")["instructions"]
        if "sinus" in one["title"]
    )
    page = _json(caller, line["address"])
    step = _step(page, "Steam with vacuum")
    shown = _json(caller, f"{line['address']}?step={step['id']}")
    svg = shown["source"]["svg"]
    assert "143 °C" in shown["source"]["lit"]
    assert "lit: fractionated pre-vacuum" in svg
    _, _, width, height = (float(number) for number in re.findall(r'viewBox="([^"]+)"', svg)[0].split())
    boxes = re.findall(r'<rect class="lit-box" x="([\d.]+)" y="([\d.]+)" width="([\d.]+)"', svg)
    assert boxes
    assert all(float(x) < width + 100 and float(y) < height + 100 and float(w) > 5 for x, y, w in boxes)
    picture = caller.get(shown["picture"])
    assert picture.headers["content-type"] == "image/png"
    assert picture.content.startswith(b"\x89PNG")
    assert caller.get(re.sub(r"\d+$", "99", shown["picture"])).status_code == 422


def test_a_correction_makes_a_revision_and_keeps_what_was_not_touched(fresh: House, spine: str) -> None:
    """A misread step is corrected: new revision, accepted, reviewed anew; its origin and figures stay."""
    caller = fresh.caller("educator")
    step = _step(_json(caller, spine), "Run the ultrasonic bath")
    answer = _correction(caller, spine, step["id"], cautions="Keep the shaft straight")
    assert answer.status_code == 303, answer.text
    assert answer.headers["location"].endswith(f"?step={step['id']}#step-{step['id']}")
    page = _json(caller, spine)
    after = _step(page, "Run the ultrasonic bath")
    assert page["revision"] == 2
    assert after["accepted"] is True
    assert after["figures"] == step["figures"]
    assert after["where"] == step["where"]
    assert "Keep the shaft straight" in after["details"]


def test_figures_are_read_as_typed_or_refused_at_their_field(fresh: House, spine: str) -> None:
    """A figure that cannot be read comes back beside its field, with what had been typed; nothing changes."""
    caller = fresh.caller("educator")
    step = _step(_json(caller, spine), "Brush the lumen")["id"]
    refused = _correction(caller, spine, step, figures="about a thumb")
    assert refused.status_code == 422
    assert "cannot be read as a figure" in refused.text
    assert ">about a thumb</textarea>" in refused.text
    assert _json(caller, spine)["revision"] == 1
    assert _correction(caller, spine, step, figures="1.4 mm brush diameter\n≥ 3 × repeats").status_code == 303
    shown = _step(_json(caller, spine), "Brush the lumen")["figures"]
    assert [(one["number"], one["unit"]) for one in shown] == [("1.4", "mm"), ("≥\u00a03", "×")]


def test_a_later_edit_by_somebody_else_is_not_overwritten(fresh: House, spine: str) -> None:
    """Who had an older revision before them is told so, and sees the page with what they typed."""
    caller = fresh.caller("educator")
    first = _steps(_json(caller, spine))[0]["id"]
    assert caller.post(f"{spine}/steps/{first}/accept", {"base": "1"}).status_code == 303
    late = _correction(caller, spine, first, base="1", until="the water runs clear")
    assert late.status_code == 409
    assert "somebody else made revision 2" in late.text.lower()
    assert "the water runs clear" in late.text


def test_steps_are_added_struck_and_accepted(fresh: House, spine: str) -> None:
    """A step is added after another, one is struck with a reason, one is accepted and the next shown."""
    caller = fresh.caller("educator")
    before = _steps(_json(caller, spine))
    add = _json(caller, f"{spine}?step={before[0]['id']}&add=true")["form"]
    made = {"stage": "drying", "action": "dry", "figures": "30 s drying", "base": "1"}
    assert caller.post(add["act"], made).status_code == 303
    added = _steps(_json(caller, spine))
    assert [one["id"] for one in added][1] == "added-2"
    strike = f"{spine}/steps/{before[2]['id']}/strike"
    assert caller.post(strike, {"base": "2"}).status_code == 422
    assert caller.post(strike, {"base": "2", "reason": "Not a step at all"}).status_code == 303
    accept = f"{spine}/steps/{before[3]['id']}/accept"
    went = caller.post(accept, {"base": "3", "go_on": "true"})
    assert went.headers["location"].endswith(f"#step-{before[4]['id']}")
    with fresh.archive.unit(writes=False) as unit:
        kinds = [event.kind for event in unit.journal.events("valley", Wanted(limit=3))]
    assert kinds == ["step-accepted", "step-struck", "step-added"]


def test_a_left_over_figure_gets_its_place(fresh: House) -> None:
    """A figure that was not understood becomes a step with the words it came from, and is listed no more."""
    caller = fresh.caller("educator")
    text = CALM.format(minutes=3).replace("Drying\n", "Drying\n\nHold it at 2.5 bells for a while.\n")
    where = _hand_in(fresh, caller, text.encode())
    page = _json(caller, where)
    left = next(one for one in page["left_over"] if "2.5 bells" in one["text"])
    form = _json(caller, f"{where}?place={left['number']}")["form"]
    assert form["quote"] == left["text"]
    made = {"stage": "inspection", "action": "inspect", "figures": "2.5 mm", "base": "1"}
    assert caller.post(form["act"], made).status_code == 303
    after = _json(caller, where)
    assert left["number"] not in [one["number"] for one in after["left_over"]]
    assert next(one for one in _steps(after) if one["id"] == "added-2")["where"] == left["where"]


def test_a_finding_is_accepted_with_a_reason_or_not_at_all(fresh: House, spine: str) -> None:
    """What a department may accept needs a reason; what only the maker settles cannot be accepted."""
    caller = fresh.caller("lead")
    page = _json(caller, spine)
    mine = _finding(page, maker_only=False, level="concern")
    at = f"{spine}/findings/{mine['id']}/accept"
    empty = caller.post(at, {"reason": " "})
    assert empty.status_code == 422
    assert "Expected a reason" in empty.text
    assert caller.post(at, {"reason": f"Local rinse first {HOSTILE}"}).status_code == 303
    shown = caller.get(f"{spine}?finding={mine['id']}").text
    assert "Accepted by Tove Rasmussen" in shown
    assert HOSTILE not in shown
    theirs = _finding(page, maker_only=True)
    refused = caller.post(f"{spine}/findings/{theirs['id']}/accept", {"reason": "We always did"})
    assert refused.status_code == 403
    assert "written answer" in refused.text
    assert "Closes only on the maker’s written answer" in caller.get(f"{spine}?finding={theirs['id']}").text


def test_the_makers_answer_settles_a_stop(fresh: House, spine: str) -> None:
    """Asked, a stop stays open; with the answer attached it is settled, and the file can be read again."""
    caller = fresh.caller("lead")
    before = _json(caller, spine)
    stop = _finding(before, maker_only=True)
    at = f"{spine}/findings/{stop['id']}"
    assert caller.post(f"{at}/ask", {"words": "Is it 134 °C?"}).status_code == 303
    assert _json(caller, spine)["approval"]["findings"] == before["approval"]["findings"]
    letter = [("letter", ("answer.html", b"<script>1</script>134", "text/html"))]
    assert caller.post(f"{at}/answer", {"words": ""}, files=letter).status_code == 422
    assert caller.post(f"{at}/answer", {"words": "134 °C is right"}, files=letter).status_code == 303
    after = _json(caller, spine)
    assert len(after["approval"]["findings"]) == len(before["approval"]["findings"]) - 1
    answered = next(one for step in _steps(after) for one in step["findings"] if one["id"] == stop["id"])
    assert answered["how"] == "answered"
    file = caller.get(f"{spine}/document/{answered['file']}")
    assert file.content == b"<script>1</script>134"
    assert file.headers["content-disposition"].startswith("attachment")
    assert "html" not in file.headers["content-type"]


def test_nobody_approves_with_an_open_stop_or_what_they_wrote(fresh: House, spine: str, calm: str) -> None:
    """The button is disabled with the reasons in words, and the act refuses too."""
    lead, educator = fresh.caller("lead"), fresh.caller("educator")
    wish = {"base": "1", "confirm_by": "2027-03-02"}
    assert "must be answered first" in lead.get(spine).text
    assert re.search(r"<button disabled[^>]*>Approve revision 1", lead.get(spine).text)
    assert lead.post(f"{spine}/approve", wish).status_code == 403
    assert "somebody else must" in educator.get(calm).text
    assert educator.post(f"{calm}/approve", wish).status_code == 403


def test_somebody_else_approves_and_the_text_is_confirmed(fresh: House, calm: str) -> None:
    """Approved by the lead with a date and whose turn; confirmed later; the history says so."""
    lead = fresh.caller("lead")
    base = str(_settle(fresh.caller("educator"), calm))
    page = _json(lead, calm)
    assert page["approval"]["not_yet"] == []
    educator = next(one["id"] for one in page["approval"]["readers"] if one["words"] == "Edda Brandt")
    wish = {"base": base, "confirm_by": "2027-03-02", "confirm_turn": educator}
    assert lead.post(f"{calm}/approve", wish).status_code == 303
    after = _json(lead, calm)
    assert (after["state"], after["approval"]["approved_by"]) == ("approved", "Tove Rasmussen")
    confirming = after["approval"]
    assert (confirming["confirm_by"], confirming["confirm_turn"]) == ("2027-03-02", "Edda Brandt")
    assert after["revisions"][0]["approved"] is True
    confirmed = fresh.caller("educator").post(f"{calm}/confirm", {"confirm_by": "2028-03-02"})
    assert confirmed.status_code == 303
    assert _json(lead, calm)["approval"]["confirm_by"] == "2028-03-02"
    assert fresh.caller("technician").post(f"{calm}/confirm", {"confirm_by": "2029-03-02"}).status_code == 403


def test_what_is_still_to_do_is_listed_with_links(fresh: House, spine: str) -> None:
    """Every open finding and every step with figures that nobody accepted is named and led to."""
    caller = fresh.caller("educator")
    page = _json(caller, spine)
    left = page["approval"]
    assert left["left"] == f"16 stops, {len(left['findings']) - 16} concerns, {len(left['steps'])} steps"
    text = caller.get(spine).text
    section = text[text.index('id="approval"') :]
    for one in left["findings"]:
        assert f"?finding={one['id']}#finding-{one['id']}" in section
    for one in left["steps"]:
        assert f"?step={one['id']}#step-{one['id']}" in section
    assert 'aria-describedby="not-yet"' in section


def test_steps_are_accepted_together_after_looking(fresh: House, spine: str) -> None:
    """One button below a stage accepts what stood there; nothing, or a step of no such text, is refused."""
    caller = fresh.caller("educator")
    page = _json(caller, spine)
    stage = max(page["stages"], key=lambda one: len(one["to_accept"]))
    words = f"I compared these {len(stage['to_accept'])} steps with the maker’s words: accept them"
    assert words in caller.get(spine).text
    assert caller.post(f"{spine}/accept", {"base": "1"}).status_code == 422
    assert caller.post(f"{spine}/accept", {"base": "1", "steps": ["none"]}).status_code == 404
    assert caller.post(f"{spine}/accept", {"base": "1", "steps": stage["to_accept"]}).status_code == 303
    after = {step["id"]: step["accepted"] for step in _steps(_json(caller, spine))}
    assert {step for step, accepted in after.items() if accepted} == set(stage["to_accept"])
    assert fresh.caller("technician").post(f"{spine}/accept", {"base": "2"}).status_code == 403


def test_one_answer_settles_many_findings(fresh: House, spine: str) -> None:
    """Ticked concerns are accepted with one reason; one letter of the maker's settles every ticked stop."""
    caller = fresh.caller("educator")
    left = _json(caller, spine)["approval"]["findings"]
    concerns = [one["id"] for one in left if one["level"] == "concern"]
    stops = [one["id"] for one in left if one["level"] == "stop"]
    many = f"{spine}/findings"
    assert caller.post(f"{many}/accept", {"findings": concerns, "words": ""}).status_code == 422
    refused = caller.post(f"{many}/accept", {"findings": stops, "words": "We always did"})
    assert refused.status_code == 403
    assert "written answer" in refused.text
    assert caller.post(f"{many}/accept", {"findings": concerns, "words": "Local policy"}).status_code == 303
    letter = [("letter", ("answer.txt", b"All of it was a misprint.", "text/plain"))]
    sent = {"findings": stops, "words": "A corrected text follows"}
    assert caller.post(f"{many}/answer", sent, files=letter).status_code == 303
    assert _json(caller, spine)["approval"]["findings"] == []


def test_the_page_says_how_it_goes_in_this_department(fresh: House, spine: str) -> None:
    """What stops a text here, where, and the smallest change; else with what each step is done."""
    caller = fresh.caller("technician")
    here = _json(caller, spine)["here"]
    assert (here["resolved"], len(here["stops"])) == (False, 7)
    text = caller.get(spine).text
    section = text[text.index('id="department"') : text.index('id="approval"')]
    for one in here["stops"]:
        assert one["step"]
        assert f"?step={one['step']}#step-{one['step']}" in section
    assert f"Smallest change: {here['changes'][0]}" in unescape(section)
    assert "7 stops in this department" in re.sub(r"<[^>]+>", "", text).replace("\n", " ")
    punch = _json(caller, "/at/valley/instructions?text=bone")["instructions"][0]["address"]
    done = _json(caller, punch)["here"]
    assert (done["resolved"], done["stops"]) == (True, [])
    assert "Sterilizer" in {station["station"] for station in done["stations"]}
    assert "can be done at Valley Instrument Reprocessing Centre" in caller.get(punch).text


def test_a_poster_refused_names_the_stops(fresh: House, spine: str) -> None:
    """The refusal counts as the page does, text and department apart, and names them."""
    caller = fresh.caller("lead")
    page = _json(caller, spine)
    stops = [one for one in page["approval"]["findings"] if one["level"] == "stop"]
    refused = caller.get(f"{spine}/poster")
    assert refused.status_code == 409
    said = unescape(refused.text)
    total = len(stops) + 7
    assert f"{total} stops are open: {len(stops)} in the maker’s text, 7 in this department" in said
    educator = fresh.caller("educator")
    letter = [("letter", ("answer.txt", b"It is so.", "text/plain"))]
    sent = {"findings": [one["id"] for one in page["approval"]["findings"]], "words": "It is so"}
    educator.post(f"{spine}/findings/answer", sent, files=letter)
    base = str(_settle(educator, spine))
    wish = {"base": base, "confirm_by": "2027-03-02"}
    assert caller.post(f"{spine}/approve", wish).status_code == 303
    said = unescape(caller.get(f"{spine}/poster").text)
    assert "7 stops are open in this department" in said
    assert page["here"]["stops"][0]["message"].rstrip(".") in said


def test_a_later_document_is_compared_in_the_trades_terms(fresh: House, calm: str) -> None:
    """The maker's next edition becomes a revision; the comparison says exposure 3 → 4 min."""
    caller = fresh.caller("educator")
    _hand_in(fresh, caller, CALM.format(minutes=4).encode(), where=f"{calm}/document")
    page = _json(caller, calm)
    assert page["revision"] == 2
    compared = _json(caller, f"{calm}/compare")
    changes = [change for stage in compared["stages"] for change in stage["changes"]]
    exposure = next(change for change in changes if "exposure" in change["what"])
    assert (exposure["before"], exposure["after"]) == ("3", "4 min")
    assert "sterilization exposure" in caller.get(f"{calm}/compare?before=1&after=2").text
    old = caller.get(f"{calm}?revision=1").text
    assert "kept as it was" in old
    assert "/correct" not in old
    assert caller.get(f"{calm}/compare?before=9").status_code == 404


def test_poster_and_data_leave_the_house(fresh: House, calm: str, spine: str) -> None:
    """A poster for the floor is refused while stops are open; a proof prints; YAML reads back."""
    from sinkside.documents import parse, validate
    from sinkside.instruction import Instruction

    caller = fresh.caller("lead")
    assert caller.get(f"{spine}/poster").status_code == 409
    proof = caller.get(f"{calm}/poster?proof=true")
    assert proof.content.startswith(b"%PDF-")
    assert "-proof.pdf" in proof.headers["content-disposition"]
    data = caller.get(f"{calm}/yaml")
    read = validate(Instruction, parse(data.text, resource="yaml", is_yaml=True), resource="yaml")
    assert [step.id for step in read.steps] == [step["id"] for step in _steps(_json(caller, calm))]


def test_who_may_only_read_is_offered_nothing_else(fresh: House, spine: str) -> None:
    """A technician sees steps, findings and the source, and no form that changes anything."""
    caller = fresh.caller("technician")
    step = _steps(_json(caller, spine))[0]["id"]
    shown = caller.get(f"{spine}?step={step}").text
    assert "/correct" not in shown
    assert "/accept" not in shown
    assert "<summary>Ask the maker" not in shown
    assert 'name="findings"' not in shown
    assert caller.post(f"{spine}/steps/{step}/accept", {"base": "1"}).status_code == 403
    assert caller.post(NEW, files=[]).status_code == 403


def test_a_representative_hands_in_and_follows_the_reading_alone(fresh: House) -> None:
    """Whoever may only upload is led to the job, not to a page that they may not read."""
    caller = fresh.caller("external-representative")
    answer = caller.post(NEW, files=[("document", ("text.txt", CALM.encode(), "text/plain"))])
    assert re.fullmatch(r"/at/valley/jobs/[\w-]+", answer.headers["location"])
    assert caller.get("/at/valley/instructions").status_code == 403


def test_files_and_instructions_of_elsewhere_are_not_there(fresh: House, spine: str, calm: str) -> None:
    """A file that belongs to another instruction, or an instruction of another department, is 404."""
    caller = fresh.caller("lead")
    digest = _json(caller, calm)["document"].rpartition("/")[2]
    assert caller.get(f"{spine}/document/{digest}").status_code == 404
    elsewhere = fresh.caller("harbour-lead").get(spine.replace("valley", "harbour"))
    assert elsewhere.status_code == 404
    for query in ("?step=nope", "?finding=nope", "?place=99", "?page=7"):
        assert caller.get(f"{spine}{query}").status_code == 200
    assert caller.get(f"{spine}?revision=99").status_code == 404
    assert caller.post(
        f"{spine}/place/99", {"stage": "drying", "action": "dry", "base": "1"}
    ).status_code in {
        403,
        404,
    }


def test_the_device_is_called_what_the_maker_calls_it(fresh: House, calm: str) -> None:
    """Who edits corrects name, maker and edition as a next revision; accepted steps stay accepted."""
    educator = fresh.caller("educator")
    page = _json(educator, f"{calm}/device")
    assert (page["name"], page["maker"], page["revision"]) == (
        LINNET,
        "Example Works",
        1,
    )
    first = _steps(_json(educator, calm))[0]["id"]
    educator.post(f"{calm}/steps/{first}/accept", {"base": 1})
    words = {
        "name": f"Linnet {HOSTILE}",
        "maker": " Example \n Works Ltd ",
        "document": "",
        "edition": "LI-3 B",
    }
    done = educator.post(f"{calm}/device", {"base": 2, **words})
    assert done.status_code == 303, done.text
    shown = educator.get(calm)
    assert HOSTILE not in shown.text
    seen = _json(educator, calm)
    assert (seen["revision"], seen["title"]) == (3, f"Linnet {HOSTILE}")
    assert "Example Works Ltd" in seen["about"]
    assert "LI-3 B" in seen["about"]
    assert _steps(seen)[0]["accepted"]
    assert f"Linnet {HOSTILE}" in {
        one["title"] for one in _json(educator, "/at/valley/instructions")["instructions"]
    }
    assert _json(educator, f"{calm}?revision=2")["title"] == LINNET
    with fresh.archive.unit(writes=False) as unit:
        event = unit.journal.events("valley", Wanted(limit=1))[0]
    assert (event.kind, event.data["revision"]) == ("device-described", 3)
    assert "Linnet" not in str(event.data)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ({"base": 1, "name": " "}, "expected what the device is called"),
        ({"base": 1, "name": "x" * 201}, "at most 200 characters"),
        (
            {"base": 1, "name": LINNET, "maker": "Example Works"},
            "nothing was changed",
        ),
        ({"base": 7, "name": "Other"}, "somebody else made revision 1"),
    ],
)
def test_a_device_is_not_called_anything(fresh: House, calm: str, words: dict[str, Any], said: str) -> None:
    """No name, a long one, one that is not new, one for another revision: each is refused in a sentence."""
    educator = fresh.caller("educator")
    page = _json(educator, f"{calm}/device")
    sent = {name: page[name] for name in ("maker", "document", "edition")} | words
    refused = educator.post(f"{calm}/device", sent)
    assert refused.status_code in {409, 422}
    assert said.casefold() in refused.text.casefold()
    assert _json(educator, calm)["revision"] == 1
    assert fresh.caller("technician").post(f"{calm}/device", sent).status_code == 403
