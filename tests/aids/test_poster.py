"""Posters: every figure is on the paper, nothing clips or overlaps, and it reads at two metres in grey."""

from __future__ import annotations

import subprocess
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pdfplumber
import pypdfium2
import pytest
import zxingcpp

from sinkside.aids.figures import figure_in_words, shown_figures
from sinkside.aids.fonts import missing_signs
from sinkside.aids.papers import Approval, PaperRequest, paper_pdf, setting, sheets
from sinkside.errors import NotForTheFloor
from sinkside.findings import Finding
from sinkside.instruction import Instruction, Statement
from sinkside.route import Operation, Route

LongRoute = Callable[[int, int], Route]
SIZES = [(5, 1), (11, 2), (16, 3), (23, 4), (37, 5), (60, 6)]


@pytest.fixture
def request_(forceps: Instruction, route: Route) -> PaperRequest:
    """An approved poster with a live page."""
    return PaperRequest(
        instruction=forceps,
        route=route,
        printed="2026-11-25",
        live_url="https://sinkside.example/papers/5f1c0de7a4b2",
        approval=Approval(by="A. Example", on="2026-11-20"),
    )


def folded(text: str) -> str:
    """Text without white space, because readers differ in where they see a gap."""
    return "".join(text.split()).replace("\u00a0", "")


def pdfium_text(pdf: bytes) -> str:
    document = pypdfium2.PdfDocument(pdf)
    text = "\n".join(page.get_textpage().get_text_range() for page in document)
    document.close()
    return text


def poppler_text(pdf: bytes, folder: Path) -> str:
    file = folder / "poster.pdf"
    file.write_bytes(pdf)
    done = subprocess.run(
        ["pdftotext", "-raw", str(file), "-"],  # noqa: S607 # Debian's poppler-utils, found on the path
        check=True,
        capture_output=True,
        text=True,
    )
    return done.stdout


def expected_figures(operations: tuple[Operation, ...]) -> Iterator[str]:
    """Each figure as text: what is shown large, and each required range that is not what will be used."""
    for operation in operations:
        for shown in shown_figures(operation):
            yield from (part for part in (shown.text, shown.must) if part)


@dataclass(frozen=True)
class Word:
    """A word's ink on its page, in points from the lower left."""

    page: int
    text: str
    left: float
    bottom: float
    right: float
    top: float


def words_of(pdf: bytes) -> list[Word]:
    """The words of a PDF with the boxes of their ink."""
    document = pypdfium2.PdfDocument(pdf)
    words: list[Word] = []
    for number, page in enumerate(document):
        text = page.get_textpage()
        letters: list[tuple[str, tuple[float, float, float, float]]] = []
        for index in range(text.count_chars()):
            sign = text.get_text_range(index, 1)
            if sign.strip():
                letters.append((sign, text.get_charbox(index)))
            elif letters:
                words.append(_word(number, letters))
                letters = []
        if letters:
            words.append(_word(number, letters))
    document.close()
    return words


def _word(page: int, letters: list[tuple[str, tuple[float, float, float, float]]]) -> Word:
    boxes = [box for _, box in letters]
    return Word(
        page=page,
        text="".join(sign for sign, _ in letters),
        left=min(box[0] for box in boxes),
        bottom=min(box[1] for box in boxes),
        right=max(box[2] for box in boxes),
        top=max(box[3] for box in boxes),
    )


def overlaps(words: list[Word], tolerance: float = 0.3) -> list[tuple[str, str]]:
    """Pairs of words whose ink meets by more than a tolerance in both directions, in points."""
    ordered = sorted(words, key=lambda word: (word.page, word.left))
    found = []
    for index, one in enumerate(ordered):
        for other in ordered[index + 1 :]:
            if other.page != one.page or other.left > one.right - tolerance:
                break
            if min(one.top, other.top) - max(one.bottom, other.bottom) > tolerance:
                found.append((one.text, other.text))
    return found


