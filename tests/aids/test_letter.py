"""The letter to the maker."""

from __future__ import annotations

import re
import tomllib
from importlib import resources

import pytest

from sinkside.aids.letter import LETTER_LANGUAGES, Letter, Letterhead, letter, letter_text
from sinkside.errors import BadInput
from sinkside.findings import Finding, Level, Measure, Place
from sinkside.instruction import Device, Instruction, MakerDocument
from sinkside.language import catalogue
from sinkside.review import RULES

HOT = Place(step="s9", page=2, line=41, text="Steam sterilization at 143 °C for 4 min.")
LIMIT = Place(page=3, line=5, text="Never exceed 135 °C.")

FINDINGS = (
    Finding(
        rule="reference-dangling",
        level=Level.note,
        message="The text refers to chapter 23, and there is none.",
        place=Place(page=1, line=7, text="See chapter 23."),
        evidence={"kind": "chapter", "number": "23"},
    ),
    Finding(
        rule="steam-temperature-not-recognised",
        level=Level.stop,
        message="The steam temperature 143 °C is not within 1 K of a recognised one; the nearest is 135 °C.",
        place=HOT,
        evidence={
            "temperature": Measure(value=143, unit="°C"),
            "tolerance": Measure(value=1, unit="K"),
            "nearest": Measure(value=135, unit="°C"),
            "saturation_pressure": Measure(value=3.934, unit="bar"),
            "probably_meant": "134 °C",
        },
    ),
    Finding(
        rule="hotter-than-own-limit",
        level=Level.stop,
        message="This step asks for 143 °C; the text itself sets 135 °C as the most.",
        place=HOT,
        more_places=(LIMIT,),
        evidence={"temperature": "143 °C", "limit": Measure(value=135, unit="°C")},
    ),
)
MADE_UP = Instruction(
    device=Device(
        name="Larkspur grasper",
        maker="Quillfen",
        document=MakerDocument(title="Care of graspers", revision="C"),
    )
)


def _letter(language: str = "en", findings: tuple[Finding, ...] = FINDINGS) -> Letter:
    head = Letterhead("2026-03-02", reply_to="CSSD, Fernmoor Hospital")
    return letter(MADE_UP, findings, head=head, language=language)


def test_one_numbered_question_a_finding_the_heaviest_first() -> None:
    """Questions count from 1 without a gap, and stops come before notes."""
    asked = _letter().questions
    assert [one.number for one in asked] == [1, 2, 3]
    assert [one.level for one in asked] == [Level.stop, Level.stop, Level.note]


def test_both_sides_of_a_contradiction_are_quoted() -> None:
    """The step and the limit that it breaks stand in the question word for word, each with its place."""
    [asked] = [one for one in _letter().questions if one.rule == "hotter-than-own-limit"]
    assert [(quote.page, quote.line, quote.text) for quote in asked.quotes] == [
        (2, 41, HOT.text),
        (3, 5, LIMIT.text),
    ]


@pytest.mark.parametrize(
    ("language", "pressure", "day"),
    [
        ("en", "3.93\u00a0bar", "March 2, 2026"),
        ("de", "3,93\u00a0bar", "2. März 2026"),
        ("fr", "3,93\u00a0bar", "2 mars 2026"),
        ("es", "3,93\u00a0bar", "2 de marzo de 2026"),
    ],
)
def test_numbers_and_dates_are_written_as_the_language_writes_them(
    language: str, pressure: str, day: str
) -> None:
    """Decimal signs and dates are those of CLDR (through Babel), whatever the language of the machine."""
    text = letter_text(_letter(language))
    assert pressure in text.replace("\n    ", " ")
    assert day in text


def test_what_was_probably_meant_is_asked_and_never_stated() -> None:
    """The likely reading stands in one sentence that says nobody uses it unconfirmed."""
    [asked] = [one for one in _letter().questions if one.probably_meant]
    assert asked.probably_meant == "134 °C"
    assert "134" not in " ".join([asked.matter, asked.request, *(one.value for one in asked.computed)])
    assert "Probably 134 °C was meant. We do not use it unless you confirm it." in letter_text(_letter())


@pytest.mark.parametrize("language", LETTER_LANGUAGES)
def test_every_question_has_a_place_for_the_answer(language: str) -> None:
    """Under each question there is room to write, and at the end room to sign and where to send it."""
    text = letter_text(_letter(language))
    assert text.count(catalogue(language).message("Your answer:").text) == len(FINDINGS)
    assert "CSSD, Fernmoor Hospital" in text
    assert catalogue(language).message("Signature").text in text


