"""What must not be taken for something else: marks of the maker's, parts, words that run the other way."""

from __future__ import annotations

import pytest

from sinkside.aids.papers import Kind, PaperRequest
from sinkside.aids.papers.card import station_card, theatre_card
from sinkside.aids.papers.makers_marks import marks_in
from sinkside.aids.papers.parts import parts_sheet
from sinkside.aids.papers.protection import protection
from sinkside.aids.papers.speaking import Speaker
from sinkside.instruction import Instruction
from sinkside.plain import LANGUAGES, Habits, Voice
from sinkside.plain.operations import shown_operations
from sinkside.plain.voice import left_to_right
from sinkside.route import Station

RETIRE = "Retire it earlier if it fails at (c), (t) or (w)."


def asked(text: Instruction, language: str = "en", **more: object) -> PaperRequest:
    request = {"instruction": text, "printed": "2026-11-30", "proof": True, "languages": (language,), **more}
    return PaperRequest(**request)  # type: ignore[arg-type] # by keyword


def marked(punch: Instruction, marks: str) -> Instruction:
    """The punch with a maker's mark at each of its first steps."""
    steps = [step.model_copy(update={"number": mark}) for step, mark in zip(punch.steps, marks, strict=False)]
    return punch.model_copy(update={"steps": (*steps, *punch.steps[len(steps) :])})


@pytest.mark.parametrize("language", LANGUAGES)
def test_our_letter_stands_beside_a_mark_of_the_makers(punch: Instruction, language: str) -> None:
    """In every language: ours where the step is known, both where two carry it, else that it is theirs."""
    text = marked(punch, "abccw")
    speaker = Speaker(asked(text, language))
    letters = [one.letter for one in shown_operations(None, text)]
    told = speaker.marks([RETIRE]).replace("\u2068", "").replace("\u2069", "")
    known, unknown, other = told.split("; ")
    assert "(c)" in known
    assert f"{letters[2]}, {letters[3]}" in known
    assert "(t)" in unknown
    assert not any(unknown.endswith(f" {letter}") for letter in letters)
    assert "(w)" in other
    assert letters[4] in other
    assert speaker.quote(RETIRE).count("(t)") == 2


def test_a_mark_that_is_used_twice_names_no_letter_of_ours(punch: Instruction) -> None:
    """Where numbering starts anew, nobody knows which step is meant, and the paper names none."""
    told = Speaker(asked(marked(punch, "abab"))).marks(["Repeat from step (b)."])
    assert told == "(b): the maker’s own mark"


@pytest.mark.parametrize(
    ("words", "marks"),
    [
        ("repeat from step 8", ("8",)),
        ("repeat steps 5 to 7 and 9.2", ("5", "7", "9.2")),
        ("ab Schritt (g) wiederholen", ("(g)",)),
        ("In this step a brush is used for 10 minutes.", ()),
        ("Wipe the part(s) at 60 °C.", ()),
        ("Lay it on plate (A).", ()),
    ],
)
def test_marks_are_read_and_figures_are_not(words: str, marks: tuple[str, ...]) -> None:
    """References are marks; articles, plurals, figures and letters of another case are none."""
    assert marks_in(words, ["s", "g"]) == marks


def test_never_stands_before_the_steps_of_every_card(punch: Instruction) -> None:
    """What is never done is read first."""
    card = asked(punch, kind=Kind.card, station=Station.sink)
    for content in (
        station_card(card, Speaker(card)),
        theatre_card(asked(punch, kind=Kind.theatre_card), Speaker(asked(punch))),
    ):
        order = [one["block"] for one in content["blocks"]]
        assert order.index("said") < order.index("rows")


def test_parts_have_numbers_where_steps_have_letters(punch: Instruction) -> None:
    """Numbers from 1, one a part, the same on the drawing and in the table."""
    request = asked(punch, kind=Kind.parts)
    content = parts_sheet(request, Speaker(request))
    key = content["blocks"][0]["key"]
    assert [one["number"] for one in key] == [str(number + 1) for number in range(len(key))]
    assert len({one["name"] for one in key}) == len(key)
    (table,) = (one for one in content["blocks"] if one["block"] == "table")
    numbered = {one["name"]: one["number"] for one in key}
    assert {row[1]: row[0] for row in table["rows"] if row[0]}.items() <= numbered.items()
    assert any(row[0] for row in table["rows"])


def test_eyes_are_covered_where_air_blows_towards_the_face() -> None:
    """Common practice, no source."""
    (bench,) = (one for one in protection().zones if one.station is Station.bench)
    assert {"gloves", "eye-protection"} <= set(bench.wears)


def test_quotation_marks_stay_with_words_that_run_the_other_way() -> None:
    """Marks lie within the isolate (Unicode Annex 9, 2.4, from memory), and ranges keep their order."""
    assert Voice(Habits(language="ar")).quote("Do not soak it.") == "\u2068“Do not soak it.”\u2069"
    assert left_to_right("5–10 min") == "\u20665–10\u2069 min"
