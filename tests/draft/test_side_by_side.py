"""Columns set by white space: what is forbidden never merges with what is asked, nor two languages."""

from __future__ import annotations

import pytest

from sinkside.draft import draft_text
from sinkside.draft.lines import Line
from sinkside.draft.pages import text_pages
from sinkside.draft.sidebyside import govern_columns
from sinkside.instruction import Instruction, StatementKind

DO_AND_DO_NOT = """Marlow retractor

CLEANING

        WHAT TO DO                                WHAT NOT TO DO

Rinse the retractor under running           Soak longer than 30 minutes.
tap water for at least 2 minutes.

Soak it in enzymatic solution at            Immerse the handle in saline for
35 °C for 10 minutes.                       more than 5 minutes.
Brush the bore five times.

STERILIZATION

Use steam at 134 °C for 3 min.              Use dry heat at 160 °C.
Dry for 20 min.                             Stack the trays.

STORAGE

Store the retractor dry.
"""

TWO_LANGUAGES = """Cleaning

English                                     Deutsch

1 Cleaning                                  1 Reinigung

Rinse with cold water (max. 25 °C)          Mit kaltem Wasser (max. 25 °C)
for 2 minutes.                              2 Minuten spülen.
Soak in cleaner, 0.5 %, for 10 min.         In Reiniger, 0,5 %, 10 min einlegen.
"""


def _asked(instruction: Instruction) -> list[str]:
    return [step.origin.text for step in instruction.steps]


def _forbidden(instruction: Instruction) -> list[str]:
    prohibitions = [one for one in instruction.statements if one.kind is StatementKind.prohibition]
    return [one.origin.text.partition(": ")[2] for one in prohibitions]


def _lines(text: str) -> tuple[Line, ...]:
    return text_pages(text).lines


def test_what_is_forbidden_beside_what_is_asked_stays_forbidden() -> None:
    """Each column is read on its own, and 'not' holds for all of its column, also below the next heading."""
    drafted = draft_text(DO_AND_DO_NOT)
    assert _forbidden(drafted) == [
        "Soak longer than 30 minutes.",
        "Immerse the handle in saline for more than 5 minutes.",
        "Use dry heat at 160 °C.",
        "Stack the trays.",
    ]
    assert _asked(drafted) == [
        "Rinse the retractor under running tap water for at least 2 minutes.",
        "Soak it in enzymatic solution at 35 °C for 10 minutes.",
        "Brush the bore five times.",
        "Use steam at 134 °C for 3 min.",
        "Dry for 20 min.",
        "Store the retractor dry.",
    ]
    assert [step.stage.value for step in drafted.steps[-2:]] == ["sterilization", "storage"]


@pytest.mark.parametrize(
    ("left", "right"),
    [
        ("Do", "Do not"),
        ("DO:", "DON'T:"),
        ("Always", "Never"),
        ("Right", "Wrong"),
        ("Allowed", "Not allowed"),
    ],
)
@pytest.mark.parametrize("swapped", [False, True])
def test_either_side_may_forbid(left: str, right: str, *, swapped: bool) -> None:
    """The head decides, not the side, and one line under it is enough."""
    cells = [(left, right), ("- Rinse for 2 min", "- soak for 30 min"), ("- Dry at 90 °C", "")]
    rows = [f"{b:<30}{a}" if swapped else f"{a:<30}{b}" for a, b in cells]
    drafted = draft_text("\n".join(["Cleaning", "", *rows, "", "Rinse again for 1 min."]))
    assert _forbidden(drafted) == ["soak for 30 min"]
    assert [text for text in _asked(drafted) if "soak" in text] == []
    assert _asked(drafted)[-1] == "Rinse again for 1 min."


def test_columns_set_with_tabs_are_columns() -> None:
    """A tab reaches as far as the longest line before it."""
    text = "Cleaning\n\nDo\tDo not\nRinse for 2 min\tsoak over night\nBrush the lumen\tuse steel wool\n"
    assert not any("night" in step for step in _asked(draft_text(text)))


def test_a_column_goes_on_over_the_page() -> None:
    """Under the same columns the next page says nothing new about what is forbidden."""
    text = "Cleaning\n\n{0:<30}{1}\n{2:<30}{3}\n{2:<30}{4}\n\f{2:<30}{5}\n{2:<30}{6}\n".format(
        "Do", "Do not", "- Rinse for 2 min", "- use acid", "- use saline", "- soak for 9 h", "- bend it"
    )
    assert _forbidden(draft_text(text)) == ["use acid", "use saline", "soak for 9 h", "bend it"]


