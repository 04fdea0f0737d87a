"""My learning on the web: a question at a time, right or not and why, one's own memory, the team's."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Any

import pytest

from sinkside.desk import question_bank, question_quality
from sinkside.records import Answer, KeptMemory
from sinkside.teach.question import Question
from support.desk_visit import DeskVisit, app_over
from support.paper_house import a_paper_house

HOME = "/at/north/learning"


@dataclass(frozen=True)
class Learning(DeskVisit):
    """A house with one approved hook, its application, and the hook's questions."""

    hook: str
    bank: tuple[Question, ...]


@pytest.fixture(scope="module")
def made() -> Learning:
    """The house, made once."""
    house, hook = a_paper_house()
    with house.archive.unit(writes=False) as unit:
        bank = question_bank.bank_of(unit, house.visitor("eve"), hook)
    return Learning(house, app_over(house, demo=True), hook, bank)


@pytest.fixture
def learning(made: Learning) -> Learning:
    """The house on a day of its own, with nothing answered."""
    tables = made.house.archive.tables  # type: ignore[attr-defined]
    tables.answers.clear()
    tables.memories.clear()
    return made


def _choice(learning: Learning, question: str, *, right: bool = True) -> int:
    known = next(one for one in learning.bank if one.id == question)
    return known.right if right else (known.right + 1) % len(known.choices)


def test_a_question_is_asked_answered_and_explained(learning: Learning) -> None:
    """The page does not tell which is right; the answer's page does, with why, step, and when again."""
    caller = learning.caller("tom")
    page = learning.json("tom", HOME)
    asked = page["question"]
    assert (asked["place"], asked["of"], asked["device"]) == (1, 2, "Quarl 3 hook")
    assert not {"right", "why"} & asked["asked"].keys()
    assert {"value", "text", "drawing"} == set(asked["asked"]["choices"][0])
    html = caller.get(HOME).text
    assert html.count('type="radio"') == len(asked["asked"]["choices"])
    assert "2 questions for you today." in caller.get("/at/north/today").text
    form = {
        "device": asked["instruction"],
        "question": asked["asked"]["id"],
        "choice": str(_choice(learning, asked["asked"]["id"], right=False)),
    }
    sent = caller.post(HOME, form)
    assert sent.status_code == 303
    shown = caller.get(sent.headers["location"]).text
    assert "Not right" in shown
    assert "✗ Your answer" in shown
    assert "✓ Right" in shown
    assert "it comes again on 2026-03-03" in shown
    assert re.search(r'href="/at/north/instructions/[^"]+#step-s\d', shown)
    assert "Next question" in shown
    assert (
        caller.post(HOME, {**form, "choice": str(_choice(learning, asked["asked"]["id"]))}).status_code == 303
    )
    assert learning.json("tom", sent.headers["location"])["is_right"] is False


def test_a_day_ends_and_the_memory_is_ones_own(learning: Learning) -> None:
    """After two answers the day is done; one's own list has both; another's page has neither."""
    caller = learning.caller("tom")
    kept = ""
    for right in (True, False):
        asked = learning.json("tom", HOME)["question"]
        choice = _choice(learning, asked["asked"]["id"], right=right)
        form = {"device": asked["instruction"], "question": asked["asked"]["id"], "choice": choice}
        kept = caller.send(f"/api{HOME}", form).json()["go"]
    assert learning.json("tom", HOME)["question"] is None
    assert "That is all for today: 2 answers." in caller.get(HOME).text
    memory = learning.json("tom", f"{HOME}/memory")
    assert (len(memory["fading"]), len(memory["fresh"])) == (0, 2)
    assert {line["likely"] for line in memory["fresh"]} == {"more than 9 in 10"}
    assert learning.json("eve", f"{HOME}/memory")["fresh"] == []
    assert learning.caller("eve").get(kept).status_code == 404
    assert "Nothing was asked yet." in learning.caller("eve").get(f"{HOME}/memory").text
    assert learning.caller("olga").get(HOME).status_code == 403


