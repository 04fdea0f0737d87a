"""The letter to the maker about an instruction on the shelf."""

from __future__ import annotations

import pytest

from sinkside.desk import answering, instruction_papers, shelf
from sinkside.errors import BadInput, NotAllowed, NotThere
from support.desk_house import LETTER, House, drafted

HOT = "143\u00a0°C"


def _letter(house: House, by: str, instruction: str, language: str = "en") -> tuple[str, str]:
    name, data = instruction_papers.instruction_letter(
        house.archive, house.visitor(by), instruction, now=house.now, language=language
    )
    return name, data.decode().replace("\n    ", " ")


def test_the_letter_asks_about_what_stands_open(house: House) -> None:
    """Every open finding is asked about, with the day in the department's own zone."""
    known = drafted(house, "eve")
    name, text = _letter(house, "eve", known)
    assert name == "grasper-1-questions-en.txt"
    assert HOT in text
    still_open = [
        one
        for one in shelf.open_instruction(house.archive, house.visitor("eve"), known).findings
        if one.is_open
    ]
    assert text.count("Your answer:") == len(still_open) > 0


def test_what_is_answered_is_asked_no_more(house: House) -> None:
    """Once the maker's answer is attached, the next letter leaves the question out."""
    known = drafted(house, "eve")
    opened = shelf.open_instruction(house.archive, house.visitor("eve"), known)
    stops = [one.id for one in opened.open_stops]
    answering.attach_answer(
        house.archive, house.visitor("eve"), known, stops, upload=LETTER, words="134 °C", now=house.now
    )
    before = len(opened.findings)
    assert _letter(house, "eve", known)[1].count("Your answer:") == before - len(stops)


def test_a_question_to_the_maker_stays_in_the_next_letter(house: House) -> None:
    """Having asked settles nothing: until the answer is attached the letter asks again."""
    known = drafted(house, "eve")
    opened = shelf.open_instruction(house.archive, house.visitor("eve"), known)
    first = _letter(house, "eve", known)[1]
    answering.ask_maker(
        house.archive, house.visitor("eve"), known, [one.id for one in opened.findings], now=house.now
    )
    assert _letter(house, "eve", known)[1] == first


@pytest.mark.parametrize("reader", ["tom", "olga"])
def test_only_who_may_answer_findings_writes_to_the_maker(house: House, reader: str) -> None:
    """A technician and an auditor read findings; asking the maker is not theirs."""
    known = drafted(house, "eve")
    with pytest.raises(NotAllowed):
        _letter(house, reader, known)


def test_a_letter_about_nothing_is_refused(house: House) -> None:
    """No instruction, no letter; and no letter in a language that none is written in."""
    with pytest.raises(NotThere):
        _letter(house, "eve", "i-none")
    with pytest.raises(BadInput, match="expected one of en, de, fr, es"):
        _letter(house, "eve", drafted(house, "eve"), language="pl")
