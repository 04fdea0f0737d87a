"""The set as a document."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

import pytest

from sinkside.documents import load, save, to_values, validate
from sinkside.errors import BadDocument
from sinkside.sets import SetDocument, read_set

DEMO = Path(str(resources.files("sinkside").joinpath("demo", "data", "set.yaml")))


@pytest.mark.parametrize("ending", [".yaml", ".json"])
def test_a_set_reads_back_exactly(ending: str, tmp_path: Path) -> None:
    """The demo's set, written and read again, is the same set."""
    found = load(SetDocument, DEMO)
    path = tmp_path / f"set{ending}"
    save(found, path)
    assert load(SetDocument, path) == found
    assert to_values(load(SetDocument, path)) == to_values(found)


@pytest.mark.parametrize(
    ("members", "problem"),
    [
        ([], "a set has at least one member"),
        ([{"instruction": "hook", "count": 0}], "members[0].count"),
        ([{"count": 2}], "members[0].instruction: missing"),
    ],
)
def test_a_set_without_members_or_with_none_of_one_is_refused(members: list[object], problem: str) -> None:
    """The fault names the field."""
    with pytest.raises(BadDocument) as caught:
        validate(SetDocument, {"name": "Set 1", "members": members}, resource="set.yaml")
    assert problem in str(caught.value)


def test_every_fault_of_a_document_is_told_with_its_path() -> None:
    """Names that stand twice and references to nothing, each where it stands, all at once."""
    members = [
        {"instruction": "hook", "apart": [{"of": "rod", "why": "Edge"}, {"of": "hook", "why": "Edge"}]},
        {"instruction": "hook", "parts": [{"part": "tip"}, {"part": "tip"}], "mates": ["hook"]},
    ]
    with pytest.raises(BadDocument) as caught:
        read_set({"name": "Set 1", "members": members}, resource="set.yaml")
    assert [fault.path for fault in caught.value.faults] == [
        "members[0].apart[0].of",
        "members[0].apart[1].of",
        "members[1].name",
        "members[1].parts[1].part",
        "members[1].mates[0]",
    ]


def test_what_is_no_mass_is_refused() -> None:
    """A time, nothing, and less than nothing are no masses; each fault has its path."""
    members = [{"instruction": "hook", "mass": "4 min", "parts": [{"part": "tip", "mass": "0 g"}]}]
    with pytest.raises(BadDocument) as caught:
        validate(SetDocument, {"name": "Set 1", "members": members, "mass": "-1 kg"}, resource="set.yaml")
    assert [fault.path for fault in caught.value.faults] == [
        "members[0].parts[0].mass",
        "members[0].mass",
        "mass",
    ]
