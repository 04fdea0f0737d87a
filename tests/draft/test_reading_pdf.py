"""How PDF pages are set does not change what they ask: columns, tables, notes, marks and turned pages."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
import typst

from samples import measure_own
from sinkside.draft import draft, draft_text
from sinkside.draft.lines import Line
from sinkside.draft.pages import read_pages
from sinkside.draft.running import behind_broken_sentences
from sinkside.instruction import Instruction, StatementKind

Typeset = Callable[..., Path]

_PAGE = '#set page(paper: "a4", margin: 2.2cm)\n#set text(size: 10pt)\n'

_HANGING = (
    "Zorbel tip",
    "",
    "1  TAKING APART",
    "  a  Unscrew the tip.",
    "  b  Pull the sleeve off the tip.",
    "",
    "2  CLEANING BY HAND",
    "  a  Rinse all parts for 2 min in cold water.",
    "  b  Brush the tip with a soft brush, at least 5 strokes.",
    "  c  Flush the sleeve with 20 mL of water.",
    "",
    "3  STERILIZATION",
    "  a  Pre-vacuum steam, 134 °C, at least 3 min.",
)


@pytest.fixture
def typeset(tmp_path: Path) -> Typeset:
    """Set a text in the typesetter's own words as a PDF."""

    def make(source: str, *, before: str = _PAGE) -> Path:
        (tmp_path / "page.typ").write_text(before + source, encoding="utf-8")
        out = tmp_path / "page.pdf"
        typst.compile(str(tmp_path / "page.typ"), output=str(out))
        return out

    return make


def _asked(instruction: Instruction) -> list[str]:
    return [step.origin.text for step in instruction.steps]


def _forbidden(instruction: Instruction) -> list[str]:
    prohibitions = [one for one in instruction.statements if one.kind is StatementKind.prohibition]
    return [one.origin.text.partition(": ")[2] for one in prohibitions]


_DO = ("Rinse the hook for 2 min.", "Soak it for 10 min at 35 °C in the enzymatic solution of the basin.")
_DO_NOT = ("Soak it longer than 30 min.", "Wash it together with aluminium parts at 90 °C or more.")


@pytest.mark.parametrize("swapped", [False, True])
@pytest.mark.parametrize(
    "form",
    [
        "#grid(columns: (1fr, 1fr), gutter: 9pt, [*{0}*], [*{1}*], [{2}], [{3}], [{4}], [{5}])",
        "#grid(columns: (1fr, 1fr), gutter: 14pt, [{0}\n\n- {2}\n- {4}], [{1}\n\n- {3}\n- {5}])",
        "#table(columns: (1fr, 1fr), [*{0}*], [*{1}*], [- {2}\n- {4}], [- {3}\n- {5}])",
        "#table(columns: (1fr, 1fr), [{0}], [{1}], [{2}], [{3}], [{4}], [{5}])",
        "#grid(columns: (1fr, 1fr), gutter: 14pt, [*{0}*\n\n{2}\n\n{4}], [*{1}*\n\n#v(4pt)\n\n{3}\n\n{5}])",
    ],
)
def test_what_is_forbidden_never_merges_with_what_is_asked(
    typeset: Typeset, form: str, *, swapped: bool
) -> None:
    """Grids, tables and columns whose lines do not stand at one height keep 'Do' and 'Do not' apart."""
    pairs = [("Do", "Do not"), *zip(_DO, _DO_NOT, strict=True)]
    cells = [cell for a, b in pairs for cell in ((b, a) if swapped else (a, b))]
    source = f"= Cleaning\n\n{form.format(*cells)}\n\n= Drying\n\nBlow it dry with air of 2 bar.\n"
    drafted = draft(typeset(source))
    assert _forbidden(drafted) == list(_DO_NOT)
    asked = _asked(drafted)
    assert [text for text in asked if "30 min" in text or "aluminium" in text] == []
    assert asked[0].startswith("Rinse the hook")
    assert "Blow it dry" in asked[-1]


def test_lines_of_two_languages_never_mix(typeset: Typeset) -> None:
    """Side by side without rules, each language is read down its own column."""
    source = (
        "#grid(columns: (1fr, 1fr), gutter: 14pt, [*English*], [*Deutsch*], [Rinse for 2 min in cold water"
        " until all that can be seen is gone.], [Zwei Minuten in kaltem Wasser spülen, bis nichts mehr zu"
        " sehen ist.], [Dry it.], [Trocknen.])"
    )
    lines = read_pages(typeset(source)).lines
    heads = [line.column.head for line in lines if line.column]
    assert heads == sorted(heads, key=["English", "Deutsch"].index)
    english = " ".join(line.text for line in lines if line.column and line.column.head == "English")
    assert english == "Rinse for 2 min in cold water until all that can be seen is gone. Dry it."


def test_merged_heads_and_cells_say_the_same_in_every_row(typeset: Typeset) -> None:
    """A head over two columns names both; a cell over two rows holds for both."""
    source = (
        "#table(columns: 4, table.cell(rowspan: 2)[Stage], table.cell(rowspan: 2)[What to do],"
        " table.cell(colspan: 2)[Values], [Temp. (°C)], [Time (min)],"
        " table.cell(rowspan: 2)[Cleaning], [soak], [35], [10], [rinse], [≤ 25], [2])"
    )
    heads, first, second = read_pages(typeset(source)).lines
    assert heads.text == "| Stage | What to do | Values Temp. (°C) | Values Time (min) |"
    assert first.text == "| Cleaning | soak | 35 | 10 |"
    assert second.text.startswith("| Cleaning | rinse |")
    steps = draft(typeset(source)).steps
    assert [[figure.as_written for figure in step.figures] for step in steps] == [["35", "10"], ["≤ 25", "2"]]


