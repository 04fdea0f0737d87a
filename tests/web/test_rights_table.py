"""Every route × every role × own department, another one, signed out: only what the table allows."""

from __future__ import annotations

import re
from typing import Final

import httpx
import pytest
from fastapi.routing import APIRoute
from starlette.routing import Mount

from sinkside.demo.house import HARBOUR, VALLEY
from sinkside.desk.access import policy, rights_table
from sinkside.web.screen import ANYBODY, SIGNED_IN
from web.conftest import House, make_house

ROLES: Final = sorted(policy().roles)

READS_MACHINES: Final = {
    "assessor",
    "auditor",
    "educator",
    "equipment-engineer",
    "infection-prevention",
    "lead",
    "technician",
}
READS_DEPARTMENT: Final = set(policy().roles) - {"external-representative"}
CHANGES_DEPARTMENT: Final = {"equipment-engineer", "lead"}
READS_INSTRUCTIONS: Final = READS_MACHINES | {"theatre"}
READS_SOLUTIONS: Final = {
    "assessor",
    "auditor",
    "educator",
    "infection-prevention",
    "lead",
    "technician",
}
READS_BENCH: Final = READS_MACHINES | {"theatre"}
WORKS_AT_BENCH: Final = {"educator", "lead", "technician"}
WORKS_ON_LOANS: Final = {"lead", "technician"}
REVIEWS_EXCEPTIONS: Final = {"educator", "infection-prevention", "lead"}
EDITS_INSTRUCTIONS: Final = {"educator", "lead"}
LEARNS: Final = {
    "educator",
    "equipment-engineer",
    "infection-prevention",
    "lead",
    "technician",
    "theatre",
}
HANGS_PAPERS: Final = {"educator", "infection-prevention", "lead", "technician", "theatre"}
MAKES_SETS: Final = {"educator", "lead"}
MAKES_SOLUTIONS: Final = {"lead", "technician"}
READS_SIGN_OFFS: Final = {"auditor", "educator", "infection-prevention", "lead"}
GIVES_SIGN_OFFS: Final = {"educator", "lead"}
RECORDS_CHECKS: Final = {"equipment-engineer", "lead", "technician"}
OBSERVES: Final = {"educator", "lead", "technician"}
READS_PROOF: Final = {"auditor", "educator", "infection-prevention", "lead"}
PLANS_CASES: Final = {"educator", "lead", "theatre"}
REPORTS_FROM_THEATRE: Final = {"lead", "theatre"}
PLANS_ROLL_OUTS: Final = {"educator", "lead"}

HANDS_RECORDS_IN: Final = {"equipment-engineer", "lead", "technician"}

READS_HISTORIES: Final = READS_BENCH - {"assessor", "theatre"}
READS_RECALLS: Final = READS_BENCH - {"assessor"}
WORKS_ON_RECALLS: Final = {"infection-prevention", "lead", "technician"}
OPENS_RECALLS: Final = {"infection-prevention", "lead"}

REPORTS_DEVIATIONS: Final = READS_BENCH - {"auditor"}
WORKS_ON_DEVIATIONS: Final = REPORTS_DEVIATIONS - {"assessor", "theatre"}
LEADS_ON_DEVIATIONS: Final = {"educator", "infection-prevention", "lead"}
READS_EVIDENCE: Final = {"auditor", "educator", "infection-prevention", "lead"}

READS_VERIFICATION: Final = READS_MACHINES
RECORDS_VERIFICATION: Final = READS_VERIFICATION - {"assessor", "auditor"}
PLANS_VERIFICATION: Final = {"educator", "lead"}

