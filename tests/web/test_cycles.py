"""Cycles on the web: handed in, judged, looked at and decided by somebody with the right to."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import httpx
import pytest

from sinkside.cycles import simulate, write_recorder_file
from sinkside.department import Program
from sinkside.desk.departments import open_department
from support.browserless import Caller
from web.conftest import NOW, House

STEAM = "sterilizer-1|134 °C, 3 min"
HOSTILE = "<script>alert(1)</script>.csv"
UNTOLD = "time [s],temperature [°C],pressure [kPa]\n" + "".join(f"{s},25.0,120.0\n" for s in range(60))


def _program(house: House) -> Program:
    from sinkside.desk.access import visitor_in

    with house.archive.unit(writes=False) as unit:
        lead = unit.people.by_sign_in("lead")
        assert lead is not None
        who = visitor_in(unit, lead.id, "valley", NOW)
    site = open_department(house.archive, who)
    assert site is not None
    return next(
        program
        for machine in site.machines
        if machine.id == "sterilizer-1"
        for program in machine.programs
        if program.name == "134 °C, 3 min"
    )


def _recorded(house: House, folder: Path, kind: str = "normal", *, seed: int = 1) -> bytes:
    out = folder / f"{kind}-{seed}.csv"
    write_recorder_file(simulate(_program(house), kind, seed=seed), out)
    return out.read_bytes()


def _hand_in(caller: Caller, *files: tuple[str, bytes], program: str = STEAM, **said: str) -> httpx.Response:
    return caller.post(
        "/at/valley/cycles/new",
        {"program": program, **said},
        files=[("files", (name, data, "text/csv")) for name, data in files],
    )


@pytest.fixture
def short(fresh: House, tmp_path: Path) -> str:
    """The address of a cycle whose exposure was too short."""
    return _kept(fresh, _recorded(fresh, tmp_path, "short-exposure"))


@pytest.fixture
def good(fresh: House, tmp_path: Path) -> str:
    """The address of a cycle that meets its program."""
    return _kept(fresh, _recorded(fresh, tmp_path))


def _kept(house: House, data: bytes) -> str:
    answer = _hand_in(house.caller("technician"), ("tape.csv", data))
    assert answer.status_code == 303, answer.text
    return answer.headers["location"]


def _json(caller: Caller, address: str) -> Any:
    answer = caller.get(f"/api{address}")
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_a_file_handed_in_shows_its_verdict_and_what_that_rests_on(fresh: House, short: str) -> None:
    """The page of a short exposure says so first, with criteria, margins, findings and the drawing."""
    page = fresh.caller("lead").get(short)
    data = _json(fresh.caller("lead"), short)
    assert data["outcome"] == "fails"
    assert page.text.index("Fails") < page.text.index('class="plot"') < page.text.index("Margin")
    time = next(one for one in data["view"]["criteria"] if one["name"] == "Exposure time")
    assert time["sign"] == "stop"
    assert time["margin"].startswith(("-", "−"))
    for finding in data["view"]["findings"]:
        assert finding["message"].split("'")[0][:20] in page.text


def test_the_list_puts_the_worst_first_and_filters(fresh: House, short: str, good: str) -> None:
    """Undecided fails stand before what meets; decided ones are shown when asked for."""
    lead = fresh.caller("lead")
    listed = _json(lead, "/at/valley/cycles?text=tape.csv")
    assert [one["outcome"] for one in listed["cycles"]] == ["fails", "meets"]
    assert listed["cycles"][0]["machine"] == "Sterilizer 1"
    lead.post(f"{good}/decision", {"decided": "released", "verdict_revision": "1", "reason": "seen by eye"})
    assert [one["address"] for one in _json(lead, "/at/valley/cycles?text=tape.csv")["cycles"]] == [short]
    decided = _json(lead, "/at/valley/cycles?shown=decided&text=tape.csv")["cycles"]
    assert [(one["decided"], one["decided_by"]) for one in decided] == [("released", "Tove Rasmussen")]
    assert _json(lead, "/at/valley/cycles?shown=all&text=nothing-like-it")["cycles"] == []


def test_the_list_is_narrowed_by_what_is_asked_for(fresh: House, short: str, good: str) -> None:
    """Each choice narrows the list, and what is asked for stays in the form; days are the department's."""
    lead = fresh.caller("lead")
    everything = _json(lead, "/at/valley/cycles?shown=all")

    def told(query: str) -> set[str]:
        return {one["address"] for one in _json(lead, f"/at/valley/cycles?shown=all&{query}")["cycles"]}

    assert {short, good} <= told("machine=sterilizer-1|134 °C, 3 min&text=tape.csv")
    assert told("machine=washer-1&text=tape.csv") == set()
    assert short in told("verdict=fails")
    assert good not in told("verdict=fails")
    assert told("since=2026-03-03") == set()
    older = _json(lead, "/at/valley/cycles?shown=all&until=2026-03-01")["total"]
    assert len(told("since=2026-03-02&until=2026-03-02")) == everything["total"] - older
    assert told("since=no-day&verdict=fails") == told("verdict=fails")
    lead.post(f"{good}/decision", {"decided": "released", "verdict_revision": 1, "reason": "seen by eye"})
    assert good in {one["address"] for one in _json(lead, "/at/valley/cycles?shown=released")["cycles"]}
    assert _json(lead, "/at/valley/cycles?shown=held")["cycles"] == []
    page = lead.get("/at/valley/cycles?machine=gone&verdict=fails").text
    assert '<option value="gone" selected>gone</option>' in page
    assert '<option value="fails" selected>' in page


