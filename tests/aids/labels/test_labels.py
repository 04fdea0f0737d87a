"""Labels: codes that a reader of another make reads when worn, words that fit, refusals that say why."""

from __future__ import annotations

import io
import random
import string
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pdfplumber
import pytest
import zxingcpp

from sinkside.aids.labels import (
    LabelRequest,
    LabelSize,
    LoadLabel,
    Numbered,
    SetLabel,
    labels_pdf,
)
from sinkside.aids.labels.elements import (
    Element,
    assembled,
    check_digit,
    dated,
    fnc1_form,
    in_brackets,
    read_brackets,
)
from sinkside.aids.labels.symbol import FEWEST_DOTS, QUIET, gs1_symbol
from sinkside.aids.papers.bilingual import Readers
from sinkside.errors import BadInput, NotForTheFloor
from sinkside.plain import Habits, figure_words
from sinkside.plain.reading_back import figures_read
from sinkside.plain.reviewing import templates_of
from sinkside.plain.voice import voice_of
from sinkside.quantities.figure import FigureValue
from support.pdf_words import IN_OTHER_LANGUAGES, ISOLATES, faults_of_place, text_of, without_gaps
from support.square_codes import aimed, pictures_of, read_square, worn

SET = SetLabel(
    "Sinus set 2", "Sable Bay Hospital, lower floor", 12, kg=3.4, cycle="Sterilizer 1, 134 °C, 3 min"
)
LOAD = LoadLabel("Sterilizer 1", "7", "Sable Bay Hospital, lower floor", sets=("Sinus set 2", "Hand set 3"))
OF_THE_SET = Numbered(read_brackets("(8004)9521234SINUS-0002(91)L0711"))
#: As much as a label's elements can hold.
LONGEST = Numbered(
    read_brackets(f"(01)09521234543213(17)261231(10){'a!B?' * 5}(21){'a!B?' * 5}(91){'a!B?c;' * 15}")
)
SIGNS = string.ascii_letters + string.digits + "-./+_"


def some_elements(draw: random.Random) -> tuple[Element, ...]:
    """A number as departments have them; prefix 952 is for examples in the GS1 system (from memory)."""

    def word(longest: int) -> str:
        return "".join(draw.choices(SIGNS, k=draw.randint(1, longest)))

    digits = "952" + "".join(draw.choices(string.digits, k=9))
    if draw.random() < 1 / 3:
        return assembled([Element("8004", f"9521234{word(20)}"), Element("91", word(10))])
    if draw.random() < 1 / 2:
        return assembled([Element("8003", f"0{digits}{check_digit(digits)}{word(12)}")])
    item = f"0{digits}"
    day = date(2026, 11, 30) + timedelta(days=draw.randint(0, 900))
    given = [Element("01", f"{item}{check_digit(item)}"), Element("17", dated(day)), Element("21", word(12))]
    return assembled([*given, Element("10", word(12))])


def test_a_hundred_of_a_hundred_codes_are_read_from_worn_labels() -> None:
    """At 300 dots an inch, blurred and turned by any angle, libdmtx reads every code, separators too."""
    draw = random.Random(20261130)  # noqa: S311 # nothing here is secret
    unread = []
    for number in range(100):
        elements = some_elements(draw)
        size = list(LabelSize)[number % 3]
        (picture,) = pictures_of(labels_pdf(LabelRequest(SET, Numbered(elements), size)))
        spoilt = worn(aimed(picture), turn=draw.uniform(-180, 180), blur=draw.uniform(0.5, 1.5))
        if read_square(spoilt) != fnc1_form(elements):
            unread.append((in_brackets(elements), size))
    assert unread == []


def test_what_people_read_is_what_scanners_read() -> None:
    """The line in brackets on the label is what another reader tells of the code."""
    pdf = labels_pdf(LabelRequest(SET, OF_THE_SET))
    (picture,) = pictures_of(pdf)
    (code,) = zxingcpp.read_barcodes(picture)
    assert code.content_type == zxingcpp.ContentType.GS1
    assert code.text == in_brackets(OF_THE_SET.elements)
    assert without_gaps(code.text) in without_gaps(text_of(pdf))


def test_an_own_number_is_no_gs1_code() -> None:
    """What has no GS1 key says so to scanners: the code is plain, and reads as the number alone."""
    (picture,) = pictures_of(labels_pdf(LabelRequest(LOAD, Numbered(own="ST1-20261130-7"))))
    (code,) = zxingcpp.read_barcodes(picture)
    assert code.content_type == zxingcpp.ContentType.Text
    assert code.text == read_square(picture) == "ST1-20261130-7"


@pytest.mark.parametrize("size", LabelSize)
def test_modules_are_three_dots_wide_or_more(size: LabelSize) -> None:
    """The solid left edge of the printed code has three dots or more for each of its modules."""
    (picture,) = pictures_of(labels_pdf(LabelRequest(SET, OF_THE_SET, size)))
    (code,) = zxingcpp.read_barcodes(picture)
    dark = np.array(picture) < 128
    left = code.position.top_left.x
    height = max(longest_run(dark[:, column]) for column in range(left - 3, left + 6))
    modules = gs1_symbol(OF_THE_SET.elements).modules - 2 * QUIET
    assert height / modules >= FEWEST_DOTS - 1 / modules


