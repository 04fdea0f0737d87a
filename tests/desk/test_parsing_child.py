"""Documents from outside in a child: one sentence on every way to go wrong, and nothing left behind."""

from __future__ import annotations

import io
import subprocess
import sys
import tempfile
from pathlib import Path

import docx
import pytest

from sinkside.desk.parsing_child import ChildLimits, Stopped, run_child
from sinkside.errors import UnreadableFile
from support.hostile_files import book
from support.served import all_gone
from support.watching import descendants

TEXT = b"Cleaning\n\n1. Soak the device for at least 5 min in water of 35 \xc2\xb0C.\n"


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))


def test_a_text_comes_back_as_plain_values(tmp_path: Path) -> None:
    """The child drafts a text, and its folder is gone afterwards."""
    made = run_child("draft", [("../../etc/ifu.txt", TEXT)])
    assert [(step["stage"], step["action"]) for step in made["steps"]] == [("cleaning", "soak")]
    assert made["device"]["document"]["file"] == "ifu.txt"
    assert list(tmp_path.iterdir()) == []


def test_a_word_processor_file_is_drafted_and_shown_by_its_lines() -> None:
    """What is shown beside a step are the lines that the draft counted."""
    document = docx.Document()
    document.add_heading("Cleaning", 1)
    document.add_paragraph("Soak the device for at least 5 min in water of 35 °C.", style="List Number")
    data = io.BytesIO()
    document.save(data)
    made = run_child("draft", [("ifu.docx", data.getvalue())])
    lines = run_child("lines", [("ifu.docx", data.getvalue())])
    (step,) = made["steps"]
    assert step["origin"]["text"] in lines[step["origin"]["line"] - 1]
    assert lines == ["Cleaning", "1. Soak the device for at least 5 min in water of 35 °C."]


def test_what_cannot_be_read_is_told_without_our_folders(tmp_path: Path) -> None:
    """An HTML page named .pdf gets the reader's sentence with its name, and no path of this machine."""
    with pytest.raises(UnreadableFile) as told:
        run_child("draft", [("ifu.pdf", b"<html><body>hello</body></html>")])
    assert str(told.value).startswith("ifu.pdf: ")
    assert str(tmp_path) not in str(told.value)


@pytest.mark.parametrize(
    ("limits", "sentence"),
    [
        (ChildLimits(memory_bytes=40_000_000), "too much memory"),
        (ChildLimits(clock_s=0.01), "longer than 0.01 s"),
    ],
)
def test_limits_end_the_child_with_one_sentence(tmp_path: Path, limits: ChildLimits, sentence: str) -> None:
    """Too little memory or time ends the child, says so, and leaves nothing behind."""
    with pytest.raises(UnreadableFile, match=sentence):
        run_child("draft", [("ifu.txt", TEXT)], limits=limits)
    assert list(tmp_path.iterdir()) == []


_STARTS_AND_WAITS = """
import os
from sinkside.desk import parsing_child

def go_on() -> bool:
    print(os.getpid(), flush=True)
    return True

parsing_child.run_child("draft", [("ifu.pdf", open("{path}", "rb").read())], go_on=go_on)
"""


def test_a_child_dies_with_whoever_asked(tmp_path: Path) -> None:
    """When the worker is killed, the child that reads a long document for it is gone at once."""
    path = tmp_path / "book.pdf"
    path.write_bytes(book(200))
    code = _STARTS_AND_WAITS.format(path=path)
    asker = subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE)
    assert asker.stdout is not None
    with asker.stdout as said:
        assert said.readline()
        said.readline()
        children = descendants(asker.pid)
        assert children
        asker.kill()
        asker.wait()
    assert all(all_gone(child, within_s=5) for child in children)


def test_a_child_is_ended_when_the_work_is_to_stop() -> None:
    """Once the work is not to go on the child is ended."""
    with pytest.raises(Stopped):
        run_child("draft", [("ifu.txt", TEXT)], go_on=lambda: False)
