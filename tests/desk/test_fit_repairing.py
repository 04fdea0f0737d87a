"""'We have this now': a repair counts once it is there and vouched for, and then the cell turns."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from sinkside.department import Brush, Department
from sinkside.desk import departments
from sinkside.desk.fit_answers import kept_answers
from sinkside.desk.fit_fields import fields_of
from sinkside.desk.fit_job import WorkOutFits, ask_to_work_out
from sinkside.desk.fit_one import OpenFit, change_id, open_fit
from sinkside.desk.fit_repairing import Said, make_repair, repairs_made
from sinkside.desk.jobs import FIT_JOB, work_once
from sinkside.draft import draft_text
from sinkside.errors import BadInput, Conflict, NotAllowed, NotThere
from sinkside.instruction import Instruction
from sinkside.records import Grant, Wanted
from sinkside.route import FitWord
from support.desk_house import ELSEWHERE, SITE, House, drafted, new_house
from support.fitting import a_site, a_text, brushed
from support.routing import a_department, a_program, a_sterilizer, named_cycle

#: Scene 2: the text asks 132 °C / 4 min and 30 min drying; the site has each of them, never together.
ASKED = a_text("Scene", named_cycle(132, 4, 30))
SITE_HAS = a_department(
    a_sterilizer(a_program("132 °C", "4 min", "20 min"), a_program("134 °C", "3 min", "30 min"))
)


def _house(text: Instruction, department: Department) -> tuple[House, str]:
    house = new_house()
    house.add("tess", "technician")
    departments.keep_department(house.archive, house.visitor("ada"), department, now=house.now)
    return house, drafted(house, "ada", text)


def _open(house: House, instruction: str) -> OpenFit:
    return open_fit(house.archive, house.visitor("ada"), instruction, now=house.now)


def _said(house: House, shown: OpenFit, **changed: Any) -> Said:
    """What is said of the first change that is proposed: as it was proposed, unless told."""
    edit = shown.route.smallest_repair[0].edit
    assert edit is not None
    fields = {one.name: one.value for one in fields_of(edit)}
    known: dict[str, Any] = {
        "base": shown.kept.number,
        "in_place": True,
        "on": house.now.date(),
        "reference": "V-2026-113",
        "person": house.people["ada"],
        "fields": {**fields, **changed.pop("fields", {})},
    }
    return Said(**(known | changed))


def _make(house: House, instruction: str, *, by: str = "ada", **changed: Any) -> int:
    shown = _open(house, instruction)
    change = change_id(shown.route.smallest_repair[0])
    said = _said(house, shown, **changed)
    return make_repair(house.archive, house.visitor(by), instruction, change, said, now=house.now)


def test_scene_2_proposes_the_drying_and_never_the_other_cycle() -> None:
    """132/4 with drying 30 is refused; the smallest change validates 30 min drying on 132/4, never 134/3."""
    house, instruction = _house(ASKED, SITE_HAS)
    shown = _open(house, instruction)
    assert shown.word is FitWord.no_route
    (change,) = shown.route.smallest_repair
    assert change.sentence.startswith("Validate 30")
    assert "132" in change.sentence
    assert all("134" not in one.sentence for one in shown.route.changes)


def test_once_it_is_validated_the_cell_turns_and_what_was_before_stays_known() -> None:
    """The program is kept with who said so and on whose word; the cell fits, and says what changed since."""
    house, instruction = _house(ASKED, SITE_HAS)
    number = _make(house, instruction)
    shown = _open(house, instruction)
    assert shown.word is FitWord.fits
    programs = [program.name for program in shown.department.machines[0].programs]
    assert len(programs) == len(SITE_HAS.machines[0].programs) + 1
    with house.archive.unit(writes=False) as unit:
        words = repairs_made(unit, SITE.id)[number]
        (event,) = unit.journal.events(SITE.id, Wanted(kinds=["repair-made"]))
        kept = kept_answers(unit, SITE.id, SITE.id)[instruction]
    assert (words.person, words.reference, words.by) == (
        house.people["ada"],
        "V-2026-113",
        house.people["ada"],
    )
    assert event.data["revision"] == number == shown.kept.number
    assert kept.fit.word is FitWord.fits


def test_the_answer_before_and_what_changed_since_are_told() -> None:
    """The turned cell tells the refusal that was kept, when it was given, and the revision since."""
    house, instruction = _house(ASKED, SITE_HAS)
    ask_to_work_out(house.archive, house.visitor("ada"), now=house.now)
    work_once(house.archive, {FIT_JOB: WorkOutFits()}, worker="w", clock=lambda: house.now)
    refused_at = house.now
    house.later(days=1)
    number = _make(house, instruction)
    shown = _open(house, instruction)
    assert shown.earlier is not None
    assert (shown.earlier.word, shown.earlier.at) == (FitWord.no_route, refused_at)
    assert [one.number for one in shown.departments_since] == [number]
    assert shown.departments_since[0].note.startswith("Validate 30")


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"in_place": False}, "a plan changes nothing"),
        ({"on": None}, "expected a day that has come"),
        ({"person": "", "firm": " "}, "expected who validated it"),
        ({"reference": " "}, "expected the number of the report"),
        ({"fields": {"name": ""}}, "name: missing"),
    ],
)
def test_a_plan_and_what_nobody_vouches_for_changes_nothing(changed: dict[str, Any], sentence: str) -> None:
    """Ordered, dated tomorrow, without validator, report or name: one sentence each, and no new revision."""
    house, instruction = _house(ASKED, SITE_HAS)
    if changed.get("on", "") is None:
        changed = {"on": house.now.date() + timedelta(days=1)}
    with pytest.raises(BadInput, match=sentence):
        _make(house, instruction, **changed)
    assert _open(house, instruction).kept.number == 1


def test_a_brush_counts_as_it_really_is() -> None:
    """A brush that came in another size is refused with a sentence; the one asked for turns the cell."""
    house, instruction = _house(a_text("Brushed", brushed(3)), a_site())
    with pytest.raises(BadInput, match="still cannot be done"):
        _make(house, instruction, fields={"diameter": "8 mm"})
    with pytest.raises(BadInput, match="cannot be given in mm"):
        _make(house, instruction, fields={"diameter": "3 min"})
    _make(house, instruction, fields={"diameter": "3", "name": "Thin brush"}, person="", reference="")
    shown = _open(house, instruction)
    assert shown.word is FitWord.fits
    (brush,) = shown.department.brushes
    assert (brush.name, str(brush.diameter)) == ("Thin brush", "3 mm")


def test_somebody_elses_change_in_between_is_a_conflict() -> None:
    """Whoever had an older revision before them is told so, and nothing is written over."""
    house, instruction = _house(ASKED, SITE_HAS)
    more = SITE_HAS.model_copy(update={"brushes": (Brush(id="b", name="B"),)})
    departments.keep_department(house.archive, house.visitor("ada"), more, now=house.now)
    with pytest.raises(Conflict):
        _make(house, instruction, base=1)


def test_without_the_right_nothing_is_said() -> None:
    """A technician may see the refusal, and may not say that the department has what is missing."""
    house, instruction = _house(ASKED, SITE_HAS)
    with pytest.raises(NotAllowed):
        _make(house, instruction, by="tess")


def test_a_change_that_was_made_meanwhile_is_no_longer_there() -> None:
    """The link to a change that nothing asks for any more leads to a sentence."""
    house, instruction = _house(ASKED, SITE_HAS)
    with pytest.raises(NotThere, match="no longer asked for"):
        _open(house, instruction).change("0" * 16)


def test_what_the_text_most_likely_does_not_mean_is_not_made_true() -> None:
    """A dose of 5 mL in each mL is questioned by the review: nobody says that there is such a chemical."""
    text = draft_text(
        "Hot forceps\n\nCleaning\n1. Immerse it for 10 minutes in a neutral detergent solution of 5 mL/mL.\n"
    )
    house, instruction = _house(text, SITE_HAS)
    shown = _open(house, instruction)
    asked_for = [change for change in shown.route.changes if change.edit is not None]
    assert asked_for
    assert all(shown.asks_first(change) for change in asked_for)
    with pytest.raises(Conflict, match="ask the maker first"):
        shown.change(change_id(asked_for[0]))


def test_an_instruction_of_another_shelf_opens_only_for_who_may_read_there() -> None:
    """Held against South, a text of North opens for who reads in both, not for who reads in one."""
    house, instruction = _house(ASKED, SITE_HAS)
    with house.archive.unit() as unit:
        unit.sites.add(ELSEWHERE)
        for name in ("ada", "tess"):
            unit.people.grant(Grant(house.people[name], ELSEWHERE.id, "lead"))
    here = house.visitor("ada", ELSEWHERE.id)
    departments.keep_department(house.archive, here, a_site("15 min"), now=house.now)
    assert open_fit(house.archive, here, instruction, now=house.now).word is FitWord.no_route
    with house.archive.unit() as unit:
        unit.people.withdraw(house.people["tess"], SITE.id, "technician")
    there = house.visitor("tess", ELSEWHERE.id)
    with pytest.raises(NotThere):
        open_fit(house.archive, there, instruction, now=house.now)
