"""Whatever the text, the draft comes back whole, keeps every figure, and says the same twice."""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from sinkside import documents
from sinkside.draft import draft, draft_text, explain
from sinkside.errors import UnreadableFile
from sinkside.instruction import Instruction

SAMPLES = Path(__file__).parent.parent / "samples"

_UNITS = ("min", "mL", "°C", "kHz", "bar", "mm", "%", "s", "h", "kg", "mg/L", "ppm", "Nm", "times")
_OPENINGS = ("Soak for", "Do not exceed", "The value is at most", "Rinse with", "Note:", "About", "within")
_HEADINGS = ("Cleaning", "Warnings", "Sterilization", "Zorbling", "Storage")
_JOINTS = (" and ", ", ", "; ", " (", " - ", " x ", " or up to ", "/")


def _everything(instruction: Instruction) -> str:
    return documents.to_json(instruction)


_figure = st.tuples(st.integers(1, 9999), st.sampled_from(_UNITS))
_sentence = st.tuples(
    st.sampled_from(_OPENINGS), st.lists(_figure, min_size=1, max_size=4), st.sampled_from(_JOINTS)
)


def _kept(instruction: Instruction) -> str:
    figures = [figure.as_written for step in instruction.steps for figure in step.figures]
    figures += [figure.as_written for statement in instruction.statements for figure in statement.figures]
    figures += [limit.as_written for limit in instruction.device.limits]
    return " ".join([*figures, *(one.text for one in instruction.not_understood)])


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(_HEADINGS), st.lists(_sentence, min_size=1, max_size=4))
def test_every_figure_finds_a_place(
    heading: str, sentences: list[tuple[str, list[tuple[int, str]], str]]
) -> None:
    """Each number with a unit stands in a step, a statement, a limit or under 'not understood'."""
    lines = [
        f"- {opening} {joint.join(f'{number} {unit}' for number, unit in figures)}."
        for opening, figures, joint in sentences
    ]
    kept = _kept(draft_text("\n\n".join([f"{heading}", *lines])))
    for _, figures, _ in sentences:
        for number, _ in figures:
            assert str(number) in kept


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
    name = data.draw(st.sampled_from(sorted(path.name for path in SAMPLES.glob("*.txt"))))
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
    assert _everything(draft(path)) == _everything(draft(path))


def test_a_page_is_drafted_in_little_time() -> None:
    """After the text is there, a page of 500 words takes a fraction of a second (bar of the bench: 30 ms)."""
    text = (SAMPLES / "a_arthroscopy_us_bullets.txt").read_text(encoding="utf-8")
    draft_text(text)
    begin = time.perf_counter()
    draft_text(text.replace("Rev. D", "Rev. E"))
    assert time.perf_counter() - begin < 0.5


def test_readings_explain_themselves() -> None:
    """Each number and each verb of a sentence can say which pattern read it."""
    explained = {one.words: one.pattern for one in explain("Rinse 3 x 20 mL (see step 4), pH 7 to 9.")}
    assert explained == {
        "3 x 20 mL": "multiple",
        "step 4": "reference",
        "pH 7 to 9": "acidity",
        "Rinse": "imperative: rinse",
    }