def test_the_worst_of_all_pages_comes_first(fresh: House, short: str) -> None:
    """One that fails stands first, though sixty others were handed in since; the rest are a page on."""
    with fresh.archive.unit() as unit:
        known = unit.rows.get("cycle", short.rpartition("/")[2])
        assert known is not None
        for number in range(60):
            fields = {**known.fields, "verdict": "meets"}
            later = replace(
                known, id=f"c-{number:016d}", updated=NOW, due=NOW - timedelta(days=1), fields=fields
            )
            unit.rows.put(later)
    lead = fresh.caller("lead")
    first = _json(lead, "/at/valley/cycles")
    outcomes = [one["outcome"] for one in first["cycles"]]
    assert len(outcomes) == 50
    assert short in {one["address"] for one in first["cycles"][: outcomes.count("fails")]}
    more = _json(lead, first["more"])
    assert (more["first"], more["more"]) == (51, "")
    assert len(more["cycles"]) == first["total"] - 50
    assert lead.get(first["more"]).text.count('rel="prev"') == 1


def test_a_program_must_be_chosen_where_a_head_fits_several(fresh: House, tmp_path: Path) -> None:
    """Six steam programs write such files: none is assumed, those are named, and the page says who chose."""
    caller = fresh.caller("technician")
    assert '<option value="" selected>Choose the one that ran' in caller.get("/at/valley/cycles/new").text
    first = _hand_in(caller, ("a.csv", _recorded(fresh, tmp_path)))
    again = _hand_in(caller, ("b.csv", _recorded(fresh, tmp_path, seed=2)), program="")
    assert again.status_code == 422
    assert "Sterilizer 2: 121 °C, 20 min" in again.text
    assert "choose the one that ran" in again.text
    page = caller.get(first.headers["location"]).text
    assert "program chosen by Milan Petrov" in page


def test_both_verdicts_on_one_file_are_shown(fresh: House, tmp_path: Path) -> None:
    """One file under two programs: a reason is asked for beside its field, and each page names the other."""
    caller = fresh.caller("technician")
    tape = _recorded(fresh, tmp_path)
    met = _hand_in(caller, ("a.csv", tape)).headers["location"]
    other = "sterilizer-1|134 °C, 5 min"
    refused = _hand_in(caller, ("b.csv", tape), program=other, reason="")
    assert refused.status_code == 422
    assert re.search(r'id="reason-hint">.*was judged here before by another program', refused.text)
    missed = _hand_in(caller, ("b.csv", tape), program=other, reason=HOSTILE).headers["location"]
    assert [_json(caller, at)["outcome"] for at in (met, missed)] == ["meets", "fails"]
    for here, there in ((met, missed), (missed, met)):
        assert [one["address"] for one in _json(caller, here)["same_file"]] == [there]
        text = caller.get(here).text
        assert "The same file was judged by another program too" in text
        assert text.index("same-file") < text.index('class="plot"')
        assert "alert(1)" in text
        assert HOSTILE not in text
    assert caller.get("/at/valley/cycles?text=.csv").text.count("by another program too") == 2
    lead = fresh.caller("lead")
    assert "does not meet another program" in lead.get(met).text
    wish = {"decided": "released", "verdict_revision": "1"}
    assert lead.post(f"{met}/decision", wish).status_code == 422
    assert "alert(1)" in lead.get("/at/valley/record").text


def test_the_decision_stands_right_below_the_verdict(fresh: House, good: str) -> None:
    """On a narrow screen nobody scrolls past the record to decide: the decision follows the verdict."""
    text = fresh.caller("lead").get(good).text
    assert text.index('class="verdict') < text.index('id="decision"') < text.index('id="record-title"')


