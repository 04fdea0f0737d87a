"""Files in and out: what YAML text means, every fault with its place, nothing half-written."""

from __future__ import annotations

import json
import stat
from pathlib import Path
from typing import Literal

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import BaseModel, ConfigDict

from sinkside import documents
from sinkside.documents import load, parse, read_text, save, to_json, to_values, to_yaml, validate, write_text
from sinkside.errors import BadDocument, UnreadableFile
from sinkside.quantities import Quantity, Range


class _Leaf(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    name: str
    time: Quantity | None = None
    temperature: Range | None = None
    note: str = ""


class _Tree(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    format: Literal["sinkside/tree-1"] = "sinkside/tree-1"
    count: int = 1
    ready: bool = False
    leaves: tuple[_Leaf, ...] = ()


TREE = _Tree(
    count=2,
    leaves=(
        _Leaf(name="no", time=Quantity.parse("4 min"), note="8:30"),
        _Leaf(name="2026-02-11", temperature=Range(min=Quantity.parse("20 °C"), max=Quantity.parse("45 °C"))),
    ),
)


def test_the_field_on_needs_no_quotes() -> None:
    """The words that older YAML took for truth values stay words; only true and false are truth values.

    YAML 1.2.2, section 10.2.1.2 (core schema: `true | True | TRUE | false | False | FALSE`), from memory.
    """
    text = "on: [jaw]\nnote: off\nanswer: no\nbrushable: true\nsealed: False\nold: TRUE\n"
    assert parse(text, resource="step.yaml", is_yaml=True) == {
        "on": ["jaw"],
        "note": "off",
        "answer": "no",
        "brushable": True,
        "sealed": False,
        "old": True,
    }


def test_a_date_stays_the_words_that_stand_there() -> None:
    """An unquoted date is text, because documents carry dates as they were written."""
    assert parse("revised: 2026-02-11\n", resource="x.yaml", is_yaml=True) == {"revised": "2026-02-11"}


@pytest.mark.parametrize("ending", [".yaml", ".yml", ".json", ".YAML"])
def test_a_document_reads_back_exactly(ending: str, tmp_path: Path) -> None:
    """Written and read again it is equal, to the words of each quantity, and says its format."""
    path = tmp_path / f"tree{ending}"
    save(TREE, path)
    assert load(_Tree, path) == TREE
    assert to_values(load(_Tree, path)) == to_values(TREE)
    assert "sinkside/tree-1" in path.read_text("utf-8")


@given(st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]), min_size=1), st.integers(0, 9))
@settings(max_examples=150, deadline=None)
def test_any_words_read_back_exactly_from_yaml_and_json(words: str, count: int) -> None:
    """Whatever stands in a text field, a word, a number, a sign, comes back as it was."""
    tree = _Tree(count=count, leaves=(_Leaf(name=words, note=words),))
    for text, is_yaml in ((to_yaml(tree), True), (to_json(tree), False)):
        assert validate(_Tree, parse(text, resource="t", is_yaml=is_yaml), resource="t") == tree


def test_yaml_says_only_what_somebody_said_and_json_says_all() -> None:
    """People read YAML, so defaults are left out; scripts read JSON, so they are not."""
    assert yaml.safe_load(to_yaml(_Tree())) == {"format": "sinkside/tree-1"}
    assert json.loads(to_json(_Tree())) == {
        "format": "sinkside/tree-1",
        "count": 1,
        "ready": False,
        "leaves": [],
    }
    assert "\n" not in to_json(TREE, compact=True)


def test_every_fault_is_told_with_its_path() -> None:
    """Four faults in one document are four faults in one error: unknown, missing, wrong type, wrong unit."""
    values = {
        "count": "many",
        "colour": "red",
        "leaves": [
            {"note": "x"},
            {"name": "a", "time": "4 furlongs", "temperature": {"min": "45 °C", "max": "20 °C"}},
        ],
    }
    with pytest.raises(BadDocument) as caught:
        validate(_Tree, values, resource="tree.yaml")
    faults = {fault.path: fault.problem for fault in caught.value.faults}
    assert faults["colour"] == "unknown field"
    assert faults["leaves[0].name"] == "missing; it is required"
    assert faults["leaves[1].time"] == "'furlongs' is no unit that Sinkside knows"
    assert faults["leaves[1].temperature"] == "the range runs backwards, from 45 °C to 20 °C"
    assert faults["count"] == "expected a whole number"
    assert len(faults) == 5
    assert str(caught.value).startswith("tree.yaml: ")