#: Who may open what, written down by hand: a change of policy or of a declared right shows here.
WRITTEN: Final = {
    ("GET", "/at/{department}/bench"): READS_BENCH,
    ("GET", "/at/{department}/bench/at/{station}"): READS_BENCH,
    ("GET", "/at/{department}/bench/at/{station}/{copy_id}"): READS_BENCH,
    ("GET", "/at/{department}/bench/codes"): READS_BENCH,
    ("GET", "/at/{department}/bench/copies"): READS_BENCH,
    ("POST", "/at/{department}/bench/copies"): {"educator", "lead"},
    ("POST", "/at/{department}/bench/copies/retire"): {"educator", "lead"},
    ("POST", "/at/{department}/bench/taps"): READS_BENCH,
    ("POST", "/at/{department}/bench/tap"): READS_BENCH,
    ("POST", "/at/{department}/bench/scan"): READS_BENCH,
    ("POST", "/at/{department}/bench/photo"): READS_BENCH,
    ("GET", "/at/{department}/bench/loads"): READS_BENCH,
    ("GET", "/at/{department}/bench/immediate-use"): {"lead"},
    ("GET", "/at/{department}/bench/loads/{load}"): READS_BENCH,
    ("POST", "/at/{department}/bench/loads/{load}/decision"): {"lead"},
    ("POST", "/at/{department}/bench/loads/{load}/link"): HANDS_RECORDS_IN,
    ("POST", "/at/{department}/bench/loads/{load}/record"): HANDS_RECORDS_IN,
    ("POST", "/at/{department}/bench/loads/{load}/let-go"): {"lead"},
    ("POST", "/at/{department}/bench/loads/{load}/investigations/{investigation}"): {"lead"},
    ("GET", "/at/{department}/bench/machines/{machine}"): READS_BENCH,
    ("POST", "/at/{department}/bench/machines/{machine}/scan"): {"educator", "lead", "technician"},
    ("POST", "/at/{department}/bench/machines/{machine}/photo"): {"educator", "lead", "technician"},
    ("GET", "/at/{department}/verification"): READS_VERIFICATION,
    ("GET", "/at/{department}/verification/families"): READS_VERIFICATION,
    ("POST", "/at/{department}/verification/families"): PLANS_VERIFICATION,
    ("GET", "/at/{department}/verification/families/{product_family}"): READS_VERIFICATION,
    ("POST", "/at/{department}/verification/families/{product_family}/sets"): PLANS_VERIFICATION,
    ("POST", "/at/{department}/verification/families/{product_family}/tests"): RECORDS_VERIFICATION,
    ("GET", "/at/{department}/verification/texts"): READS_VERIFICATION,
    ("POST", "/at/{department}/verification/texts/{instruction}/asked"): RECORDS_VERIFICATION,
    ("POST", "/at/{department}/verification/texts/{instruction}/answered"): RECORDS_VERIFICATION,
    ("GET", "/at/{department}/verification/week"): READS_VERIFICATION,
    ("GET", "/at/{department}/verification/water"): READS_VERIFICATION,
    ("POST", "/at/{department}/verification/water"): RECORDS_VERIFICATION,
    ("GET", "/at/{department}/verification/water/{event}"): READS_VERIFICATION,
    ("POST", "/at/{department}/verification/water/{event}/over"): RECORDS_VERIFICATION,
    ("POST", "/at/{department}/verification/water/{event}/close"): {"equipment-engineer", "lead"},
    ("POST", "/at/{department}/verification/water/{event}/go-on"): {"lead"},
    ("GET", "/at/{department}/verification/programmes/new"): PLANS_VERIFICATION,
    ("POST", "/at/{department}/verification/programmes/new"): PLANS_VERIFICATION,
    ("GET", "/at/{department}/verification/programmes/{programme}"): READS_VERIFICATION,
    ("POST", "/at/{department}/verification/programmes/{programme}/devices"): PLANS_VERIFICATION,
    ("POST", "/at/{department}/verification/programmes/{programme}/devices/{tested}"): PLANS_VERIFICATION,
    ("POST", "/at/{department}/verification/programmes/{programme}/devices/{tested}/go-on"): (
        PLANS_VERIFICATION
    ),
    ("POST", "/at/{department}/verification/programmes/{programme}/end"): PLANS_VERIFICATION,
    ("GET", "/at/{department}/verification/programmes/{programme}/test/{tested}"): RECORDS_VERIFICATION,
    ("POST", "/at/{department}/verification/programmes/{programme}/test/{tested}"): RECORDS_VERIFICATION,
    ("GET", "/at/{department}/verification/programmes/{programme}/results/{result}"): READS_VERIFICATION,
    ("GET", "/at/{department}/people"): {"administrator"},
    ("POST", "/at/{department}/people/new"): {"administrator"},
    ("POST", "/at/{department}/people/{person}/erase"): {"administrator"},
    ("GET", "/at/{department}/record"): {
        "administrator",
        "auditor",
        "educator",
        "infection-prevention",
        "lead",
    },
    ("GET", "/at/{department}/record/export"): {"auditor", "infection-prevention", "lead"},
    ("GET", "/at/{department}/record/chain"): {"administrator", "auditor", "infection-prevention", "lead"},
    ("GET", "/at/{department}/today"): set(policy().roles),
    ("GET", "/at/{department}/bench/arrivals"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/bench/cases"): READS_INSTRUCTIONS,
    ("POST", "/at/{department}/bench/cases"): PLANS_CASES,
    ("POST", "/at/{department}/bench/cases/file"): PLANS_CASES,
    ("POST", "/at/{department}/bench/cases/{case}/close"): REPORTS_FROM_THEATRE,
    ("POST", "/at/{department}/bench/theatre/{alarm}"): REPORTS_FROM_THEATRE,
    ("GET", "/at/{department}/teaching"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/teaching/{instruction}"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/teaching/{instruction}/projected"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/teaching/{instruction}/photos/{digest}"): READS_INSTRUCTIONS,
    ("POST", "/at/{department}/teaching/{instruction}/learnt"): LEARNS,
    ("GET", "/at/{department}/teaching/{instruction}/notes/{step}"): EDITS_INSTRUCTIONS,
    ("POST", "/at/{department}/teaching/{instruction}/notes/{step}"): EDITS_INSTRUCTIONS,
    ("POST", "/at/{department}/teaching/{instruction}/notes/{step}/photo"): EDITS_INSTRUCTIONS,
    ("POST", "/at/{department}/teaching/{instruction}/notes/{step}/away"): EDITS_INSTRUCTIONS,
    ("GET", "/at/{department}/machines"): READS_MACHINES,
    ("GET", "/at/{department}/machines/{machine}"): READS_MACHINES,
    ("GET", "/at/{department}/machines/{machine}/checks/{check}"): RECORDS_CHECKS,
    ("POST", "/at/{department}/machines/{machine}/checks/{check}"): RECORDS_CHECKS,
    ("POST", "/at/{department}/machines/{machine}/out-of-use"): RECORDS_CHECKS,
    ("POST", "/at/{department}/machines/{machine}/in-use"): {"equipment-engineer", "lead"},
    ("GET", "/at/{department}/indicators"): READS_MACHINES,
    ("POST", "/at/{department}/indicators"): {"lead", "technician"},
    ("GET", "/at/{department}/indicators/{indicator}"): READS_MACHINES,
    ("POST", "/at/{department}/indicators/{indicator}"): {"lead", "technician"},
    ("GET", "/at/{department}/cycles/{cycle}/before-release"): READS_MACHINES,
    ("POST", "/at/{department}/cycles/{cycle}/before-release/load"): {"lead", "technician"},
    ("POST", "/at/{department}/cycles/{cycle}/before-release/chemical"): {"lead", "technician"},
    ("POST", "/at/{department}/cycles/{cycle}/before-release/biological"): {"lead", "technician"},
    ("GET", "/at/{department}/checks"): READS_MACHINES,
    ("GET", "/at/{department}/checks/{check}"): READS_MACHINES,
    ("POST", "/at/{department}/checks/{check}"): {"equipment-engineer", "lead"},
    ("GET", "/at/{department}/fit"): READS_INSTRUCTIONS,
    ("POST", "/at/{department}/fit/work"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/fit/{instruction}"): READS_DEPARTMENT,
    ("GET", "/at/{department}/fit/{instruction}/changes/{change}"): CHANGES_DEPARTMENT,
    ("POST", "/at/{department}/fit/{instruction}/changes/{change}"): CHANGES_DEPARTMENT,
    ("GET", "/at/{department}/instructions/{instruction}/photo"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/instructions/{instruction}/photo/{digest}"): READS_INSTRUCTIONS,
    ("POST", "/at/{department}/instructions/{instruction}/photo"): EDITS_INSTRUCTIONS,
    ("POST", "/at/{department}/instructions/{instruction}/photo/points"): EDITS_INSTRUCTIONS,
    ("POST", "/at/{department}/instructions/{instruction}/photo/points/strike"): EDITS_INSTRUCTIONS,
    ("POST", "/at/{department}/instructions/{instruction}/photo/looked"): EDITS_INSTRUCTIONS,
    ("POST", "/at/{department}/instructions/{instruction}/photo/shown"): EDITS_INSTRUCTIONS,
    ("POST", "/at/{department}/instructions/{instruction}/photo/away"): EDITS_INSTRUCTIONS,
    ("GET", "/at/{department}/bench/store"): READS_BENCH,
    ("POST", "/at/{department}/bench/store-policy"): CHANGES_DEPARTMENT,
    ("GET", "/at/{department}/bench/exceptions"): READS_BENCH,
    ("GET", "/at/{department}/history"): READS_HISTORIES,
    ("POST", "/at/{department}/history"): READS_HISTORIES,
    ("GET", "/at/{department}/history/mine"): set(policy().roles),
    ("GET", "/at/{department}/history/{noun}/{thing}"): READS_HISTORIES,
    ("GET", "/at/{department}/deviations"): READS_BENCH,
    ("GET", "/at/{department}/deviations/charts"): READS_BENCH,
    ("GET", "/at/{department}/deviations/table.csv"): READS_BENCH,
    ("GET", "/at/{department}/deviations/month.pdf"): READS_BENCH,
    ("GET", "/at/{department}/deviations/new"): REPORTS_DEVIATIONS,
    ("POST", "/at/{department}/deviations/new"): REPORTS_DEVIATIONS,
    ("GET", "/at/{department}/deviations/{deviation}"): READS_BENCH,
    ("POST", "/at/{department}/deviations/{deviation}/measure"): WORKS_ON_DEVIATIONS,
    ("POST", "/at/{department}/deviations/{deviation}/delay"): WORKS_ON_DEVIATIONS,
    ("POST", "/at/{department}/deviations/{deviation}/ask"): LEADS_ON_DEVIATIONS,
    ("POST", "/at/{department}/deviations/{deviation}/cause"): LEADS_ON_DEVIATIONS,
    ("POST", "/at/{department}/deviations/{deviation}/correct"): LEADS_ON_DEVIATIONS,
    ("POST", "/at/{department}/deviations/{deviation}/corrected"): READS_BENCH,
    ("POST", "/at/{department}/deviations/{deviation}/effect"): LEADS_ON_DEVIATIONS,
    ("GET", "/at/{department}/evidence"): READS_EVIDENCE,
    ("GET", "/at/{department}/evidence/of"): READS_EVIDENCE,
    ("GET", "/at/{department}/evidence/run/{run}"): READS_EVIDENCE,
    ("POST", "/at/{department}/evidence/run/{run}"): READS_EVIDENCE,
    ("GET", "/at/{department}/evidence/run/{run}/files/{number}"): READS_EVIDENCE,
    ("GET", "/at/{department}/evidence/load/{load}"): READS_EVIDENCE,
    ("POST", "/at/{department}/evidence/load/{load}"): READS_EVIDENCE,
    ("GET", "/at/{department}/evidence/load/{load}/files/{number}"): READS_EVIDENCE,
    ("GET", "/at/{department}/evidence/check"): {"administrator", "auditor", "infection-prevention", "lead"},
    ("GET", "/at/{department}/recalls"): READS_RECALLS,
    ("POST", "/at/{department}/recalls"): OPENS_RECALLS,
    ("GET", "/at/{department}/recalls/new"): READS_RECALLS,
    ("GET", "/at/{department}/recalls/{recall}/papers/pick-list"): READS_RECALLS,
    ("GET", "/at/{department}/recalls/{recall}/papers/calls"): READS_RECALLS,
    ("GET", "/at/{department}/recalls/{recall}/papers/cases"): READS_RECALLS,
    ("GET", "/at/{department}/recalls/{recall}/papers/others"): READS_RECALLS,
    ("POST", "/at/{department}/recalls/{recall}/others/{loan}"): WORKS_ON_RECALLS,
    ("GET", "/at/{department}/recalls/{recall}"): READS_RECALLS,
    ("POST", "/at/{department}/recalls/{recall}/sets/{run}"): WORKS_ON_RECALLS,
    ("POST", "/at/{department}/recalls/{recall}/cases/{case}"): WORKS_ON_RECALLS,
    ("POST", "/at/{department}/recalls/{recall}/close"): OPENS_RECALLS,
    ("POST", "/at/{department}/bench/exceptions/{exception}"): REVIEWS_EXCEPTIONS,
    ("GET", "/at/{department}/bench/loans"): READS_BENCH,
    ("POST", "/at/{department}/bench/loans/new"): WORKS_ON_LOANS,
    ("POST", "/at/{department}/bench/loans/{loan}/receive"): WORKS_ON_LOANS,
    ("GET", "/at/{department}/bench/loans/{loan}/statement"): READS_BENCH,
    ("POST", "/at/{department}/bench/handover"): WORKS_AT_BENCH,
    ("GET", "/at/{department}/bench/downtime/{outage}"): READS_BENCH,
    ("POST", "/at/{department}/bench/downtime/{outage}/enter"): WORKS_AT_BENCH,
    ("GET", "/at/{department}/solutions"): READS_SOLUTIONS,
    ("GET", "/at/{department}/solutions/{solution}"): READS_SOLUTIONS,
    ("GET", "/at/{department}/solutions/new"): MAKES_SOLUTIONS,
    ("POST", "/at/{department}/solutions/new"): MAKES_SOLUTIONS,
    ("POST", "/at/{department}/solutions/{solution}/discard"): MAKES_SOLUTIONS,
    ("GET", "/at/{department}/languages"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/languages/{language}"): READS_INSTRUCTIONS,
    ("POST", "/at/{department}/languages/units"): CHANGES_DEPARTMENT,
    ("POST", "/at/{department}/languages/{language}/names"): {"educator"},
    ("POST", "/at/{department}/languages/{language}/review"): {"educator"},
    ("POST", "/at/{department}/languages/{language}/withdraw"): {"educator"},
    ("GET", "/at/{department}/sets"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/sets/{key}"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/sets/{key}/changes"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/sets/{key}/layout"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/sets/{key}/layout/document"): READS_INSTRUCTIONS,
    ("POST", "/at/{department}/sets/{key}/layout"): MAKES_SETS,
    ("POST", "/at/{department}/sets/{key}/layout/move"): MAKES_SETS,
    ("GET", "/at/{department}/sets/{key}/sheet"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/sets/{key}/document"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/sets/new"): MAKES_SETS,
    ("POST", "/at/{department}/sets/new"): MAKES_SETS,
    ("POST", "/at/{department}/sets/hand-in"): MAKES_SETS,
    ("POST", "/at/{department}/sets/{key}"): MAKES_SETS,
    ("POST", "/at/{department}/sets/{key}/file"): MAKES_SETS,
    ("POST", "/at/{department}/sets/{key}/look"): MAKES_SETS,
    ("POST", "/at/{department}/sets/{key}/split"): MAKES_SETS,
    ("POST", "/at/{department}/sets/{key}/out-of-use"): MAKES_SETS,
    ("GET", "/at/{department}/sets/{key}/moisture"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/sets/{key}/moisture/things"): MAKES_SETS,
    ("POST", "/at/{department}/sets/{key}/moisture/things"): MAKES_SETS,
    ("POST", "/at/{department}/sets/{key}/moisture/beside"): MAKES_SETS,
    ("POST", "/at/{department}/sets/{key}/moisture/beside/strike"): MAKES_SETS,
    ("POST", "/at/{department}/sets/{key}/moisture/packaging"): MAKES_SETS,
    ("POST", "/at/{department}/sets/{key}/moisture/assumption"): MAKES_SETS,
    ("GET", "/at/{department}/sets/{key}/devices/new"): MAKES_SETS,
    ("POST", "/at/{department}/sets/{key}/devices/new"): MAKES_SETS,
    ("GET", "/at/{department}/sets/{key}/devices/{place}"): MAKES_SETS,
    ("POST", "/at/{department}/sets/{key}/devices/{place}"): MAKES_SETS,
    ("POST", "/at/{department}/sets/{key}/devices/{place}/strike"): MAKES_SETS,
    ("GET", "/at/{department}/questions/{instruction}"): EDITS_INSTRUCTIONS,
    ("GET", "/at/{department}/questions/{instruction}/{question}"): EDITS_INSTRUCTIONS,
    ("POST", "/at/{department}/questions/{instruction}/add"): EDITS_INSTRUCTIONS,
    ("POST", "/at/{department}/questions/{instruction}/{question}/words"): EDITS_INSTRUCTIONS,
    ("POST", "/at/{department}/questions/{instruction}/{question}/as-made"): EDITS_INSTRUCTIONS,
    ("POST", "/at/{department}/questions/{instruction}/{question}/retire"): EDITS_INSTRUCTIONS,
    ("POST", "/at/{department}/questions/{instruction}/{question}/bring-back"): EDITS_INSTRUCTIONS,
    ("GET", "/at/{department}/sign-offs"): READS_SIGN_OFFS,
    ("GET", "/at/{department}/sign-offs/mine"): set(policy().roles),
    ("GET", "/at/{department}/sign-offs/families"): READS_SIGN_OFFS,
    ("GET", "/at/{department}/sign-offs/families/{device_family}"): READS_SIGN_OFFS,
    ("GET", "/at/{department}/sign-offs/tray"): READS_SIGN_OFFS,
    ("GET", "/at/{department}/sign-offs/policy"): READS_SIGN_OFFS,
    ("POST", "/at/{department}/sign-offs/policy"): {"lead"},
    ("GET", "/at/{department}/sign-offs/people/{person}"): READS_SIGN_OFFS,
    ("POST", "/at/{department}/sign-offs/people/{person}"): GIVES_SIGN_OFFS,
    ("POST", "/at/{department}/sign-offs/people/{person}/error"): GIVES_SIGN_OFFS,
    ("GET", "/at/{department}/learning"): LEARNS,
    ("POST", "/at/{department}/learning"): LEARNS,
    ("GET", "/at/{department}/learning/answers/{answer}"): LEARNS,
    ("GET", "/at/{department}/learning/memory"): LEARNS,
    ("GET", "/at/{department}/learning/team"): LEARNS,
    ("GET", "/at/{department}/learning/team/{instruction}"): LEARNS,
    ("GET", "/at/{department}/teaching/{instruction}/questions/quality"): EDITS_INSTRUCTIONS,
    ("GET", "/at/{department}/sign-offs/roster"): READS_SIGN_OFFS,
    ("POST", "/at/{department}/sign-offs/roster/{person}"): {"lead"},
    ("POST", "/at/{department}/sign-offs/roster/{person}/end"): {"lead"},
    ("GET", "/at/{department}/papers"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/papers/new"): READS_INSTRUCTIONS,
    ("POST", "/at/{department}/papers/new"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/papers/picture"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/papers/file"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/papers/downtime"): READS_DEPARTMENT,
    ("POST", "/at/{department}/papers/packs"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/papers/packs/{job}"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/papers/packs/{job}/file"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/papers/sets/{key}"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/papers/sets/{key}/labels"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/papers/sets/{key}/picture"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/papers/sets/{key}/count-sheet/file"): READS_INSTRUCTIONS,
    ("POST", "/at/{department}/papers/sets/{key}/count-sheet"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/papers/{code}"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/papers/{code}/file"): READS_INSTRUCTIONS,
    ("POST", "/at/{department}/papers/{code}/current"): READS_INSTRUCTIONS,
    ("POST", "/at/{department}/papers/{code}/places"): HANGS_PAPERS,
    ("POST", "/at/{department}/papers/{code}/places/{copy}"): HANGS_PAPERS,
    ("GET", "/at/{department}/observing"): OBSERVES,
    ("GET", "/at/{department}/observing/new"): OBSERVES,
    ("POST", "/at/{department}/observing/new"): OBSERVES,
    ("GET", "/at/{department}/observing/{observation}"): OBSERVES,
    ("POST", "/at/{department}/observing/{observation}/marks"): OBSERVES,
    ("POST", "/at/{department}/observing/{observation}/judge"): OBSERVES,
    ("POST", "/at/{department}/observing/{observation}/sign"): OBSERVES,
    ("POST", "/at/{department}/observing/{observation}/strike"): OBSERVES,
    ("GET", "/at/{department}/observing/{observation}/pictures"): OBSERVES,
    ("POST", "/at/{department}/observing/{observation}/pictures"): OBSERVES,
    ("POST", "/at/{department}/observing/{observation}/pictures/begin"): OBSERVES,
    ("GET", "/at/{department}/roll-outs"): READS_PROOF,
    ("GET", "/at/{department}/roll-outs/{roll_out}"): READS_PROOF,
    ("GET", "/at/{department}/roll-outs/new"): PLANS_ROLL_OUTS,
    ("POST", "/at/{department}/roll-outs/new"): PLANS_ROLL_OUTS,
    ("POST", "/at/{department}/roll-outs/{roll_out}/close"): PLANS_ROLL_OUTS,
    ("GET", "/at/{department}/roll-outs/{roll_out}/lesson"): PLANS_ROLL_OUTS,
    ("POST", "/at/{department}/roll-outs/{roll_out}/lesson"): PLANS_ROLL_OUTS,
    ("GET", "/at/{department}/proof"): READS_PROOF,
    ("GET", "/at/{department}/proof/export"): READS_PROOF,
    ("GET", "/at/{department}/proof/stations/{station}"): READS_PROOF,
    ("GET", "/at/{department}/proof/people/{person}"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/proof/people/{person}/file"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/proof/people/{person}/certificates/{key}/{station}"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/proof/observations/{observation}"): READS_INSTRUCTIONS,
    ("GET", "/at/{department}/department"): READS_DEPARTMENT,
    ("GET", "/at/{department}/department/changes"): READS_DEPARTMENT,
    ("GET", "/at/{department}/department/table"): READS_DEPARTMENT,
    ("GET", "/at/{department}/department/{family}/{place}"): READS_DEPARTMENT,
    ("GET", "/at/{department}/department/import"): CHANGES_DEPARTMENT,
    ("POST", "/at/{department}/department/import"): CHANGES_DEPARTMENT,
    ("GET", "/at/{department}/department/import/{table}"): CHANGES_DEPARTMENT,
    ("POST", "/at/{department}/department/import/{table}"): CHANGES_DEPARTMENT,
    ("GET", "/at/{department}/department/{family}/new"): CHANGES_DEPARTMENT,
    ("POST", "/at/{department}/department/{family}/new"): CHANGES_DEPARTMENT,
    ("POST", "/at/{department}/department/{family}/{place}"): CHANGES_DEPARTMENT,
    ("POST", "/at/{department}/department/{family}/{place}/strike"): CHANGES_DEPARTMENT,
}


def _filled(path: str, department: str) -> str:
    """An address with its department, and with ids that belong to nothing."""
    return re.sub(r"\{[^}]+\}", "unknown-1", path.replace("{department}", department))


def _ask(house: House, sign_in: str, method: str, address: str) -> httpx.Response:
    caller = house.caller(sign_in)
    if method == "GET":
        return caller.get(address)
    return caller.send(address) if address.startswith("/api/") else caller.post(address)


def _leaks(answer: httpx.Response, role: str = "") -> list[str]:
    """Names in a refusal that whoever is refused has no business to see; the administrator works in both."""
    strangers = ["Signe Holm", "sinus-forceps", "suction-punch", "bone-punch"]
    strangers += [] if role == "administrator" else ["Harbour Day Surgery"]
    return [name for name in strangers if name in answer.text]


def test_every_route_declares_its_right(house: House) -> None:
    """No route is reachable that asks for no right, save static files and the schema."""
    undeclared = [
        (method, route.path)
        for route in house.app.routes
        if isinstance(route, APIRoute)
        for method in route.methods or ()
        if (method, route.path) not in house.app.state.rights
    ]
    others = {route.path for route in house.app.routes if not isinstance(route, APIRoute)}  # type: ignore[attr-defined]
    assert undeclared == []
    assert others == {"/static", "/api/openapi.json"}
    assert any(isinstance(route, Mount) for route in house.app.routes)


def test_the_table_written_by_hand_is_the_one_in_force(house: House) -> None:
    """The declared rights give each role what was written down here, and nothing else."""
    table = rights_table()
    for key, roles in WRITTEN.items():
        right = house.app.state.rights[key]
        allowed = {role for role in policy().roles if right == SIGNED_IN or table[role][right]}
        assert allowed == roles, key


@pytest.mark.parametrize("role", ROLES)
def test_roles_reach_what_they_may_and_nothing_else(filled_house: House, role: str) -> None:
    """At home a role is refused exactly what its rights do not cover; elsewhere nothing is there."""
    table = rights_table()
    for (method, path), right in filled_house.app.state.rights.items():
        own = _ask(filled_house, role, method, _filled(path, VALLEY.id))
        if right in {ANYBODY, SIGNED_IN} or table[role][right]:
            assert own.status_code not in {401, 500}, (method, path)
            if "unknown-1" not in str(own.url):
                assert own.status_code != 403, (method, path, own.text)
        else:
            assert own.status_code == 403, (method, path)
            assert _leaks(own, role) == []
        if "{department}" in path and role != "administrator":
            other = _ask(filled_house, role, method, _filled(path, HARBOUR.id))
            assert other.status_code == 404, (method, path)
            assert _leaks(other, role) == []


def test_whoever_is_not_signed_in_is_led_there(filled_house: House) -> None:
    """Signed out, pages lead to the sign-in, everything else is 401, and nothing is told."""
    for (method, path), right in filled_house.app.state.rights.items():
        answer = _ask(filled_house, "", method, _filled(path, VALLEY.id))
        if right == ANYBODY:
            assert answer.status_code not in {401, 403, 500} or method == "POST", (method, path)
        elif method == "GET" and not path.startswith("/api/"):
            assert answer.status_code == 303, (method, path)
            assert answer.headers["location"].startswith("/sign-in?")
        else:
            assert answer.status_code == 401, (method, path)
        assert right == ANYBODY or _leaks(answer) == []


def test_an_unknown_department_looks_like_another_one(house: House) -> None:
    """Whether a department exists is not told to whoever has no role in it."""
    caller = house.caller("lead")
    known, unknown = caller.get("/at/harbour/today"), caller.get("/at/nowhere/today")
    assert known.status_code == unknown.status_code == 404
    assert re.sub(r"harbour|[0-9a-f]{16}", "", known.text) == re.sub(
        r"nowhere|[0-9a-f]{16}", "", unknown.text
    )


def test_a_shared_tablet_withholds_what_the_policy_says(house: House) -> None:
    """On a shared tablet even an administrator does not reach People."""
    assert house.caller("administrator").get("/at/valley/people").status_code == 200
    assert house.caller("administrator", shared_tablet=True).get("/at/valley/people").status_code == 403


@pytest.fixture(scope="module")
def filled_house(filled: object) -> House:
    """A house that this module may change."""
    from support.memory_archive import MemoryArchive

    assert isinstance(filled, MemoryArchive)
    return make_house(MemoryArchive(filled.tables))