def test_many_files_become_a_job(fresh: House, tmp_path: Path) -> None:
    """More files than are judged within a click lead to where one sees how far they are."""
    caller = fresh.caller("technician")
    data = _recorded(fresh, tmp_path)
    answer = _hand_in(caller, *((f"batch-{number}.csv", data) for number in range(6)))
    assert re.fullmatch(r"/at/valley/jobs/[\w-]+", answer.headers["location"])
    waiting = _json(caller, "/at/valley/cycles?text=batch-")["cycles"]
    assert [(one["outcome"], bool(one["job"])) for one in waiting] == [("", True)] * 6


def test_what_cannot_be_told_is_asked_in_one_field(fresh: House) -> None:
    """A pressure that may be absolute or gauge is asked for, and judged once somebody says it."""
    caller = fresh.caller("technician")
    where = _hand_in(caller, ("tape.csv", UNTOLD.encode())).headers["location"]
    asked = _json(caller, where)
    assert (asked["outcome"], asked["asks_for"]) == ("unread", "pressure")
    page = caller.get(where).text
    assert 'name="pressure"' in page
    assert 'name="time_unit"' not in page
    assert caller.post(f"{where}/reading", {"pressure": "absolute"}).status_code == 303
    assert _json(caller, where)["outcome"] in {"fails", "unclear"}


def test_deciding_against_the_verdict_needs_a_reason(fresh: House, short: str) -> None:
    """Released against a failing verdict: refused without a reason, kept with one, by name, and recorded."""
    lead = fresh.caller("lead")
    wish = {"decided": "released", "verdict_revision": "1"}
    refused = lead.post(f"{short}/decision", wish)
    assert refused.status_code == 422
    assert "reason" in refused.text.lower()
    assert _json(lead, short)["decisions"] == []
    assert lead.post(f"{short}/decision", {**wish, "reason": "Second recorder shows 3:30"}).status_code == 303
    decision = _json(lead, short)["decisions"][0]
    assert decision["by"] == "Tove Rasmussen"
    assert decision["against"] is True
    assert "against the verdict" in lead.get(short).text
    with fresh.archive.unit(writes=False) as unit:
        from sinkside.records import Wanted

        subject = f"cycle:{short.rpartition('/')[2]}"
        events = unit.journal.events("valley", Wanted(kinds=["cycle-decided"], subject=subject))
    assert [event.data["against"] for event in events] == [True]


def test_a_decision_on_an_older_verdict_is_refused(fresh: House, good: str) -> None:
    """Who looked at another verdict than the one in force looks again first."""
    wish = {"decided": "released", "verdict_revision": "2", "reason": "seen by eye"}
    assert fresh.caller("lead").post(f"{good}/decision", wish).status_code == 409


def test_only_who_may_decide_is_offered_to_and_can(fresh: House, good: str) -> None:
    """A technician sees the verdict but no buttons, and the act refuses them."""
    technician = fresh.caller("technician")
    assert 'name="decided"' not in technician.get(good).text
    wish = {"decided": "released", "verdict_revision": "1", "reason": "seen by eye"}
    assert technician.post(f"{good}/decision", wish).status_code == 403
    assert 'name="decided"' in fresh.caller("lead").get(good).text


def test_looking_closer_shows_more_of_the_same_samples(fresh: House, good: str) -> None:
    """A stretch is drawn anew: every sample in it, no value outside the whole record's, the same extremes."""
    caller = fresh.caller("lead")
    whole = _json(caller, f"{good}/trace")["drawn"]
    middle = whole["whole_s"] / 2
    close = _json(caller, f"{good}/trace?start={middle}&end={middle + 60}")["drawn"]
    everything = list(csv.reader(io.StringIO(caller.get(f"{good}/samples").text)))[1:]
    inside = [row for row in everything if middle <= float(row[0]) <= middle + 60]
    assert len(close["curves"][0]["times_s"]) in range(len(inside), len(inside) + 3)
    hottest = max(float(row[1]) for row in everything)
    assert max(whole["curves"][0]["values"]) == pytest.approx(hottest, abs=0.006)
    assert close["frame"]["start_s"] == pytest.approx(middle)
    assert close["svg"].startswith("<svg ")


@pytest.mark.parametrize(
    "window", ["start=1e7", "start=50&end=10", "start=0&end=0", "start=3&end=3.001&width=320"]
)
def test_any_window_is_brought_inside_the_record(fresh: House, good: str, window: str) -> None:
    """A window outside the record, turned round or empty becomes one that can be drawn."""
    drawn = _json(fresh.caller("lead"), f"{good}/trace?{window}")["drawn"]
    assert 0 <= drawn["start_s"] < drawn["end_s"] <= drawn["whole_s"] + 1e-6
    assert fresh.caller("lead").get(f"{good}/trace?{window}").status_code == 200


def test_windows_that_are_no_numbers_are_refused(fresh: House, good: str) -> None:
    """Not-a-number and minus are bad input, not crashes."""
    for window in ("start=nan", "end=inf", "start=-1", "width=99999"):
        assert fresh.caller("lead").get(f"/api{good}/trace?{window}").status_code == 422