@pytest.mark.parametrize(
    ("time", "problem"),
    [
        ("four minutes", "expected a number and a unit"),
        ("4", None),
        (4, None),
        (True, "expected a number and a unit"),
        ([4], "expected a number and a unit"),
        ("", "is no quantity"),
    ],
)
def test_a_quantity_is_a_number_and_a_unit(time: object, problem: str | None) -> None:
    """Words, truth values and lists are no quantities; a bare number has the unit 1."""
    values = {"leaves": [{"name": "a", "time": time}]}
    if problem is None:
        assert validate(_Tree, values, resource="t").leaves[0].time == Quantity(4.0, "1")
        return
    with pytest.raises(BadDocument, match=problem) as caught:
        validate(_Tree, values, resource="t")
    assert [fault.path for fault in caught.value.faults] == ["leaves[0].time"]


def test_another_format_is_refused() -> None:
    """A document of another kind is not read as this one."""
    with pytest.raises(BadDocument) as caught:
        validate(_Tree, {"format": "sinkside/bush-1"}, resource="t")
    assert [fault.path for fault in caught.value.faults] == ["format"]


@pytest.mark.parametrize("values", [None, [], "words", 4])
def test_what_has_no_fields_is_no_document(values: object) -> None:
    """A list, a number, a word or nothing is told plainly."""
    with pytest.raises(BadDocument, match="expected fields and values"):
        validate(_Tree, values, resource="t")


@pytest.mark.parametrize(
    ("name", "text", "problem"),
    [
        ("twice.yaml", "count: 1\nready: true\ncount: 2\n", "line 3, column 1: 'count' stands twice"),
        ("deep.yaml", "leaves:\n- {name: a, name: b}\n", "line 2, column 13: 'name' stands twice"),
        ("list.yaml", "[a, b]: 1\n", "a list is no field name"),
        ("open.yaml", "leaves: [a, b\ncount: 1\n", "expected YAML"),
        ("tab.yaml", "leaves:\n\t- a\n", "line 2, column 1"),
        ("tag.yaml", "count: !!python/object/apply:os.getcwd []\n", "expected YAML"),
        ("open.json", '{"count": 1,\n "ready": }', "line 2, column 11"),
        ("yaml.json", "count: 1\n", "line 1, column 1"),
    ],
)
def test_text_that_cannot_be_parsed_is_told_with_line_and_column(
    name: str, text: str, problem: str, tmp_path: Path
) -> None:
    """One sentence with the file, the line and the column; nothing in a file is ever executed."""
    path = tmp_path / name
    path.write_text(text, "utf-8")
    with pytest.raises(UnreadableFile) as caught:
        load(_Tree, path)
    assert problem in str(caught.value)
    assert str(caught.value).startswith(str(path))


def test_a_key_twice_in_json_is_told_as_in_yaml(tmp_path: Path) -> None:
    """JSON keeps the last of two equal keys silently; a document of ours may not."""
    path = tmp_path / "twice.json"
    path.write_text('{"count": 1, "count": 2}', "utf-8")
    with pytest.raises(UnreadableFile, match="'count' stands twice"):
        load(_Tree, path)


@pytest.mark.parametrize("is_yaml", [True, False])
def test_a_number_of_ten_thousand_digits_is_refused(is_yaml: bool) -> None:
    """Python will not convert such a number; that is told as a fault of the file."""
    text = ("count: " if is_yaml else "") + "1" * 10_000
    with pytest.raises(UnreadableFile, match="cannot be read"):
        parse(text, resource="big", is_yaml=is_yaml)


def test_a_device_that_never_ends_is_not_read_to_the_end() -> None:
    """A file that tells no size is read to the limit and no further."""
    with pytest.raises(UnreadableFile, match="too large"):
        documents.read_bytes(Path("/dev/zero"), most=1000)


def test_a_few_lines_that_unfold_into_millions_are_refused() -> None:
    """Aliases of aliases multiply; such a file is told as what it is before it fills the memory."""
    lines = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    lines += [f"a{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 10)}]" for n in range(1, 8)]
    with pytest.raises(UnreadableFile, match="unfolds into more than 200,000 values"):
        parse("\n".join(lines), resource="bomb.yaml", is_yaml=True)