def test_what_no_choice_was_made_of_is_refused_on_the_page(learning: Learning) -> None:
    """No choice, and one that the question has not, come back with the question and a sentence."""
    asked = learning.json("tom", HOME)["question"]
    form = {"device": asked["instruction"], "question": asked["asked"]["id"]}
    for more, expected in (({}, "missing"), ({"choice": "42"}, "choose one of the answers")):
        answer = learning.caller("tom").post(HOME, {**form, **more})
        assert answer.status_code == 422
        assert expected in answer.text.casefold()
        assert 'type="radio"' in answer.text
    assert learning.caller("tom").post(HOME, {**form, "question": "gone", "choice": "0"}).status_code == 404


def test_a_team_is_numbers_in_words(learning: Learning) -> None:
    """Six people, two of them fresh: said so, with what to do; steps lead to the text; nobody is named."""
    now, question = learning.house.now, learning.bank[0]
    assert "Too few people were asked" in learning.caller("tom").get(f"{HOME}/team").text
    with learning.house.archive.unit() as unit:
        for number in range(6):
            due = now + timedelta(days=number - 3, hours=-1)
            unit.memories.put(KeptMemory("north", f"p-{number}", question.id, learning.hook, due, {}))
    [line] = learning.json("tom", f"{HOME}/team")["lines"]
    assert line["fresh"] == "2 of 6 answers of 6 people are fresh"
    assert line["next"] == "Show it again at the next briefing."
    page = learning.caller("tom").get(line["address"]).text
    assert "2 of 6 answers are fresh" in page
    assert f"#step-{question.step}" in page
    assert "Tom" not in re.sub(r"(?s)<header.*?</header>", "", page)


def test_quality_has_figures_with_formulas_and_says_where_it_cannot(learning: Learning) -> None:
    """All of thirty wrong: weak, with its remedy; other questions have too few answers; 59 for 5 and 95 %."""
    address = f"/at/north/teaching/{learning.hook}/questions/quality"
    question, fewest = learning.bank[0], question_quality.policy().fewest
    answer = Answer(
        "a", "north", "p", learning.hook, 1, question.id, "day", 0, is_right=False, at=learning.house.now
    )
    with learning.house.archive.unit() as unit:
        for number in range(fewest):
            wrong = (question.right + 1) % len(question.choices)
            unit.answers.keep(replace(answer, id=f"a-{number}", person=f"p-{number}", choice=wrong))
    page = learning.json("eve", address)
    first = page["questions"][0]
    assert (first["id"], first["answered"], first["is_told"]) == (question.id, fewest, True)
    assert any(sentence.startswith("No more are right than by guessing") for sentence in first["weak"])
    assert first["figures"][0]["figure"] == "0 % (0 % to 12 %)"
    assert "Clopper and Pearson" in first["figures"][0]["formula"]
    assert page["agreement"] is None
    assert [one["observations"] for one in page["needed"]] == [59, 93, 124]
    html = learning.caller("eve").get(f"{address}?share=10&confidence=95").text
    assert "<b>29</b> with no failure" in html
    assert "Too few answers to say: 0 of the 30" in html
    assert learning.caller("eve").get(f"{address}?share=0").status_code == 422
    assert learning.caller("tom").get(address).status_code == 403
    assert learning.caller("eve").get("/at/north/teaching/i-none/questions/quality").status_code == 404


@pytest.mark.parametrize("path", ["", "/memory", "/team"])
def test_pages_are_read_alike_by_people_and_programs(learning: Learning, path: str) -> None:
    """Each page answers both, with one heading."""
    ask: Callable[[str], Any] = learning.caller("tom").get
    assert ask(f"{HOME}{path}").text.count("<h1") == 1
    assert ask(f"/api{HOME}{path}").json()["title"]
