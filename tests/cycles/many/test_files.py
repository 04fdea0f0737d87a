"""Many files: the same answers in any number of processes, and one bad file stops nobody."""

from __future__ import annotations

from pathlib import Path

import pytest

from sinkside.cycles import Unread, Verdict, judge_file, judge_many
from sinkside.department import Program
from sinkside.documents import to_json
from sinkside.errors import BadInput


def test_many_processes_give_the_same_bytes(traces: Path, programs: dict[str, Program]) -> None:
    """Two processes answer bit for bit what one file after the other gives, in the order asked."""
    paths = sorted(traces.glob("*.csv"))[:8]
    shared = list(judge_many(paths, programs["134-3"], processes=2))
    single = list(judge_many(paths, programs["134-3"], processes=1))
    assert [to_json(answer) for answer in shared] == [to_json(answer) for answer in single]
    assert [answer.trace for answer in shared] == [path.name for path in paths]
    assert to_json(shared[0]) == to_json(judge_file(paths[0], programs["134-3"]))


def test_a_bad_file_gets_its_sentence_and_the_rest_go_on(
    traces: Path, tmp_path: Path, programs: dict[str, Program]
) -> None:
    """A binary file between two good ones becomes an error line with its name."""
    bad = tmp_path / "bad.csv"
    bad.write_bytes(b"\x00" * 100)
    answers = list(judge_many([traces / "r-009.csv", bad, traces / "r-014.csv"], programs["132-4"]))
    assert [type(answer) for answer in answers] == [Verdict, Unread, Verdict]
    assert isinstance(answers[1], Unread)
    assert answers[1].trace == "bad.csv"
    assert "binary" in answers[1].error


def test_what_no_file_can_help_is_refused_at_once(traces: Path, programs: dict[str, Program]) -> None:
    """An unknown profile, or programs that do not pair with the files, are refused before reading."""
    with pytest.raises(BadInput, match="profile"):
        judge_many([traces / "r-009.csv"], programs["132-4"], profile="nowhere")
    with pytest.raises(ValueError, match="do not pair"):
        judge_many([traces / "r-009.csv"], [programs["132-4"], programs["134-3"]])
