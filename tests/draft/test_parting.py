"""Documents in several languages: which is read, and what becomes of the others."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sinkside.draft import draft_text
from sinkside.draft.languages import languages_of, named_language
from sinkside.draft.lines import Line
from sinkside.draft.parting import part
from sinkside.errors import BadInput

STEPS = {
    "en": ("Cleaning", "Rinse the jaw with cold water for at least 2 minutes.", "Dry the jaw with a cloth."),
    "de": (
        "Reinigung",
        "Das Maul mindestens 2 Minuten mit kaltem Wasser abspülen.",
        "Das Maul mit einem Tuch trocknen.",
    ),
    "fr": (
        "Nettoyage",
        "Rincer les mors à l'eau froide pendant au moins 2 minutes.",
        "Sécher les mors avec un chiffon.",
    ),
    "es": (
        "Limpieza",
        "Enjuague las mordazas con agua fría durante al menos 2 minutos.",
        "Seque las mordazas con un paño.",
    ),
    "it": (
        "Pulizia",
        "Sciacquare le ganasce con acqua fredda per almeno 2 minuti.",
        "Asciugare le ganasce con un panno.",
    ),
}


def _after_another(*languages: str) -> str:
    return "\n\n".join("\n\n".join(STEPS[language]) for language in languages)


def _side_by_side(*languages: str) -> str:
    rows = zip(*(STEPS[language] for language in languages), strict=True)
    return "\n".join(
        ["| " + " | ".join(languages) + " |", "|---|---|", *("| " + " | ".join(row) + " |" for row in rows)]
    )


def _in_turns(*languages: str) -> str:
    return "\n\n".join("\n\n".join(STEPS[language][place] for language in languages) for place in range(3))


def _line_by_line(*languages: str) -> str:
    return "\n".join(STEPS[language][place] for place in range(3) for language in languages)


@pytest.mark.parametrize("language", ["en", "de", "fr", "es"])
def test_a_document_in_one_language_is_read_in_its_own(language: str) -> None:
    """Nobody has to say that a German text is German."""
    drafted = draft_text(_after_another(language))
    assert drafted.device.document.language == language
    assert [step.action.value for step in drafted.steps] == ["rinse", "dry"]
    assert drafted.translations == ()


@pytest.mark.parametrize("layout", [_after_another, _side_by_side, _in_turns])
@pytest.mark.parametrize("languages", [("en", "de"), ("de", "en"), ("fr", "en"), ("en", "es"), ("de", "fr")])
def test_the_asked_for_language_is_taken(layout: object, languages: tuple[str, str]) -> None:
    """One after another, side by side or in turns: each step comes once, in the language asked for."""
    assert callable(layout)
    for language in languages:
        drafted = draft_text(layout(*languages), language=language)
        assert [step.origin.text for step in drafted.steps] == list(STEPS[language][1:])
        assert [one.language for one in drafted.translations] == [x for x in languages if x != language]


@pytest.mark.parametrize("layout", [_after_another, _side_by_side, _in_turns])
def test_english_is_taken_unless_told(layout: object) -> None:
    """English if it is there; else the language with the most words."""
    assert callable(layout)
    assert draft_text(layout("de", "en")).device.document.language == "en"
    assert draft_text(layout("de", "fr")).device.document.language in {"de", "fr"}


def test_figures_of_the_other_language_are_kept_beside_its_words() -> None:
    """Nothing is dropped: the other language's figures stand beside the words that they translate, once."""
    [translation] = draft_text(_side_by_side("en", "de")).translations
    [passage] = [one for one in translation.passages if one.figures]
    assert [figure.as_written for figure in passage.figures] == ["mindestens 2 Minuten"]
    assert passage.beside is not None
    assert passage.beside.text == STEPS["en"][1]


def test_a_language_without_a_lexicon_is_put_aside() -> None:
    """Italian beside English is not read as steps; its numbers are kept for a human."""
    drafted = draft_text(_after_another("en", "it"))
    assert len(drafted.steps) == 2
    assert [one.language for one in drafted.translations] == ["it"]
    assert [left.origin.text for left in drafted.translations[0].not_understood] == [STEPS["it"][1]]


TABLE = """| No. | Stage / Phase | English | Deutsch | Parameter |
|---|---|---|---|---|
| 1 | Cleaning / Reinigung | Soak it in the cleaner. | Ganz in den Reiniger einlegen. | 10 min, 0.5 % |
| 2 | Cleaning / Reinigung | Rinse it under the tap. | Unter dem Hahn mit Wasser abspülen. | 1 min, 30 °C |
| 3 | Drying / Trocknung | Dry it with compressed air. | Mit der Druckluft trocknen. | 30 s, 2 bar |
"""