def test_the_mark_of_a_footnote_is_no_figure(typeset: Typeset) -> None:
    """A raised figure behind a word goes; behind a figure or a length it is a power."""
    source = "Rinse for 2 min#super[1] with water of 10#super[2] CFU/mL on 5 cm#super[2].\n"
    (line,) = read_pages(typeset(source)).lines
    assert line.text == "Rinse for 2 min with water of 10² CFU/mL on 5 cm²."


@pytest.mark.parametrize("quarters", [0, 1, 2, 3])
def test_turned_pages_are_read_upright(typeset: Typeset, tmp_path: Path, quarters: int) -> None:
    """However a page is turned to be shown, its lines come in the same order."""
    import pypdfium2

    document = pypdfium2.PdfDocument(typeset("Rinse for 2 min.\n\nThen dry it at 60 °C.\n"))
    document[0].set_rotation(90 * quarters)
    document.save(tmp_path / "turned.pdf")
    upright = [line.text for line in read_pages(typeset("Rinse for 2 min.\n\nThen dry it at 60 °C.\n")).lines]
    shown = [line.text for line in read_pages(tmp_path / "turned.pdf").lines]
    assert sorted(shown) == sorted(upright)


@pytest.mark.parametrize("angle", [90, -90])
def test_a_page_of_turned_text_is_read_along_its_lines(typeset: Typeset, angle: int) -> None:
    """A wide table set along the paper is read as if the paper were turned."""
    rows = "[Stage], [What to do], [Time], [Cleaning], [soak it], [10 min], [Drying], [blow it], [2 min]"
    source = f"#rotate({angle}deg, reflow: true, block(width: 20cm, table(columns: 3, {rows})))"
    lines = [line.text for line in read_pages(typeset(source)).lines]
    assert lines == [
        "| Stage | What to do | Time |",
        "| Cleaning | soak it | 10 min |",
        "| Drying | blow it | 2 min |",
    ]


def test_a_mark_aslant_behind_the_text_is_not_read(typeset: Typeset) -> None:
    """'COPY' across the page is no part of any sentence."""
    source = "#place(center, rotate(-40deg, text(60pt, gray)[COPY]))\nRinse for 2 min.\n"
    assert [line.text for line in read_pages(typeset(source)).lines] == ["Rinse for 2 min."]


def test_a_table_drawn_with_signs_reads_in_a_pdf_as_in_a_text(tmp_path: Path) -> None:
    """Rows between bars stay rows, however wide and white their cells: nothing is taken for a column."""
    rows = [
        ("Row", "Stage", "What to do", "With", "Figures"),
        ("1", "Transport", "closed tray, kept damp", "damp gauze", "not later than 1 h"),
        ("2", "Preparation", "unscrew the tip", "hand", "-"),
        ("3", "Hand cleaning", "soak, covered", "neutral cleaner", "5 min or longer, 30 - 40 °C"),
        ("4", "Rinse", "flush and rinse", "purified water", "120 mL each channel"),
        ("5", "Sterilising", "steam, porous load cycle", "-", "134 °C, at least 3 min"),
        ("6", "Storage", "dust-free drawer", "-", "-"),
    ]
    widths = [max(len(cell) for cell in column) for column in zip(*rows, strict=True)]
    drawn = [
        f"| {' | '.join(cell.ljust(width) for cell, width in zip(row, widths, strict=True))} |"
        for row in rows
    ]
    text = "\n".join(["Zorbel tip", "", "Processing", "", *drawn])
    printed = tmp_path / "drawn.pdf"
    measure_own.set_pdf(text, printed)
    assert [(step.stage, step.action, step.figures) for step in draft(printed).steps] == [
        (step.stage, step.action, step.figures) for step in draft_text(text).steps
    ]


def test_a_note_waits_for_the_end_of_the_sentence() -> None:
    """What goes on at the head of the next page comes first, then the note, then the next step."""
    first = [Line(1, 1, "Soak it in the"), Line(1, 2, "Use a basin.", gap_before=True, aside=True)]
    second = [Line(2, 1, "solution for 7 min.", gap_before=True), Line(2, 2, "Dry it.")]
    read = [line for page in behind_broken_sentences([first, second]) for line in page]
    assert [line.text for line in read] == [
        "Soak it in the",
        "solution for 7 min.",
        "Use a basin.",
        "Dry it.",
    ]
    assert read[-1].gap_before
    alone = behind_broken_sentences([first])
    assert [line.text for line in alone[0]] == ["Soak it in the", "Use a basin."]


def test_a_caption_asks_for_nothing() -> None:
    """What stands under a picture is no step, ends no stage, and keeps its figures."""
    drafted = draft_text(
        "Cleaning\n\n1. Rinse the hook for 2 min.\n\nFigure 3  Rinse the port\n\n"
        "2. Soak it for 10 min at 35 °C.\n\nFig. 4: Brush inserted 180 mm into the bore\n"
    )
    assert [(step.stage.value, step.number) for step in drafted.steps] == [
        ("cleaning", "1"),
        ("cleaning", "2"),
    ]
    noted = [figure.as_written for one in drafted.statements for figure in one.figures]
    assert "180 mm" in noted


def test_paragraphs_that_hang_on_numbers_and_letters_are_no_table(tmp_path: Path) -> None:
    """Chapters, clauses and lettered items in the white of a margin draft in a PDF as they do in a text."""
    text = "\n".join(_HANGING)
    printed = tmp_path / "hanging.pdf"
    measure_own.set_pdf(text, printed)
    steps = [(step.stage, step.action, step.figures) for step in draft_text(text).steps]
    assert [(step.stage, step.action, step.figures) for step in draft(printed).steps] == steps
    assert len(steps) >= 6