def letters_of(pdf: bytes, folder: Path) -> list[dict[str, Any]]:
    file = folder / "letters.pdf"
    file.write_bytes(pdf)
    with pdfplumber.open(file) as document:
        return [letter for page in document.pages for letter in page.chars if letter["text"].strip()]


@pytest.mark.parametrize(("count", "seed"), SIZES)
def test_every_figure_is_on_the_paper(
    request_: PaperRequest, long_route: LongRoute, tmp_path: Path, count: int, seed: int
) -> None:
    """Two independent readers find each figure of the route, with its bound and its unit."""
    route = long_route(count, seed)
    pdf = paper_pdf(replace(request_, route=route))
    for text in (folded(pdfium_text(pdf)), folded(poppler_text(pdf, tmp_path))):
        assert not [figure for figure in expected_figures(route.operations) if folded(figure) not in text]


def test_required_ranges_stand_beside_the_figure_that_will_be_used(request_: PaperRequest) -> None:
    """Where 60 °C is used for at least 55 °C, both are on the paper and the bound is named."""
    text = folded(pdfium_text(paper_pdf(request_)))
    assert folded("60 °C") in text
    assert folded("must be ≥ 55 °C") in text


@pytest.mark.parametrize(("count", "seed"), SIZES)
def test_nothing_clips_and_nothing_overlaps(
    request_: PaperRequest, long_route: LongRoute, stop_finding: Finding, count: int, seed: int
) -> None:
    """The ink of every word lies on its sheet and meets no other word's, on papers of 5 to 60 operations."""
    findings = (stop_finding,) if seed % 2 else ()
    pdf = paper_pdf(
        replace(request_, route=long_route(count, seed), findings=findings, proof=True, approval=None)
    )
    words = words_of(pdf)
    assert len(words) > 10 * count
    width, height = 297 / 25.4 * 72, 420 / 25.4 * 72
    edge = 24.0
    outside = [
        word.text
        for word in words
        if word.left < edge or word.bottom < edge or word.right > width - edge or word.top > height - edge
    ]
    assert not outside
    assert not overlaps(words)


def test_words_that_no_column_takes_are_broken(request_: PaperRequest, route: Route) -> None:
    """A word of 140 letters, a crowd of figures and a long caution stay on the sheet, off each other."""
    soak = route.operations[4].model_copy(update={"until": "x" * 140, "cautions": ("drying " * 90,)})
    flush = route.operations[5]
    crowded = flush.model_copy(update={"figures": flush.figures * 10})
    operations = (*route.operations[:4], soak, crowded, *route.operations[6:])
    words = words_of(paper_pdf(replace(request_, route=route.model_copy(update={"operations": operations}))))
    assert max(word.right for word in words) < 297 / 25.4 * 72 - 24
    assert not overlaps(words)


def test_overlap_check_sees_an_overlap() -> None:
    """The check itself trips on two words that lie on each other."""
    one = Word(page=0, text="one", left=10, bottom=10, right=40, top=20)
    assert overlaps([one, replace(one, text="other", left=30, right=60)]) == [("one", "other")]


@pytest.mark.parametrize(("count", "seed"), [SIZES[0], SIZES[-1]])
def test_type_reads_at_two_metres(
    request_: PaperRequest, long_route: LongRoute, tmp_path: Path, count: int, seed: int
) -> None:
    """No letter is smaller than 14 pt, and each figure's digits are at least 28 pt (our bar for A3)."""
    route = long_route(count, seed)
    letters = letters_of(paper_pdf(replace(request_, route=route)), tmp_path)
    assert min(letter["size"] for letter in letters) >= 14 - 0.01
    large = folded("".join(letter["text"] for letter in letters if letter["size"] >= 28))
    for operation in route.operations:
        for shown in shown_figures(operation):
            assert folded(shown.number) in large