@pytest.mark.parametrize("size", LabelSize)
@pytest.mark.parametrize("label", [SET, LOAD, replace(SET, name="Paediatric set with long forceps")])
def test_nothing_runs_off_a_label_or_over_other_words(size: LabelSize, label: SetLabel | LoadLabel) -> None:
    """Every word lies on the label, and no two words lie on each other."""
    pdf = labels_pdf(LabelRequest(label, OF_THE_SET, size))
    assert faults_of_place(pdf) == []
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        (page,) = document.pages
        assert (round(page.width / 72 * 25.4), round(page.height / 72 * 25.4)) == size.mm


def test_the_label_says_what_it_is_and_what_it_is_not() -> None:
    """Name, contents, cycle and the sentence that no label releases a load stand on it."""
    told = without_gaps(text_of(labels_pdf(LabelRequest(SET, OF_THE_SET))))
    for words in ("Sinus set 2", "12 pieces, 3.4 kg", "134 °C, 3 min", "releases nothing"):
        assert without_gaps(words) in told


def test_the_same_request_gives_the_same_bytes() -> None:
    """Printing twice gives one file, so that a label can be told from a changed one."""
    request = LabelRequest(SET, OF_THE_SET, copies=3)
    assert labels_pdf(request) == labels_pdf(request)
    assert len(pictures_of(labels_pdf(request))) == 3


@pytest.mark.parametrize(
    ("label", "number", "why"),
    [
        (replace(SET, name="A very long name " * 12), OF_THE_SET, "do not fit a label of 50x30 mm"),
        (replace(SET, name="Set 鉗子"), OF_THE_SET, "no sign for '子'"),
        (
            SET,
            LONGEST,
            "needs more room than 13 mm",
        ),
    ],
)
def test_a_label_that_cannot_be_read_is_refused(label: SetLabel, number: Numbered, why: str) -> None:
    """Words that do not fit, signs without a glyph and codes too fine are refused with what to do."""
    with pytest.raises((BadInput, NotForTheFloor), match=why):
        labels_pdf(LabelRequest(label, number, LabelSize.small))


@pytest.mark.parametrize(
    ("elements", "own", "copies", "why"),
    [
        ((), "", 1, "has one number"),
        (OF_THE_SET.elements, "7", 1, "has one number"),
        (OF_THE_SET.elements, "", 0, "expected 1 to"),
        ((), "Tür 7", 1, "no own number"),
    ],
)
def test_a_label_needs_one_number(elements: tuple[Element, ...], own: str, copies: int, why: str) -> None:
    """None, two at once, a sign that scanners type differently, or no copy at all is refused."""
    with pytest.raises(BadInput, match=why):
        labels_pdf(LabelRequest(SET, Numbered(elements, own), copies=copies))


@pytest.mark.parametrize("language", IN_OTHER_LANGUAGES)
def test_labels_speak_every_language_and_fit_every_size(language: str) -> None:
    """On each size all words fit apart, English beside; mass and pieces are read back as they were."""
    readers = Readers((language,), proof=True)
    for size in LabelSize:
        pdf = labels_pdf(LabelRequest(SET, OF_THE_SET, size, readers=readers))
        assert faults_of_place(pdf) == []
        told = without_gaps(text_of(pdf)).translate(ISOLATES)
        assert "Contents" in told
        kilograms = FigureValue(quantity="mass", value=3.4, unit="kg")
        said = figure_words(kilograms, voice_of(Habits(language=language)))
        assert [(one.low, one.unit) for one in figures_read(said, language)] == [(3.4, "kg")]
        assert without_gaps(said).translate(ISOLATES) in told
        assert "12" in told


def test_labels_in_words_that_nobody_reviewed_are_refused() -> None:
    """A label for a pack is refused until its templates were reviewed; a proof says that it is none."""
    with pytest.raises(NotForTheFloor, match="not reviewed in German"):
        labels_pdf(LabelRequest(SET, OF_THE_SET, readers=Readers(("de",))))
    proof = labels_pdf(LabelRequest(LOAD, OF_THE_SET, readers=Readers(("de",), proof=True)))
    assert without_gaps("NICHT FÜR DEN BETRIEB · Worte nicht geprüft") in without_gaps(text_of(proof))
    reviewed = frozenset(template.digest for template in templates_of("de"))
    fit = text_of(labels_pdf(LabelRequest(LOAD, OF_THE_SET, readers=Readers(("de",), reviewed=reviewed))))
    assert "NICHT" not in fit


def longest_run(column: np.ndarray) -> int:
    best = run = 0
    for is_dark in column:
        run = run + 1 if is_dark else 0
        best = max(best, run)
    return best
