"""Papers: each says every figure in every language, nothing lies on anything, what cannot be is refused."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from dataclasses import replace

import pdfplumber
import pypdfium2
import pytest
from fontTools.ttLib import TTFont

from sinkside.aids import fonts
from sinkside.aids.papers import NAMES, SIZES, Approval, Kind, PaperRequest, Size, paper_pdf
from sinkside.aids.papers.rows import RowMaker, split
from sinkside.aids.papers.speaking import Speaker
from sinkside.aids.prohibitions import plain_sentence
from sinkside.errors import BadInput, NotForTheFloor
from sinkside.instruction import Instruction, Step
from sinkside.plain import LANGUAGES, Habits, plain_step
from sinkside.plain.left_unsaid import left_unsaid
from sinkside.plain.operations import shown_operations
from sinkside.plain.reviewing import templates_of, unreviewed
from sinkside.quantities import Figure
from sinkside.route import Operation, Route, RoutedDevice, Station
from support.pdf_words import faults_of_place, text_of, without_gaps

LongRoute = Callable[[int, int], Route]
ON_A_SHEET = [kind for kind in Kind if kind is not Kind.poster]
FAMILIES = {"ar": "NotoSansArabic", "zh": "NotoSansCJKsc"}
ISOLATES = dict.fromkeys(map(ord, "\u2066\u2068\u2069"))


@pytest.fixture
def asked(punch: Instruction) -> PaperRequest:
    """An approved paper of the punch, whose route is its text as it stands."""
    operations = shown_operations(None, punch)
    device = RoutedDevice(
        name=punch.device.name, title="MB-3 processing", revision="2", digest="5f1c0de7a4b2"
    )
    route = Route(device=device, department="Sable Bay", resolved=True, operations=operations)
    return PaperRequest(
        instruction=punch,
        printed="2026-11-30",
        route=route,
        approval=Approval(by="A. Example", on="2026-11-20"),
    )


def operations_of(asked: PaperRequest) -> tuple[Operation, ...]:
    return shown_operations(asked.route, asked.instruction)


def of_kind(asked: PaperRequest, kind: Kind, **more: object) -> PaperRequest:
    station = Station.sink if kind is Kind.card else None
    return replace(asked, kind=kind, station=station, **more)  # type: ignore[arg-type] # by keyword


def plain_text(pdf: bytes) -> str:
    """Text in the order of the file without white space, because readers differ in where they see a gap."""
    document = pypdfium2.PdfDocument(pdf)
    text = "".join(page.get_textpage().get_text_range() for page in document)
    document.close()
    return without_gaps(text).translate(ISOLATES)


@pytest.mark.parametrize("language", ["en", "ar", "zh"])
def test_bound_stands_by_each_figure_of_a_machines_phase(asked: PaperRequest, language: str) -> None:
    """A figure of a phase keeps its bound: a sign from left to right, its word from right to left."""
    text = asked.instruction.model_copy(
        update={
            "steps": tuple(
                Step.model_validate({"id": one, "stage": "cleaning", "action": action, "figures": [five]})
                for one, action in (("p1", "wash"), ("p2", "rinse"))
                for five in [Figure(quantity="time", min=5, unit="min")]
            )
        }
    )
    operation = shown_operations(None, text)[0].model_copy(update={"steps": ("p1", "p2")})
    speaker = Speaker(replace(asked, instruction=text, languages=(language,)))
    (row,) = RowMaker(speaker).rows([operation])
    told = [f"{figure['number']} {figure['unit']}" for figure in row["phases"][0]["figures"]]
    assert len(told) == 1
    assert {"en": "≥", "ar": "على الأقل", "zh": "≥"}[language] in told[0]


@pytest.mark.parametrize("kind", list(Kind))
def test_nothing_lies_on_anything(asked: PaperRequest, kind: Kind) -> None:
    """Every word of every paper lies on its sheet and off every other word, on each of its sizes.

    Polish, with English beside and the loud band of a proof, takes the most room.
    """
    for size in SIZES[kind]:
        pdf = paper_pdf(of_kind(asked, kind, languages=("pl",), size=size, proof=True))
        assert faults_of_place(pdf, margin=12) == []


@pytest.mark.parametrize("language", list(LANGUAGES))
def test_figures_stand_on_the_papers_in_every_language(asked: PaperRequest, language: str) -> None:
    """Poster and cards hold each figure's number, unit and bound as the language writes them.

    The plain words' own tests hold these against the approved figures; here they are sought on the paper.
    Readers of a file see Arabic words in another order, so number and unit are sought apart there.
    """
    habits = Habits(language=language)
    in_language = replace(asked, languages=(language,), proof=True)
    card = plain_text(paper_pdf(replace(in_language, kind=Kind.card, station=Station.washer)))
    on_the_wall = plain_text(paper_pdf(in_language))
    for operation in operations_of(asked):
        for figure in plain_step(operation, asked.instruction, habits).figures:
            number, unit = split(figure, is_rtl=habits.direction == "rtl")
            told = re.findall(r"\d+", number) if language == "ar" else [without_gaps(number + unit)]
            assert operation.station is not Station.washer or [one for one in told if one not in card] == []
            assert [one for one in told if one not in on_the_wall] == []


def test_figures_of_other_units_have_the_makers_beside(asked: PaperRequest) -> None:
    """A department that reads °F finds the maker's own °C beside each."""
    units = asked.units.model_copy(update={"temperature": "°F"})
    text = plain_text(paper_pdf(replace(asked, units=units)))
    assert "273.2" in text or "273" in text
    assert "maker’sown:134°C" in text


