"""The bank of questions on the web: listed by kind, reworded, retired, added to; refused in a sentence."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

import pytest

from sinkside.desk import departments
from sinkside.teach.question import Choice, Question, QuestionKind
from sinkside.web.question_shown import asked_question, shown_question
from support.desk_house import new_house
from support.desk_visit import DeskVisit, app_over
from support.paper_house import SITE
from support.question_texts import demo_texts
from support.set_house import approved

SEE_OTHER = 303


@dataclass(frozen=True)
class Bank(DeskVisit):
    """The application over a house with an approved text, and the address of its questions."""

    address: str

    def page(self, address: str = "") -> Any:
        """The data of the list's page, or of another."""
        return self.json("eve", address or self.address)


@pytest.fixture(scope="module")
def bank() -> Bank:
    """A house of its own."""
    house = new_house()
    for name, role in (("eve", "educator"), ("uma", "educator"), ("lena", "lead"), ("tom", "technician")):
        house.add(name, role)
    departments.keep_department(house.archive, house.visitor("lena"), SITE, now=house.now)
    key = approved(house, demo_texts()["micro-scissors"])
    return Bank(house, app_over(house), f"/at/north/questions/{key}")


def test_questions_are_listed_by_kind_and_every_id_stands_once(bank: Bank) -> None:
    """Each kind has its list with drawings, no id stands twice on a page, and what is right is marked."""
    page = bank.page()
    assert page["asked"] == sum(kind["count"] for kind in page["kinds"]) >= 30
    assert len(page["kinds"]) >= 6
    for kind in page["kinds"]:
        html = bank.caller("eve").get(kind["address"]).text
        assert html.count("✓ Right") == kind["count"]
        ids = re.findall(r'\bid="([^"]+)"', html)
        assert len(set(ids)) == len(ids), kind["words"]
    assert bank.caller("tom").get(bank.address).status_code == 403


def test_an_edit_against_the_instruction_comes_back_with_a_sentence(bank: Bank) -> None:
    """A wrong answer that the text allows is refused beside the choices, and what was typed stays."""
    line = bank.page()["steps"][0]["lines"][0]
    one = bank.page(line["address"])
    texts = [choice["text"] for choice in one["choices"]]
    right = next(choice["text"] for choice in one["choices"] if choice["is_right"])
    wrong = next(place for place, choice in enumerate(one["choices"]) if not choice["is_right"])
    texts[wrong] = right
    form: dict[str, Any] = {"base": str(one["base"]), "prompt": "How much?"}
    form |= {f"choice_{place}": text for place, text in enumerate(texts)}
    refused = bank.caller("eve").post(f"{line['address']}/words", form)
    assert refused.status_code == 422
    assert "Two choices say the same" in refused.text
    assert "How much?" in refused.text
    done = bank.caller("eve").post(f"{line['address']}/words", {**form, f"choice_{wrong}": ""})
    assert done.status_code == SEE_OTHER, done.text
    after = bank.page(line["address"])
    assert after["question"]["prompt"] == "How much?"
    assert after["changed"] == "In our words"
    assert "As it was made from the text" in bank.caller("eve").get(line["address"]).text


def test_a_question_is_retired_brought_back_and_added_by_form(bank: Bank) -> None:
    """Retired it stands in a list of its own with who and why; an added one is asked at once."""
    eve, before = bank.caller("eve"), bank.page()
    line = bank.page(before["kinds"][1]["address"])["steps"][0]["lines"][0]
    done = eve.post(f"{line['address']}/retire", {"base": str(before["base"]), "reason": "Too easy"})
    assert done.status_code == SEE_OTHER, done.text
    assert bank.page()["asked"] == before["asked"] - 1
    assert "Too easy" in eve.get(line["address"]).text
    retired = bank.page(f"{bank.address}?kind=retired")
    assert [one["address"] for step in retired["steps"] for one in step["lines"]] == [line["address"]]
    back = eve.post(f"{line['address']}/bring-back", {"base": str(retired["base"])})
    assert back.status_code == SEE_OTHER, back.text
    new = {
        "base": str(bank.page()["base"]),
        "kind": "trouble",
        "step": "s23",
        "prompt": "The pack is still warm. What then?",
        "answer": "Wait",
        "wrong": "Put it on the shelf\nOpen it",
    }
    added = eve.post(f"{bank.address}/add", new)
    assert added.status_code == SEE_OTHER, added.text
    assert bank.page()["asked"] == before["asked"] + 1
    assert bank.page(added.headers["location"])["changed"] == "Our own"
    assert "added a question to" in bank.caller("ada").get("/at/north/record").text


def test_what_is_right_is_not_told_before_the_answer() -> None:
    """A question to be answered carries neither which choice is right nor why, in whatever order."""
    choices = (Choice(text="4 min", why="so"), Choice(text="3 min", why="no"), Choice(text="2 min"))
    question = Question(
        id="0" * 16, kind=QuestionKind.figure, step="s1", stage="cleaning", station="sink", prompt="How?",
        choices=choices, right=0, why="The text: 4 min",
    )  # fmt: skip
    asked = asked_question(question, order=[2, 0, 1])
    assert [(one.value, one.text) for one in asked.choices] == [(2, "2 min"), (0, "4 min"), (1, "3 min")]
    told = repr(asked)
    assert "right" not in told
    assert "The text" not in told
    assert [one.is_right for one in shown_question(question, order=[2, 0, 1]).choices] == [False, True, False]
