"""Count sheets: everything that is counted, where it belongs, and nothing that must not be there."""

from __future__ import annotations

import io
from dataclasses import replace

import pdfplumber
import pytest

from sinkside.aids.count_sheet import CountSheetRequest, SheetSize, TrayMap, count_sheet_pdf
from sinkside.aids.papers.bilingual import Readers
from sinkside.errors import BadInput, NotForTheFloor
from sinkside.findings import Finding, Level
from sinkside.instruction import PartUse
from sinkside.limits import profile
from sinkside.plain import LANGUAGES, Habits, figure_words
from sinkside.plain.reading_back import figures_read
from sinkside.plain.reviewing import templates_of
from sinkside.plain.voice import voice_of
from sinkside.quantities.figure import FigureValue
from sinkside.sets import contents_of, mass_of, read_set
from support.pdf_words import ISOLATES, faults_of_place, text_of, without_gaps
from support.set_house import a_device, a_part

TEXTS = {
    "punch": a_device(
        "Quarl 5 punch",
        a_part("shaft"),
        a_part("spring"),
        a_part("seal", PartUse.new_at_assembly),
        a_part("cap", PartUse.discard_after_use),
        a_part("sheath", PartUse.sterile_at_field),
        mass="200 g",
    ),
    "hook": a_device("Quarl 3 hook", mass="40 g"),
}


def a_request(*, more: int = 0, **changed: object) -> CountSheetRequest:
    """A set of a punch in parts and two hooks, with as many more members as wanted."""
    punch = {
        "instruction": "punch",
        "order": 2,
        "parts": [{"part": "shaft"}, {"part": "spring", "count": 2}, {"part": "seal"}],
        "apart": [{"of": "hook", "why": "the edge harms the tip"}],
    }
    hook = {
        "instruction": "hook",
        "count": 2,
        "order": 1,
        "lies": "left row, tips down",
        "mates": ["punch"],
        "substitutes": [
            {"instruction": "Quarl 4 hook", "allowed_by": "E. Brandt", "why": "until the second is back"}
        ],
    }
    others = [{"instruction": f"retractor with a long name {n}", "count": n % 4 + 1} for n in range(more)]
    document = read_set({"name": "Hand set", "members": [punch, hook, *others], "packaging_mass": "2 kg"})
    contents = contents_of(document, TEXTS)
    mass = mass_of(document, contents, TEXTS, profile("eu"))
    request = CountSheetRequest(document, contents, mass, "2026-11-30", department="Sable Bay, lower floor")
    return replace(request, **changed)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("more", "size"), [(0, SheetSize.a4), (12, SheetSize.letter), (40, SheetSize.letter)]
)
def test_every_line_is_on_the_paper_and_nothing_lies_on_anything(more: int, size: SheetSize) -> None:
    """From 2 members to 42, each name and count is found by a reader, within the page and apart."""
    request = a_request(more=more, size=size)
    pdf = count_sheet_pdf(request)
    told = without_gaps(text_of(pdf))
    assert [
        line.name or line.member
        for line in request.contents
        if without_gaps(line.name or line.member) not in told
    ] == []
    assert f"{request.document.counted}pieces" in told
    assert faults_of_place(pdf, margin=20) == []


@pytest.mark.parametrize(("size", "points"), [(SheetSize.a4, (595, 842)), (SheetSize.letter, (612, 792))])
def test_the_paper_has_its_size(size: SheetSize, points: tuple[int, int]) -> None:
    """A4 is 210 × 297 mm (ISO 216) and letter 8.5 × 11 in (ANSI/ASME Y14.1), both from memory."""
    with pdfplumber.open(io.BytesIO(count_sheet_pdf(a_request(size=size)))) as document:
        page = document.pages[0]
        assert (round(page.width), round(page.height)) == points


def test_the_three_kinds_of_single_use_stand_where_they_belong() -> None:
    """What is new at assembly is counted; what is discarded or opened at the field stands outside."""
    told = without_gaps(text_of(count_sheet_pdf(a_request())))
    listed, _, outside = told.partition(without_gaps("Never in this tray"))
    assert without_gaps("new at each assembly") in listed
    assert without_gaps("punch, cap: discarded where it was used") in outside
    assert without_gaps("punch, sheath: opened sterile at the field") in outside
    assert "cap" not in listed.replace("capture", "")
    assert without_gaps("6 pieces") in listed


def test_mates_substitutes_order_and_mass_are_told() -> None:
    """What belongs together, what may stand in by whose word, the order and all masses are read."""
    told = without_gaps(text_of(count_sheet_pdf(a_request())))
    for words in (
        "belongs with: punch",
        "may stand in: Quarl 4 hook (allowed by E. Brandt, until the second is back)",
        "not beside hook: the edge harms the tip",
        "order 1",
        "left row, tips down",
        "2.28 kg",
        "limit 10 kg",
        "tell theatre at once",
    ):
        assert without_gaps(words) in told