@pytest.mark.parametrize(
    ("content", "problem"),
    [
        (None, "there is no such file"),
        (b"", "the file is empty"),
        (b" \n\t\n", "the file is empty"),
        (b"\x7fELF\0\0\0", "this is a binary file; expected text"),
    ],
)
def test_a_file_that_is_missing_empty_or_binary_is_told(
    content: bytes | None, problem: str, tmp_path: Path
) -> None:
    """Each way of being no document has its own sentence."""
    path = tmp_path / "tree.yaml"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(UnreadableFile, match=problem):
        load(_Tree, path)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "latin-1"])
def test_text_is_read_whatever_its_encoding(encoding: str, tmp_path: Path) -> None:
    """What a plain editor may save a text as comes back letter by letter."""
    text = "Spülen Sie das Gerät 5 min bei 35 °C.\n" * 3
    path = tmp_path / "text.txt"
    path.write_bytes(text.encode(encoding))
    assert read_text(path) == text


def test_zeros_that_stand_anywhere_are_no_text() -> None:
    """Only the zeros of every other byte speak for UTF-16: others belong to a binary file."""
    with pytest.raises(UnreadableFile, match="this is a binary file; expected text"):
        documents.decoded(bytes([0, 0, 0, 7, 65, 0, 9, 8, 0, 0, 66, 67] * 50))


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    """A folder is told as a folder."""
    with pytest.raises(UnreadableFile, match="this is a folder; expected a file"):
        load(_Tree, tmp_path)


def test_a_file_that_is_too_large_is_not_read(tmp_path: Path) -> None:
    """A file above the limit is refused by its size, in a sentence that names both."""
    path = tmp_path / "huge.yaml"
    with path.open("wb") as file:
        file.truncate(documents.LARGEST_DOCUMENT_BYTES + 1)
    with pytest.raises(UnreadableFile, match="20 MB is too large; at most 20 MB"):
        load(_Tree, path)


def test_text_may_be_utf_8_with_mark_or_latin_1(tmp_path: Path) -> None:
    """A byte-order mark is dropped, and text that is no UTF-8 is read as Latin-1."""
    path = tmp_path / "text.txt"
    for encoding in ("utf-8", "utf-8-sig", "latin-1"):
        path.write_bytes("132 °C".encode(encoding))
        assert read_text(path) == "132 °C"


def test_a_write_that_fails_leaves_the_old_file_and_no_remains(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A full disk in the middle of writing neither harms what was there nor leaves pieces behind."""
    path = tmp_path / "tree.yaml"
    write_text(path, "old")

    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("sinkside.documents.os.fsync", full)
    with pytest.raises(UnreadableFile, match="No space left on device"):
        write_text(path, "new")
    assert [file.name for file in tmp_path.iterdir()] == ["tree.yaml"]
    assert path.read_text() == "old"


def test_a_place_that_does_not_exist_is_told(tmp_path: Path) -> None:
    """Writing into a folder that is not there is one sentence."""
    with pytest.raises(UnreadableFile, match="it cannot be written"):
        save(TREE, tmp_path / "nowhere" / "tree.yaml")


def test_a_written_file_can_be_read_by_the_one_who_wrote_it(tmp_path: Path) -> None:
    """The file takes its place whole, and nothing else is left beside it."""
    path = tmp_path / "tree.json"
    save(TREE, path)
    assert path.stat().st_mode & stat.S_IRUSR
    assert [file.name for file in tmp_path.iterdir()] == ["tree.json"]


def test_a_word_that_is_none_of_some_is_told_with_those() -> None:
    """A word outside its list comes back with the words that were expected, in our own sentence."""
    from sinkside.department import Air, Machine

    kinds: list[tuple[type[BaseModel], dict[str, object], str]] = [
        (Air, {"id": "a", "name": "air", "grade": "room", "pressure": {"max": "2 bar"}}, "'instrument' or"),
        (Machine, {"id": "m", "name": "m", "kind": "kettle"}, "'washer-disinfector', "),
    ]
    for kind, values, told in kinds:
        with pytest.raises(BadDocument) as refused:
            validate(kind, values, resource="")
        (fault,) = refused.value.faults
        assert "is none of these; expected " in fault.problem
        assert told in fault.problem