@pytest.mark.parametrize(("language", "word"), [("en", "Cleaning"), ("de", "Reinigung")])
def test_rows_keep_the_columns_that_all_languages_share(language: str, word: str) -> None:
    """Numbers and parameters stay with the words that are read; shared cells give their half."""
    drafted = draft_text(TABLE, language=language)
    assert [step.stage.value for step in drafted.steps] == ["cleaning", "cleaning", "drying"]
    assert [len(step.figures) for step in drafted.steps] == [2, 2, 2]
    assert f"| 1 | {word} |" in drafted.steps[0].origin.text


def test_sentences_that_name_their_language_are_parted_by_it() -> None:
    """'EN:' and 'DE:' before a sentence say in which language it is, and are no part of it."""
    text = "\n".join(
        f"{language.upper()}: {STEPS[language][place]}" for place in (1, 2) for language in ("en", "de", "fr")
    )
    drafted = draft_text(text, language="de")
    assert [step.origin.text for step in drafted.steps] == list(STEPS["de"][1:])


@pytest.mark.parametrize("language", ["en", "de"])
def test_lines_in_turns_without_white_space_are_parted(language: str) -> None:
    """Each sentence in both languages, line upon line."""
    drafted = draft_text(_line_by_line("en", "de"), language=language)
    read = " ".join(step.origin.text for step in drafted.steps)
    other = "de" if language == "en" else "en"
    assert STEPS[language][1] in read
    assert not any(words in read for words in STEPS[other])


def test_three_languages_are_parted_too() -> None:
    """Each language of three is found, and read when asked for."""
    for layout in (_after_another, _in_turns):
        drafted = draft_text(layout("en", "de", "fr"), language="fr")
        assert [step.origin.text for step in drafted.steps] == list(STEPS["fr"][1:])


def test_a_language_that_is_not_there_is_refused() -> None:
    """The sentence says in which languages the document is."""
    with pytest.raises(BadInput, match="not in 'es'; it is in"):
        draft_text(_after_another("en", "de"), language="es")


@pytest.mark.parametrize(
    "text",
    [
        "Rinse the handle of the Luer-Lock at the Spülanschluss with water for 2 minutes and dry it.",
        "MADE BY: Werkstatt für Feinmechanik, Straße der Mühlen 7. Rinse it with water and dry it.",
    ],
)
def test_names_in_another_language_make_no_second_one(text: str) -> None:
    """An address or a part's name is a quotation, not a language of the document."""
    assert languages_of([text]) == ("en",)


def test_short_orders_under_a_foreign_address_are_in_their_own_language() -> None:
    """A card whose only small words stand in the maker's address is read by the words of its orders."""
    card = "\n".join(
        [
            "Firma Berta und Sohn, die Werkstatt an der Mühle mit der Linde, bei den Gärten",
            *["Rinse: cold, 2 min", "Brush jaw: 30 s", "Dry: 20 min", "Sterilize: steam, 134 °C, 5 min"],
            *["Cleaning: detergent, soak, 10 min", "Packaging: pouch, jaw open", "Storage: dry shelf"],
        ]
    )
    drafted = draft_text(card)
    assert drafted.device.document.language == "en"
    assert len(drafted.steps) >= 5


def test_words_that_languages_share_make_none() -> None:
    """'Water' is English, German and Dutch: a card full of it is in no second language."""
    card = ["Rinse the jaw with the tap.", *["Water: 20 mL", "Instrument: 1", "Over 40 °C: no"] * 20]
    assert languages_of(card) == ("en",)


@pytest.mark.parametrize(
    ("head", "language"),
    [("English", "en"), ("DE", "de"), ("Français", "fr"), ("Deutsch / German", "de"), ("Device", None)],
)
def test_heads_that_name_a_language(head: str, language: str | None) -> None:
    """The name of a language, in it or in another, and nothing else."""
    assert named_language(head) == language


SENTENCES = st.sampled_from(sorted(words for steps in STEPS.values() for words in steps))
ANYTHING = st.one_of(
    SENTENCES, st.text(max_size=30), st.sampled_from(["12 min", "| a | b |", "DE", "—", "| | |"])
)


@given(st.lists(st.tuples(ANYTHING, st.booleans()), max_size=25))
def test_no_line_is_lost_in_parting(texts: list[tuple[str, bool]]) -> None:
    """Whatever stands in a document, each line goes to a language, but for heads that only name one."""
    lines = tuple(Line(1, place, text, gap_before=gap) for place, (text, gap) in enumerate(texts, start=1))
    parted = part(lines)
    kept = {line.number for line in parted.lines}
    kept |= {line.number for _, others in parted.others for line in others}
    lost = [line for line in lines if line.number not in kept]
    assert all(named_language(line.text) or not any(map(str.isalnum, line.text)) for line in lost)