def test_the_recorders_file_comes_back_byte_for_byte(fresh: House, tmp_path: Path) -> None:
    """What was handed in is handed out, to be saved and not to be shown."""
    data = _recorded(fresh, tmp_path)
    answer = fresh.caller("lead").get(f"{_kept(fresh, data)}/file")
    assert answer.content == data
    assert answer.headers["content-type"] == "application/octet-stream"
    assert answer.headers["content-disposition"].startswith("attachment")


def test_file_names_and_heads_are_never_markup(fresh: House, tmp_path: Path) -> None:
    """A file name and a column head that are scripts are shown as text, in the drawing too."""
    data = _recorded(fresh, tmp_path).decode()
    head, rest = data.split("\n", 1)
    hostile = re.sub(r"(?<=[,;])([^,;\[(]+)", r"\1<b>x</b>", head, count=1)
    where = _hand_in(fresh.caller("lead"), (HOSTILE, f"{hostile}\n{rest}".encode())).headers["location"]
    for page in (where, f"{where}/trace", "/at/valley/cycles"):
        text = fresh.caller("lead").get(page).text
        assert "<script>alert" not in text
        assert "<b>x</b>" not in text


def test_other_departments_see_nothing(fresh: House, good: str) -> None:
    """To another department the cycle does not exist."""
    caller = fresh.caller("harbour-lead")
    for address in (good, f"{good}/trace", f"{good}/file"):
        assert caller.get(address).status_code == 404
        assert caller.get(address.replace("valley", "harbour")).status_code == 404


def test_a_technician_is_told_what_stays_here(fresh: House, short: str) -> None:
    """What failed and nobody decided is the first thing on a technician's day, with who decides."""
    page = _json(fresh.caller("technician"), "/at/valley/today")
    assert page["others"][0]["level"] == "stop"
    assert "stays here" in page["others"][0]["sentence"]
    assert "Tove Rasmussen" in page["others"][0]["whom"]
    text = fresh.caller("technician").get("/at/valley/today").text
    assert "Nothing waits" not in text
    assert "what was processed stays here" in text
    assert _json(fresh.caller("lead"), "/at/valley/today")["others"] == []


def test_what_a_file_does_not_tell_is_said_step_by_step(fresh: House, tmp_path: Path) -> None:
    """A file of two cycles asks which, keeps what was said before, and the second is another run."""
    caller = fresh.caller("technician")
    one = _recorded(fresh, tmp_path).decode().splitlines()
    head, *rows = one
    numbered = [f"cycle;{head}".replace(",", ";"), *(f"7;{row}".replace(",", ";") for row in rows)]
    numbered += [f"8;{row}".replace(",", ";") for row in rows]
    tape = "\n".join(numbered).encode()
    at = _hand_in(caller, ("both.csv", tape)).headers["location"]
    page = caller.get(at)
    assert "Which cycle of a file that holds several" in page.text
    assert caller.post(f"{at}/reading", {"cycle": "2"}).status_code == 303
    assert _json(caller, at)["outcome"] == "meets"
    other = _hand_in(caller, ("both.csv", tape), cycle="1").headers["location"]
    assert _json(caller, other)["outcome"] == "meets"
    assert [_json(caller, each)["counts"] for each in (at, other)] == [True, True]


def test_files_are_read_as_an_earlier_one_of_the_recorder(fresh: House, tmp_path: Path) -> None:
    """What was said of one file holds for the next by naming its cycle; a head that changed is refused."""
    caller = fresh.caller("technician")
    head, *rows = _recorded(fresh, tmp_path).decode().splitlines()
    bare = re.sub(r"_(?:C|kPa_abs)\b", "", head)
    silent = "\n".join([bare, *rows]).encode()
    said = {"temperature_unit": "°C", "pressure_unit": "kPa", "pressure": "absolute"}
    first = _hand_in(caller, ("a.csv", silent), **said).headers["location"]
    assert _json(caller, first)["outcome"] == "meets"
    assert f"like={first}" in caller.get(first).text
    next_head, *next_rows = _recorded(fresh, tmp_path, seed=2).decode().splitlines()
    follower = "\n".join([re.sub(r"_(?:C|kPa_abs)\b", "", next_head), *next_rows]).encode()
    second = _hand_in(caller, ("b.csv", follower), like=first).headers["location"]
    assert _json(caller, second)["outcome"] == "meets"
    changed = follower.replace(b"drain", b"outlet")
    third = _hand_in(caller, ("c.csv", changed), like=first).headers["location"]
    assert "the head of this recorder changed" in _json(caller, third)["summary"]
    assert _hand_in(caller, ("d.csv", follower), like="c-none").status_code == 404