def test_what_a_device_lies_in_is_told_by_its_name() -> None:
    """The department's name of a tray stands on the sheet, not the id that files know it by."""
    document = read_set(
        {
            "name": "Hand set",
            "members": [{"instruction": "hook", "holder": "tray-mesh"}],
            "packaging_mass": "1 kg",
        }
    )
    contents = contents_of(document, TEXTS)
    mass = mass_of(document, contents, TEXTS, profile("eu"))
    names = {"tray-mesh": "Mesh tray 480"}
    told = without_gaps(
        text_of(count_sheet_pdf(CountSheetRequest(document, contents, mass, "2026-11-30", holders=names)))
    )
    assert without_gaps("in: Mesh tray 480") in told
    assert "tray-mesh" not in told


def test_the_sheet_stays_outside_unless_somebody_says_otherwise() -> None:
    """Outside by default; inside only with the sentence about paper and ink."""
    assert without_gaps("stays outside the pack") in without_gaps(text_of(count_sheet_pdf(a_request())))
    inside = without_gaps(text_of(count_sheet_pdf(a_request(inside=True))))
    assert without_gaps("has tested its paper and ink") in inside
    assert without_gaps("stays outside") not in inside


def test_the_map_of_the_tray_gives_the_list_its_letters() -> None:
    """With a map the lines carry its letters, and the drawing is described for whoever cannot see it."""
    drawing = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 100"><rect width="200" height="100"/></svg>'
    )
    letters = {("hook", ""): "Q", ("punch", "shaft"): "W"}
    pdf = count_sheet_pdf(a_request(tray_map=TrayMap(drawing, "The tray from above.", letters)))
    told = text_of(pdf)
    assert {"Q", "W", "–"} <= set(told.split())
    assert b"The tray from above." in pdf or "The tray from above.".encode("utf-16-be") in pdf


def test_the_same_set_gives_the_same_bytes_and_odd_signs_are_refused() -> None:
    """Printing twice gives one file; a sign without a glyph refuses the sheet by name."""
    assert count_sheet_pdf(a_request()) == count_sheet_pdf(a_request())
    with pytest.raises(NotForTheFloor, match="no sign for '鉗'"):
        count_sheet_pdf(a_request(department="鉗"))


@pytest.mark.parametrize(("count", "words"), [(1, "1 stop"), (3, "3 stops")])
def test_a_sheet_of_a_set_with_an_open_stop_is_refused_and_its_proof_marked(count: int, words: str) -> None:
    """Nobody takes it for a list that counts: none is printed, and a proof says on every page what it is."""
    stop = Finding(rule="set-mass-over", level=Level.stop, message="It weighs too much.")
    with pytest.raises(NotForTheFloor, match=f"{words} (is|are) open in the set.*weighs too much"):
        count_sheet_pdf(a_request(stops=(stop,) * count))
    pdf = count_sheet_pdf(a_request(more=40, stops=(stop,) * count, readers=Readers(proof=True)))
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        pages = [page.extract_text() for page in document.pages]
    assert f"{words} open" in pages[0]
    assert len(pages) > 1
    assert all("NOT FOR THE FLOOR" in page for page in pages)
    assert faults_of_place(pdf, margin=12) == []
    assert "NOT FOR THE FLOOR" not in text_of(count_sheet_pdf(a_request()))
    assert "NOT FOR THE FLOOR" in text_of(count_sheet_pdf(a_request(readers=Readers(proof=True))))


@pytest.mark.parametrize("language", [language for language in LANGUAGES if language != "en"])
def test_the_sheet_has_every_count_and_figure_in_every_language(language: str) -> None:
    """Each figure is read back out of the paper by the language's own signs, with its bound and its unit.

    Readers of a file see Arabic words in another order, so bounds are sought there by their words alone.
    """
    request = a_request(more=3, readers=Readers((language,), proof=True))
    pdf = count_sheet_pdf(request)
    assert faults_of_place(pdf, margin=20) == []
    told = without_gaps(text_of(pdf)).translate(ISOLATES)
    voice = voice_of(Habits(language=language))
    for figure in (
        FigureValue(quantity="mass", min=2.28, unit="kg"),
        FigureValue(quantity="mass", value=10, unit="kg"),
        FigureValue(quantity="mass", value=40, unit="g"),
    ):
        (read,) = figures_read(figure_words(figure, voice), language)
        assert (read.low, read.unit) == (figure.number(), figure.unit)
        said = without_gaps(figure_words(figure, voice)).translate(ISOLATES)
        assert (f"{figure.number():g}kg" if language == "ar" else said) in told or figure.unit == "g"
    for english in ("2.28 kg", "limit 10 kg", "40 g each", "belongs with: punch", "Before use"):
        assert without_gaps(english) in told
    names = [without_gaps(line.name or line.member) for line in request.contents]
    assert [name for name in names if name not in told] == []


def test_words_that_nobody_reviewed_stay_off_the_floor() -> None:
    """In another language the sheet is refused until its templates were reviewed; a proof is marked."""
    polish = Readers(("pl",))
    with pytest.raises(NotForTheFloor, match="templates are not reviewed in Polish"):
        count_sheet_pdf(a_request(readers=polish))
    assert "słowa niesprawdzone" in text_of(count_sheet_pdf(a_request(readers=replace(polish, proof=True))))
    reviewed = frozenset(template.digest for template in templates_of("pl"))
    assert "NIE DO" not in text_of(count_sheet_pdf(a_request(readers=replace(polish, reviewed=reviewed))))
    with pytest.raises(BadInput, match="no language 'ja'"):
        Readers(("ja",))