def _luminance(colour: tuple[float, ...]) -> float:
    """Relative luminance (WCAG 2.2, definition; read)."""
    parts = colour * 3 if len(colour) == 1 else colour
    red, green, blue = (
        part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _contrast(one: tuple[float, ...], other: tuple[float, ...]) -> float:
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_formula_gives_the_published_ratio() -> None:
    """#1E293B on white is 14.63 to 1, and black on white 21 (the first read at a public contrast checker)."""
    slate = (0x1E / 255, 0x29 / 255, 0x3B / 255)
    assert _contrast(slate, (1.0,)) == pytest.approx(14.63, abs=0.005)
    assert _contrast((0.0,), (1.0,)) == pytest.approx(21.0)


def test_contrast_is_at_least_seven(request_: PaperRequest, stop_finding: Finding, tmp_path: Path) -> None:
    """Dark letters stand 7 to 1 against white paper, white ones against the accent behind them."""
    pdf = paper_pdf(replace(request_, findings=(stop_finding,), proof=True))
    colours = {tuple(letter["non_stroking_color"]) for letter in letters_of(pdf, tmp_path)}
    white, accent = (1.0, 1.0, 1.0), (0x0B / 255, 0x5D / 255, 0x66 / 255)
    assert {colour for colour in colours if _luminance(colour) > 0.5} <= {white, (1.0,)}
    assert all(_contrast(colour, white) >= 7 for colour in colours if _luminance(colour) <= 0.5)
    assert _contrast(white, accent) >= 7


@pytest.mark.parametrize("live_url", ["https://sinkside.example/papers/5f1c0de7a4b2?of=sable-bay", None])
def test_code_decodes_from_print(request_: PaperRequest, live_url: str | None) -> None:
    """An independent reader decodes the code from a grey raster at 300 dpi, with and without a server."""
    document = pypdfium2.PdfDocument(paper_pdf(replace(request_, live_url=live_url)))
    page = document[0]
    raster = page.render(scale=300 / 72, grayscale=True, crop=(600, 1000, 30, 30)).to_pil()
    document.close()
    expected = live_url or "sinkside instruction 5f1c0de7a4b2 revision 4"
    assert [code.text for code in zxingcpp.read_barcodes(raster)] == [expected]


def test_same_request_gives_the_same_bytes(request_: PaperRequest) -> None:
    """Nothing of the clock or of the compiler's state goes into the file."""
    first = paper_pdf(request_)
    setting._compiler.cache_clear()
    assert paper_pdf(request_) == first


def test_paper_is_accessible(request_: PaperRequest) -> None:
    """The file declares PDF/UA-1 and carries title and tags; the writer refuses what fails."""
    pdf = paper_pdf(request_)
    document = pypdfium2.PdfDocument(pdf)
    assert document.get_metadata_value("Title") == "Tern 2.7 mm sinus forceps"
    assert document.is_tagged()
    document.close()
    assert b"pdfuaid" in pdf


def test_program_block_names_its_phases(request_: PaperRequest, route: Route) -> None:
    """One operation that carries out several steps of a machine lists each phase with its own figures."""
    wash, disinfect = route.operations[8:10]
    block = wash.model_copy(
        update={
            "steps": (*wash.steps, *disinfect.steps),
            "figures": (*wash.figures, *disinfect.figures),
        }
    )
    merged = route.model_copy(update={"operations": (*route.operations[:8], block, *route.operations[10:])})
    text = folded(pdfium_text(paper_pdf(replace(request_, route=merged))))
    assert folded("Run “Instruments 2”") in text
    for phase in ("Wash must be ≥ 55 °C 60 °C ≥ 5 min", "Disinfect A0 ≥ 3,000"):
        assert folded(phase) in text


def test_open_stop_keeps_paper_off_the_floor(request_: PaperRequest, stop_finding: Finding) -> None:
    """With a stop open no poster is made unless a proof is asked for, and the proof says so loudly."""
    stopped = replace(request_, findings=(stop_finding,))
    with pytest.raises(NotForTheFloor, match="1 stop is open"):
        paper_pdf(stopped)
    text = pdfium_text(paper_pdf(replace(stopped, proof=True)))
    assert "NOT FOR THE FLOOR · 1 stop open" in text
    assert stop_finding.message in text
    assert "page 5, line 14" in text


def test_like_stops_are_said_once_with_their_places(request_: PaperRequest, stop_finding: Finding) -> None:
    """Four stops of the same words at four places stand there once, with all four; all four are counted."""
    places = [stop_finding.place.model_copy(update={"line": line}) for line in (3, 5, 8, 13)]
    findings = tuple(stop_finding.model_copy(update={"place": place}) for place in places)
    text = " ".join(pdfium_text(paper_pdf(replace(request_, findings=findings, proof=True))).split())
    assert text.count(stop_finding.message) == 1
    assert "page 5, line 3 · page 5, line 5 · page 5, line 8 · page 5, line 13" in text
    assert "4 stops open" in text


def test_route_conflict_counts_as_an_open_stop(
    request_: PaperRequest, route: Route, stop_finding: Finding
) -> None:
    """A stop that the route itself found keeps paper off the floor, too."""
    conflicted = route.model_copy(update={"conflicts": (stop_finding,), "resolved": False})
    with pytest.raises(NotForTheFloor, match="1 stop"):
        paper_pdf(replace(request_, route=conflicted))


def test_text_without_route_prints_as_a_proof_only(request_: PaperRequest) -> None:
    """Without a department there is nothing to hang on a wall; the proof lists the text's own steps."""
    bare = replace(request_, route=None)
    with pytest.raises(NotForTheFloor, match="no route"):
        paper_pdf(bare)
    text = pdfium_text(paper_pdf(replace(bare, proof=True)))
    assert "NOT FOR THE FLOOR · no route in this department" in text
    assert "Flush the port" in " ".join(text.split())


def test_a_paper_that_nobody_approved_is_as_loud_as_a_proof(request_: PaperRequest) -> None:
    """Without an approval it says what it is not; so does every proof; approved, it names who and when."""
    draft = pdfium_text(paper_pdf(replace(request_, approval=None)))
    assert "NOT FOR THE FLOOR" in draft
    assert "NOT FOR THE FLOOR · proof" in pdfium_text(paper_pdf(replace(request_, proof=True)))
    approved = pdfium_text(paper_pdf(request_))
    assert "NOT FOR THE FLOOR" not in approved
    assert "approved by A. Example, 2026-11-20" in approved


def test_footer_says_who_decides_and_where_figures_come_from(request_: PaperRequest) -> None:
    """Caution, source with pages, digest, limits profile, day of printing, and what the code is for."""
    text = " ".join(pdfium_text(paper_pdf(request_)).split())
    assert "The maker’s current instruction and local policy govern. Release by a qualified person." in text
    assert "Source: TF-27 processing, edition 4, pages 1–3, digest 5f1c0de7a4b2, limits profile eu." in text
    assert "Printed 2026-11-25" in text
    assert "Scan to see whether this paper is current." in text


@pytest.mark.parametrize("copies", [1, 40])
def test_what_must_never_be_done_stands_on_the_paper(
    request_: PaperRequest, forceps: Instruction, copies: int, tmp_path: Path
) -> None:
    """Every prohibition and limit of the text stands there in the maker's words, however many there are.

    Invented sentences of the kinds that makers print: tools, agents, a temperature.
    """
    said = [
        ("prohibition", "WARNING: Do not use wire brushes{n}."),
        ("prohibition", "CAUTION: Do not use hydrogen peroxide{n}."),
        ("limit", "137 °C must not be exceeded{n}."),
    ]
    told = [
        Statement.model_validate(
            {"kind": kind, "origin": {"page": 1, "line": 9 + n, "text": text.format(n=f" {n}")}}
        )
        for n in range(copies)
        for kind, text in said
    ]
    text = forceps.model_copy(update={"statements": (*forceps.statements, *told)})
    pdf = paper_pdf(replace(request_, instruction=text))
    shown = folded(poppler_text(pdf, tmp_path))
    assert "Never" in shown
    for one in told:
        words = one.origin.text.removeprefix("WARNING: ").removeprefix("CAUTION: ")
        assert folded(words) in shown
    assert "WARNING" not in shown


def test_missing_sign_refuses_the_paper(request_: PaperRequest, forceps: Instruction) -> None:
    """A sign that the typeface lacks refuses the paper with a sentence instead of leaving a hole."""
    device = forceps.device.model_copy(update={"name": "鉗子"})
    with pytest.raises(NotForTheFloor, match=r"no sign for '子' \(U\+5B50\), '鉗'"):
        paper_pdf(replace(request_, instruction=forceps.model_copy(update={"device": device})))
    assert missing_signs(["≥ 30 µS/cm", "Zażółć gęślą jaźń", "Dụng cụ"]) == ()


def test_markup_in_a_name_stays_text(request_: PaperRequest, forceps: Instruction) -> None:
    """What a maker's text holds is set as words, never run as markup."""
    device = forceps.device.model_copy(update={"name": '#read("/etc/passwd") *bold* $x$'})
    pdf = paper_pdf(replace(request_, instruction=forceps.model_copy(update={"device": device})))
    assert '#read("/etc/passwd") *bold* $x$' in " ".join(pdfium_text(pdf).split())


def test_required_figure_in_words_keeps_its_bound(route: Route) -> None:
    """The words of every required figure hold its number and unit."""
    for operation in route.operations:
        for chosen in operation.figures:
            words = figure_in_words(chosen.required)
            assert f"{chosen.required.number():,g}" in words
            assert chosen.required.unit in words or chosen.required.unit in {"1", "s"}


@pytest.mark.parametrize("seed", [0, 1, 2])
def test_thirty_two_operations_stand_on_one_sheet(
    request_: PaperRequest, long_route: LongRoute, seed: int
) -> None:
    """A device of 32 operations, a caution at every fourth, is one poster; sixty take more."""
    route = long_route(32, seed)
    operations = tuple(
        operation.model_copy(update={"cautions": operation.cautions[:1] if index % 4 == 0 else ()})
        for index, operation in enumerate(route.operations)
    )
    usual = route.model_copy(update={"operations": operations})
    assert sheets(paper_pdf(replace(request_, route=usual))) == 1
    assert sheets(paper_pdf(replace(request_, route=long_route(60, seed)))) in {2, 3}


def test_long_route_is_read_down_the_left_column_then_the_right(
    request_: PaperRequest, long_route: LongRoute
) -> None:
    """In the order in which a reader hears the file, letters follow each other and no column is empty."""
    route = long_route(28, 4)
    words = words_of(paper_pdf(replace(request_, route=route)))
    first = [word for word in words if word.page == 0 and word.bottom < 950]
    letters = {operation.letter for operation in route.operations}
    marked = [word for word in first if word.text in letters and word.left % 436 < 60]
    assert [word.text for word in marked] == [operation.letter for operation in route.operations][
        : len(marked)
    ]
    left = [word for word in marked if word.left < 297 / 25.4 * 36]
    assert 0 < len(left) < len(marked)
    assert marked[: len(left)] == left


def test_name_in_capitals_is_set_in_normal_case(request_: PaperRequest, forceps: Instruction) -> None:
    """A name that shouts is calmed on paper, its code and its unit kept."""
    device = forceps.device.model_copy(update={"name": "NETTLEBEE NB-28S SUCTION PUNCH, 2.8 MM"})
    text = pdfium_text(
        paper_pdf(replace(request_, instruction=forceps.model_copy(update={"device": device})))
    )
    assert "Nettlebee NB-28S suction punch, 2.8 mm" in " ".join(text.split())
