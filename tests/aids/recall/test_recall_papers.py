"""The papers of a recall: what to fetch by place, whom to call in which order, letters by number."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sinkside.aids.papers import sheets
from sinkside.aids.papers.bilingual import Bilingual, Readers
from sinkside.aids.recall import CalledBack, OtherHouse, RecallPaper, RecallRequest, recall_pdf
from sinkside.aids.recall.content import sheets_of
from sinkside.errors import BadInput, NotForTheFloor
from support.pdf_words import IN_OTHER_LANGUAGES, faults_of_place, text_of, without_gaps

SETS = (
    CalledBack("Punch set", "P-1", "store, rack 2", "2026-03-01 14:10"),
    CalledBack("Suction set", "S-1", "store, rack 1", "2026-03-01 14:10"),
    CalledBack("Suction set", "S-2", "theatre", "2026-03-01 14:10", first=True),
    CalledBack("Suction set", "S-3", "sink", "2026-03-01 14:10", fetched=False, cases=("OP-1",)),
    CalledBack("Forceps set", "F-1", "sink", "2026-03-01 09:10", fetched=False, cases=("OP-1", "OP-2")),
)
OTHERS = (OtherHouse("Hillside Clinic", "Guide kit", "G-9"), OtherHouse("Hillside Clinic", "Drill", "D-1"))
RECALL = RecallRequest(
    paper=RecallPaper.pick_list,
    why="The indicator of the 12:50 load grew.",
    since="2026-03-01 06:40",
    until="2026-03-02 14:10",
    sets=SETS,
    others=OTHERS,
    total=5,
    cases=("OP-1", "OP-2"),
    department="Sterile services",
    printed="2026-03-02 14:20",
    live_url="http://127.0.0.1/at/north/recalls/n-1",
)


def _of(paper: RecallPaper) -> bytes:
    return recall_pdf(replace(RECALL, paper=paper))


def _in_order(text: str, *words: str) -> bool:
    told = without_gaps(text)
    places = [told.find(without_gaps(one)) for one in words]
    return -1 not in places and places == sorted(places)


def test_what_may_be_opened_next_stands_first_and_the_rest_by_place() -> None:
    """The set in theatre, then rack 1, then rack 2; what was used is not fetched."""
    told = text_of(_of(RecallPaper.pick_list))
    assert _in_order(told, "S-2", "S-1", "P-1")
    assert [code for code in ("S-3", "F-1") if code in told] == []


def test_calls_go_from_what_may_be_opened_to_the_cases() -> None:
    """Whoever may open one, other houses, infection prevention, then case by case, each with what to say."""
    sheet = sheets_of(replace(RECALL, paper=RecallPaper.calls), Bilingual(Readers()))[0]
    told = [(row[1]["said"]["text"], row[2]["said"]["text"]) for row in sheet["rows"]]
    assert [whom for whom, _ in told] == [
        "Whoever has it: theatre",
        "Hillside Clinic",
        "Hillside Clinic",
        "Infection prevention",
        "Theatre and the surgeon of case OP-1",
        "Theatre and the surgeon of case OP-2",
    ]
    assert told[0][1] == "Do not open Suction set, S-2. Set it apart; we fetch it."
    assert told[-1][1] == "In case OP-2 this was used, and we call it back: Forceps set, F-1. A letter comes."
    assert "Sets: 5; cases: 2." in told[3][1]


def test_each_case_and_each_house_has_a_letter_of_its_own() -> None:
    """Two cases, two letters, each with its own sets; one house, one letter with both things."""
    cases, others = _of(RecallPaper.cases), _of(RecallPaper.others)
    assert (sheets(cases), sheets(others)) == (2, 1)
    letters = sheets_of(replace(RECALL, paper=RecallPaper.cases), Bilingual(Readers()))
    listed = [[row[1]["text"] for row in letter["rows"]] for letter in letters]
    assert listed == [["S-3", "F-1"], ["F-1"]]
    assert [code for code in ("G-9", "D-1") if code not in text_of(others)] == []


def test_suspicion_of_prions_proposes_no_cycle() -> None:
    """Each paper of it says that nothing is processed before a named person has decided."""
    for paper in RecallPaper:
        told = text_of(recall_pdf(replace(RECALL, paper=paper, is_prion=True)))
        assert without_gaps("No cycle is proposed for it.") in without_gaps(told)


def test_a_letter_to_nobody_is_refused() -> None:
    """Where no other house has anything of it there is no letter."""
    with pytest.raises(BadInput, match="nobody to write to"):
        recall_pdf(replace(RECALL, paper=RecallPaper.others, others=()))


@pytest.mark.parametrize("language", ["en", *IN_OTHER_LANGUAGES])
def test_the_papers_speak_every_language_with_all_words_apart(language: str) -> None:
    """Nothing runs off or lies on another word, with English beside whatever is in another language."""
    readers = Readers((language,), proof=language != "en")
    for paper in RecallPaper:
        pdf = recall_pdf(replace(RECALL, paper=paper, readers=readers))
        assert faults_of_place(pdf, margin=20) == []
        assert without_gaps("Nothing of it is used or processed before") in without_gaps(text_of(pdf))


def test_papers_in_words_that_nobody_reviewed_are_refused() -> None:
    """In another language no paper goes to the floor before its templates were reviewed."""
    with pytest.raises(NotForTheFloor, match="not reviewed in French"):
        recall_pdf(replace(RECALL, readers=Readers(("fr",))))