def test_languages_side_by_side_keep_to_their_columns() -> None:
    """No line holds words of two languages, and each says which column it stands in."""
    lines = _lines(TWO_LANGUAGES)
    english = [line.text for line in lines if line.column and line.column.head == "English"]
    german = [line.text for line in lines if line.column and line.column.head == "Deutsch"]
    assert english[1:] == [
        "Rinse with cold water (max. 25 °C)",
        "for 2 minutes.",
        "Soak in cleaner, 0.5 %, for 10 min.",
    ]
    assert german[0] == "1 Reinigung"
    assert len(english) == len(german) == 4


@pytest.mark.parametrize(
    "heads", [["English", "FRANÇAIS"], ["Deutsch / German", "Español"], ["EN", "DE"], ["Step", "Do not"]]
)
def test_heads_that_govern_are_known(heads: list[str]) -> None:
    """A head may name its language in that language, with a slash or a code, or forbid."""
    assert govern_columns(heads)


@pytest.mark.parametrize("heads", [["Stage", "What to do"], ["it.", "and so on"], ["Step", "English"]])
def test_heads_of_ordinary_tables_govern_nothing(heads: list[str]) -> None:
    """'What to do' alone heads a column of a table, and one language alone is no choice."""
    assert not govern_columns(heads)


def test_short_cells_in_two_columns_are_rows() -> None:
    """A parameter and its value stay together; a value that goes on in the next line belongs to its row."""
    lines = _lines(
        "Body                 one piece\n"
        "Bore, size 7         1.5 mm\n"
        "Soak                 0:10 h, all under the surface\n"
        "Brush strokes        6, until the brush\n"
        "                     comes out white\n"
    )
    assert [line.text for line in lines][-1] == "| Brush strokes | 6, until the brush comes out white |"
    assert len(lines) == 4


def test_a_table_in_aligned_columns_is_read_by_its_heads() -> None:
    """Every row is a step with the figures of its cells, whatever stands above the table."""
    drafted = draft_text(
        "Cleaning\n\n"
        "Detergent            0.5 % neutral\n"
        "Soak                 at least 10 min\n\n"
        "Phase             Temperature      Time        Remark\n"
        "Pre-rinse         below 30 °C      2 min       tap water, no\n"
        "                                               additives\n"
        "Wash              55 °C            5 min       alkaline\n"
        "Disinfection      90 °C            5 min       A0 3000\n"
    )
    figures = [[figure.as_written for figure in step.figures] for step in drafted.steps[-3:]]
    assert figures == [["below 30 °C", "2 min"], ["55 °C", "5 min"], ["90 °C", "5 min", "A0 3000"]]


def test_two_blanks_between_sentences_make_no_columns() -> None:
    """Text typed with wide gaps stays running text."""
    text = (
        "1.  Soak the device in the solution.  Keep the jaw\n    open.  Soak for 10 min at the least.\n"
        "2.  Rinse.  Use tap water.  Repeat it 3 times with\n    fresh water.  Let it drain.\n"
    )
    assert [line.text for line in _lines(text)] == text.splitlines()


def test_leader_dots_part_a_parameter_from_its_value() -> None:
    """The dots go; a list of contents with its page numbers is no text."""
    read = [line.text for line in _lines("Soak ........ 0:10 h\nBath ... up to 45 °C\n")]
    assert read == ["Soak: 0:10 h", "Bath: up to 45 °C"]
    assert not _lines("Cleaning ........ 2\nDrying . . . . . 3\nStorage ... 7\n")


def test_a_drawn_row_of_several_lines_is_one_row() -> None:
    """Between two rules the lines of a cell belong together; one rule below the heads parts nothing else."""
    rule = "+----------+-----------------+"
    tall = [rule, "| Stage    | What to do      |", rule, "| Cleaning | Soak for        |"]
    tall += ["|          | 5 min           |", rule, "| Drying   | Blow at 2 bar   |", rule]
    assert [line.text for line in _lines("\n".join(tall))][1] == "| Cleaning | Soak for 5 min |"
    flat = [rule, "| Stage    | What to do      |", rule, "| Cleaning | Soak for 5 min  |"]
    flat += ["| Drying   | Blow at 2 bar   |", rule]
    steps = draft_text("\n".join(flat)).steps
    assert [step.stage.value for step in steps] == ["cleaning", "drying"]
