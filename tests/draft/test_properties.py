"""Whatever the text, the draft comes back whole, keeps every figure, and says the same twice."""

from __future__ import annotations

import re
import tempfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from sinkside import documents
from sinkside.draft import draft, draft_text, explain
from sinkside.errors import UnreadableFile
from sinkside.instruction import Instruction
from support.pace import quiet_s

SAMPLES = Path(__file__).parent.parent / "samples"
_SAMPLE_FILES = sorted(
    str(path.relative_to(SAMPLES)) for path in (*SAMPLES.glob("*.txt"), *SAMPLES.glob("own/open/*.txt"))
)

_UNITS = (
    *(
        "min",
        "s",
        "h",
        "seconds",
        "hours",
        "days",
        "months",
        "mL",
        "L",
        "°C",
        "°F",
        "K",
        "kHz",
        "bar",
        "mbar",
    ),
    *("kPa", "psi", "mm", "cm", "%", "percent", "kg", "g", "lb", "kV", "mg/L", "mL/L", "µS/cm", "L/min"),
    *("times", "x", "cycles", "uses", "strokes", "drops", "pulses", "turns", "ppm", "Nm", "rpm", "oz", "µm"),
    *("°dH", "Fr", "inch"),
)
_HEADINGS = ("Cleaning", "Warnings", "Sterilization", "Zorbling", "Storage", "Scope", "Remarks", "Do not", "")
#: Ways in which a figure can stand in a text; `#` is where it stands.
_SETTINGS = (
    *(
        "- Soak for #.",
        "- Rinse with # of water.",
        "Do not exceed #.",
        "The value is at most #.",
        "It weighs #.",
    ),
    *("| 1 | Cleaning | rinse | # |", "Temperature ........ #", "Time: #", "CLEANING AT #", "Storage: #"),
    *(
        "1. Flush # and #, then dry #.",
        "Note: # applies.",
        "Keep it between # and #.",
        "Use (#) only",
        "pH #",
    ),
    *(
        "Rinse, # / #; dry",
        "- do not use #",
        "Do not:\n- soak #\n- boil for #",
        "Tested for #; then discard.",
    ),
    *(
        "1) # x #",
        "Heat it, # to # at #",
        "Pour # or more of water (#)",
        "Warnings\n\nUp to #.",
        "[x] # done",
    ),
    *(
        "Rinse until clear, #, whichever is longer.",
        "approx. #-#",
        "min. # max. #",
        "from # upwards",
        "every #",
    ),
    *(
        "What is left, # … #, goes",
        "Wash [#] with it",
        "Handle with a bore of #.",
        "No more than # may be used.",
    ),
)


def _kept(instruction: Instruction) -> str:
    figures = [figure for step in instruction.steps for figure in step.figures]
    figures += [figure for statement in instruction.statements for figure in statement.figures]
    figures += instruction.device.limits
    other = [also.as_written for figure in figures for also in figure.also]
    unread = [one.text for one in instruction.not_understood]
    return " ".join([*(figure.as_written for figure in figures), *other, *unread])


@st.composite
def _planted(draw: st.DrawFn) -> tuple[str, list[str]]:
    """A text with numbers in it that stand there once each."""
    numbers: list[str] = []

    def number(_: re.Match[str]) -> str:
        whole = draw(st.integers(13, 9999))
        written = str(whole) if draw(st.booleans()) else f"{whole % 100}.{draw(st.integers(11, 99))}"
        numbers.append(written)
        return f"{written}{draw(st.sampled_from([' ', '']))}{draw(st.sampled_from(_UNITS))}"

    lines: list[str] = []
    for setting in draw(st.lists(st.sampled_from(_SETTINGS), min_size=1, max_size=5)):
        lines += [draw(st.sampled_from(_HEADINGS)), re.sub("#", number, setting)]
    return "\n\n".join(lines), numbers


@settings(max_examples=300, deadline=None)
@given(_planted())
def test_every_figure_finds_a_place(planted: tuple[str, list[str]]) -> None:
    """However a number stands in a text, it is in a step, a statement, a limit or under 'not understood'."""
    text, numbers = planted
    kept = _kept(draft_text(text))
    lost = [number for number in numbers if not re.search(rf"(?<!\d){re.escape(number)}(?!\d)", kept)]
    assert lost == []


@settings(max_examples=200, deadline=None)
@given(st.text(max_size=400))
def test_any_text_is_drafted_or_refused(text: str) -> None:
    """No text whatever makes the draft fail."""
    try:
        drafted = draft_text(text)
    except UnreadableFile:
        return
    assert documents.validate(Instruction, documents.to_values(drafted), resource="draft") == drafted


@settings(max_examples=80, deadline=None)
@given(st.data())
def test_mutated_samples_are_drafted(data: st.DataObject) -> None:
    """A sample with a piece cut out and another put in still makes a whole instruction."""
    name = data.draw(st.sampled_from(_SAMPLE_FILES))
    text = (SAMPLES / name).read_text(encoding="utf-8")
    start = data.draw(st.integers(0, len(text) - 1))
    end = data.draw(st.integers(start, min(len(text), start + 600)))
    noise = data.draw(st.text(alphabet="0123456789.,-/|()=<>±°CFxX mLin:;\n", max_size=60))
    drafted = draft_text(text[:start] + noise + text[end:])
    assert drafted.steps


@settings(max_examples=60, deadline=None)
@given(st.binary(min_size=1, max_size=400), st.sampled_from([".txt", ".pdf"]))
def test_any_bytes_are_drafted_or_refused(data: bytes, ending: str) -> None:
    """Random bytes under either name are text after all, or refused in one sentence."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"noise{ending}"
        path.write_bytes(data)
        try:
            drafted = draft(path)
        except UnreadableFile:
            return
        assert drafted.device.document.file == f"noise{ending}"


def test_the_same_text_drafts_to_the_same_instruction() -> None:
    """Nothing depends on chance or order: two readings are equal to the byte."""
    path = SAMPLES / "d_spine_endoscopy_bad.txt"
    assert documents.to_json(draft(path)) == documents.to_json(draft(path))


def test_a_page_is_drafted_in_little_time() -> None:
    """Once the text is there, a sample of two pages takes 150 ms of processor (bench: 30 ms a page)."""
    text = (SAMPLES / "a_arthroscopy_us_bullets.txt").read_text(encoding="utf-8")
    draft_text(text)
    assert quiet_s(lambda: draft_text(text)) < 0.15


def test_readings_explain_themselves() -> None:
    """Each number and each verb of a sentence can say which pattern read it."""
    explained = {one.words: one.pattern for one in explain("Rinse 3 x 20 mL (see step 4), pH 7 to 9.")}
    assert explained == {
        "3 x 20 mL": "multiple",
        "step 4": "reference",
        "pH 7 to 9": "acidity",
        "Rinse": "imperative: rinse",
    }