@pytest.mark.parametrize("language", [code for code in LETTER_LANGUAGES if code != "en"])
def test_an_unreviewed_translation_says_so_and_has_english_beside_it(language: str) -> None:
    """No person confirmed the translation: the letter says it first, and each sentence has its English."""
    asked, english = _letter(language), _letter()
    assert not asked.reviewed
    assert english.reviewed
    for theirs, ours in zip(asked.questions, english.questions, strict=True):
        assert theirs.reference_matter == ours.matter != theirs.matter
        assert theirs.reference_request == ours.request != theirs.request
    beside = letter_text(asked)
    assert catalogue(language).message(
        "This translation has not been reviewed by a person. The English text holds."
    ).text.split(".")[0] in beside.replace("\n", " ")
    assert beside.count("[en]") == 2 * len(FINDINGS)
    assert "[en]" not in letter_text(asked, reference=False)


def test_the_same_evidence_stands_in_every_language() -> None:
    """The numbers of each question are the same in all languages, once decimal signs are made equal."""
    found = {
        language: [
            sorted(re.findall(r"\d+(?:[.,]\d+)?", f"{one.matter} {one.computed}".replace(",", ".")))
            for one in _letter(language).questions
        ]
        for language in LETTER_LANGUAGES
    }
    assert all(numbers == found["en"] for numbers in found.values())


def test_a_rule_of_another_version_is_asked_in_the_words_it_had() -> None:
    """A finding whose rule nobody knows any more keeps its English sentence and is marked unreviewed."""
    old = FINDINGS[0].model_copy(update={"rule": "gone-since", "message": "Something was odd."})
    [asked] = _letter("de", (old,)).questions
    assert asked.matter == "Something was odd."
    assert not asked.reviewed


def test_what_could_not_be_judged_asks_for_what_was_wanting() -> None:
    """A rule that could not be judged asks for the statement it needed, and for nothing else."""
    unjudged = Finding(
        rule="brush-too-wide",
        level=Level.note,
        message="For want of the bore of the lumen this could not be judged: A brush is too wide.",
        evidence={"wanted": "the bore of the lumen", "title": "A brush is too wide."},
    )
    [asked] = _letter("en", (unjudged,)).questions
    assert asked.request == "Please tell us: the bore of the lumen."


def test_nothing_open_asks_nothing() -> None:
    """A letter without findings says that there is no question, and has no place to sign."""
    text = letter_text(_letter(findings=()))
    assert "no open questions" in text
    assert "Signature" not in text


def test_a_language_that_no_letter_is_written_in_is_refused() -> None:
    """The sentence names the languages that letters are written in."""
    with pytest.raises(BadInput, match="expected one of en, de, fr, es"):
        _letter("pl")


def _requests() -> list[str]:
    file = resources.files("sinkside.aids.letter").joinpath("requests.toml")
    table = tomllib.loads(file.read_text("utf-8"))
    return [table["other"], table["wanted"], *table["themes"].values(), *table["rules"].values()]


@pytest.mark.parametrize("language", [code for code in LETTER_LANGUAGES if code != "en"])
def test_every_request_is_translated(language: str) -> None:
    """What the maker is asked to say has its words in every language of letters."""
    known = catalogue(language).messages
    assert [request for request in _requests() if request not in known] == []


#: A rule may be younger than its translations: its sentence is then English, and marked as such.
TRANSLATED = 0.9


@pytest.mark.parametrize("language", [code for code in LETTER_LANGUAGES if code != "en"])
def test_what_rules_say_is_translated(language: str) -> None:
    """Nearly every rule's sentence has its words in every language of letters."""
    known = catalogue(language).messages
    messages = [rule.message for rule in RULES]
    assert sum(message in known for message in messages) / len(messages) >= TRANSLATED


def test_every_rule_with_a_request_of_its_own_exists() -> None:
    """No request waits for a rule that is gone."""
    file = resources.files("sinkside.aids.letter").joinpath("requests.toml")
    table = tomllib.loads(file.read_text("utf-8"))
    assert set(table["rules"]) <= {rule.id for rule in RULES}
    assert {rule.theme.value for rule in RULES} <= set(table["themes"])