@pytest.mark.parametrize("language", ["de", "ar", "zh"])
def test_the_reference_language_stands_beside(asked: PaperRequest, language: str) -> None:
    """Beside each headline in another language stands the English one."""
    text = plain_text(paper_pdf(of_kind(asked, Kind.card, languages=(language,), proof=True)))
    english = plain_text(paper_pdf(of_kind(asked, Kind.card)))
    for word in ("Take", "Soak", "Mix", "solution"):
        assert word in text
        assert word in english


def test_words_that_nobody_reviewed_stay_off_the_floor(asked: PaperRequest) -> None:
    """Without a review of its templates a Polish card is refused; reviewed it prints, and a proof says so."""
    card = of_kind(asked, Kind.card, languages=("pl",))
    with pytest.raises(NotForTheFloor, match="not reviewed in Polish"):
        paper_pdf(card)
    assert "słowaniesprawdzone" in plain_text(paper_pdf(replace(card, proof=True)))
    reviewed = frozenset(template.digest for template in templates_of("pl"))
    assert unreviewed(templates_of("pl"), ()) != ()
    assert "NIEDOUŻYTKU" not in plain_text(paper_pdf(replace(card, reviewed=reviewed)))


@pytest.mark.parametrize(("language", "package"), [("ar", "fonts-noto-core"), ("zh", "fonts-noto-cjk")])
def test_a_script_without_its_typeface_is_refused(
    asked: PaperRequest, language: str, package: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the typeface of a script is not installed, the paper says which package brings it."""
    missing = replace(fonts.SCRIPTS[language], folder="/nowhere")
    monkeypatch.setattr(fonts, "SCRIPTS", {language: missing})
    with pytest.raises(NotForTheFloor, match=f"install the package {package}"):
        paper_pdf(of_kind(asked, Kind.card, languages=(language,), proof=True))


def test_chinese_is_set_in_the_shapes_of_the_mainland(asked: PaperRequest) -> None:
    """The typeface that is embedded is the one that is looked through for missing signs; its file has ten."""
    script = fonts.SCRIPTS["zh"]
    for path in script.paths:
        with TTFont(path, fontNumber=script.number, lazy=True) as face:
            assert face["name"].getDebugName(1) == script.family
    assert fonts.missing_signs(["刷洗管腔\uff1a不超过 45 °C。", "\u0e01"], "zh") == ("\u0e01",)
    pdf = paper_pdf(of_kind(asked, Kind.card, languages=("zh",), proof=True))
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        letters = [letter for page in document.pages for letter in page.chars]
    ideographs = [letter for letter in letters if "\u4e00" <= letter["text"] <= "\u9fff"]
    assert len(ideographs) > 100
    assert all(FAMILIES["zh"] in letter["fontname"] for letter in ideographs)
    assert faults_of_place(pdf, margin=12) == []


def test_arabic_is_set_in_its_own_typeface_and_numbers_run_left_to_right(asked: PaperRequest) -> None:
    """The typeface is embedded; 55 to 60 °C reads with 55 on the left; no bound stands as a sign."""
    pdf = paper_pdf(of_kind(asked, Kind.poster, languages=("ar",), proof=True))
    with pdfplumber.open(io.BytesIO(pdf)) as document:
        letters = [letter for page in document.pages for letter in page.chars]
    assert any(FAMILIES["ar"] in letter["fontname"] for letter in letters)
    assert not any(letter["text"] in "≥≤" for letter in letters)
    large = [letter for letter in letters if letter["size"] >= 28]
    dash = next(letter for letter in large if letter["text"] == "–")
    line = [one for one in large if abs(one["top"] - dash["top"]) < 2 and abs(one["x0"] - dash["x0"]) < 60]
    ordered = "".join(one["text"] for one in sorted(line, key=lambda one: one["x0"]))
    assert "55–60" in ordered


def test_a_chinese_unit_is_not_broken(asked: PaperRequest) -> None:
    """Between any two characters a line may end there; "5 min" in words stays whole on many lines."""
    many = "、".join(f"{7 ** (count % 5)}\u00a0分钟" for count in range(60))
    steps = tuple(step.model_copy(update={"with_": many}) for step in asked.instruction.steps)
    told = asked.instruction.model_copy(update={"steps": steps})
    wanted = replace(of_kind(asked, Kind.card, languages=("zh",), proof=True), instruction=told)
    text = text_of(paper_pdf(wanted))
    assert text.count("分钟") > 50
    assert re.findall(r"分\s*\n|\d\s*\n\s*\d+ ?分", text) == []


@pytest.mark.parametrize("kind", [Kind.card, Kind.poster])
def test_both_ends_of_a_range_stand_on_one_line(asked: PaperRequest, kind: Kind) -> None:
    """Of many ranges that fill several lines none is broken at its dash, where it could be misread."""
    many = " ".join(f"{low}–{low + 5}{'%' * (low % 2)}" for low in range(10, 40))
    steps = tuple(step.model_copy(update={"with_": many}) for step in asked.instruction.steps)
    told = asked.instruction.model_copy(update={"steps": steps})
    text = text_of(paper_pdf(replace(of_kind(asked, kind), instruction=told)))
    assert text.count("–") > 30
    assert re.findall(r"\d–\s*\n|\n%", text) == []


@pytest.mark.parametrize("size", [8, 23, 60])
def test_cards_hold_routes_of_any_length(
    forceps: Instruction, long_route: LongRoute, size: int, asked: PaperRequest
) -> None:
    """From few to 60 operations each letter of the station stands on its card, off everything else."""
    route = long_route(size, size)
    here = [one for one in route.operations if one.station is Station.sink]
    assert here
    pdf = paper_pdf(
        replace(asked, instruction=forceps, route=route, kind=Kind.card, station=Station.sink, proof=True)
    )
    words = text_of(pdf).split()
    assert [one.letter for one in here if one.letter not in words] == []
    assert faults_of_place(pdf, margin=12) == []


def test_what_structure_has_no_place_for_stands_in_the_makers_words(asked: PaperRequest) -> None:
    """By hand, with a lid: a sentence of which words would be lost stands whole beside its step."""
    card = plain_text(paper_pdf(of_kind(asked, Kind.card)))
    here = [one for one in operations_of(asked) if one.station is Station.sink]
    said = [left_unsaid(one, asked.instruction) for one in here]
    sentences = {without_gaps(plain_sentence(one)).rstrip(".") for one in said if one}
    assert len(sentences) > 1
    assert [one for one in sentences if one not in card] == []


def test_parts_are_counted_and_drawn(asked: PaperRequest) -> None:
    """Each part has its row; single use says what becomes of it; the drawing's words say that it is apart."""
    pdf = paper_pdf(of_kind(asked, Kind.parts))
    text = plain_text(pdf)
    for said in ("baseshaft", "lockingscrew", "anewone", "thrownaway", "Whatmustbeherenow"):
        assert said in text
    assert text.count("☐") == 3 * 3


def test_parts_that_are_several_alike_have_a_box_each(asked: PaperRequest) -> None:
    """Two screws are two boxes each time they are counted, and so many more as one number to tick off."""
    device = asked.instruction.device
    boxes = plain_text(paper_pdf(of_kind(asked, Kind.parts))).count("☐")
    for count, more in ((2, 3), (7, 0)):
        parts = (device.parts[0].model_copy(update={"count": count}), *device.parts[1:])
        text = asked.instruction.model_copy(update={"device": device.model_copy(update={"parts": parts})})
        pdf = plain_text(paper_pdf(replace(of_kind(asked, Kind.parts), instruction=text)))
        assert f"{count}×{without_gaps(device.parts[0].name.removeprefix('the '))}" in pdf
        assert pdf.count("☐") == boxes + more
        assert pdf.count("☐×7") == (3 if count == 7 else 0)


def test_inspection_gives_the_pass_mark_or_says_that_there_is_none(asked: PaperRequest) -> None:
    """The pass mark is the text's own; what cracks or wears is not good enough; the life stands there."""
    text = plain_text(paper_pdf(of_kind(asked, Kind.inspection)))
    assert "Passmark:nonotchisseen" in text
    assert "Donotuseapunchwithacrackedshaft." in text
    assert "Thepunchmaybeused500times." in text
    bare = asked.instruction.model_copy(
        update={
            "steps": tuple(one.model_copy(update={"until": None}) for one in asked.instruction.steps),
        }
    )
    unrouted = replace(of_kind(asked, Kind.inspection), instruction=bare, route=None, proof=True)
    assert "Thetextstatesnopassmark." in plain_text(paper_pdf(unrouted))


def test_trouble_quotes_the_text_and_invents_nothing(asked: PaperRequest) -> None:
    """The maker's sentence on a stuck shaft stands there with its place; without it the text says nothing."""
    text = plain_text(paper_pdf(of_kind(asked, Kind.trouble)))
    assert "Iftheslidingshaftsticks,neveruseforce." in text
    assert "page1,line3" in text
    silent = asked.instruction.model_copy(update={"statements": ()})
    bare = text_of(paper_pdf(replace(of_kind(asked, Kind.trouble), instruction=silent)))
    assert "The text does not say what to do then." in bare
    assert "force" not in bare


def test_protection_names_edge_zones_and_whose_advice(asked: PaperRequest) -> None:
    """The edge by name, what is worn at the sink, first aid, and each source with how it was read."""
    text = text_of(paper_pdf(of_kind(asked, Kind.protection)))
    for said in ("Cutting edge", "Face shield", "Cut or pricked: wash with soap and water.", "1910.1030"):
        assert said in text
    assert "quoted second-hand" in text
    assert "common practice" in text


def test_theatre_card_asks_what_only_theatre_knows(asked: PaperRequest) -> None:
    """When use ended, what is damaged or missing, suspicion of prions, which part is thrown away there."""
    text = text_of(paper_pdf(of_kind(asked, Kind.theatre_card)))
    for said in (
        "Use ended at",
        "Damaged or missing",
        "Suspicion of prions",
        "thrown away where it was used",
    ):
        assert said in text


@pytest.mark.parametrize("kind", [Kind.card, Kind.parts, Kind.protection])
def test_same_request_gives_the_same_bytes(asked: PaperRequest, kind: Kind) -> None:
    """Nothing of the clock goes into a paper, and each declares PDF/UA-1; the poster has its own test."""
    first = paper_pdf(of_kind(asked, kind))
    assert paper_pdf(of_kind(asked, kind)) == first
    assert b"pdfuaid" in first


def test_papers_that_cannot_be_are_refused(asked: PaperRequest, forceps: Instruction, route: Route) -> None:
    """A size that a paper does not come on, a card of nowhere, a station without work, a device in one."""
    with pytest.raises(BadInput, match="'a5' is no size of this paper; expected one of a3, a2, tabloid"):
        paper_pdf(replace(asked, size=Size.a5))
    with pytest.raises(BadInput, match="no station is named"):
        paper_pdf(replace(asked, kind=Kind.card))
    with pytest.raises(BadInput, match="nothing is done at 'ultrasonic'; expected one of theatre"):
        paper_pdf(replace(asked, kind=Kind.card, station=Station.ultrasonic))
    with pytest.raises(BadInput, match="nothing comes apart"):
        paper_pdf(replace(asked, kind=Kind.parts, instruction=forceps, route=route))
    with pytest.raises(BadInput, match="there is no language 'ja' here"):
        paper_pdf(replace(asked, languages=("ja",), proof=True))


def test_parts_of_unknown_form_are_refused(asked: PaperRequest) -> None:
    """Where no drawing can show the parts, the sheet is refused with a sentence."""
    device = asked.instruction.device.model_copy(update={"name": "Thing", "features": ()})
    unknown = asked.instruction.model_copy(update={"device": device})
    with pytest.raises(NotForTheFloor, match="there is no drawing of its parts"):
        paper_pdf(replace(of_kind(asked, Kind.parts), instruction=unknown))


def test_kinds_have_names_and_sizes() -> None:
    """Each paper has a name of its own and at least three sheets, A-series and letter's kin alike."""
    assert len(set(NAMES.values())) == len(Kind)
    assert all(len(SIZES[kind]) >= 3 and {"letter", "tabloid"} & set(SIZES[kind]) for kind in Kind)
