"""`sinkside print evidence`: from a workspace and a code to the file, and its head found again."""

from __future__ import annotations

from pathlib import Path

import pypdfium2
import pytest

from sinkside.archive import create_workspace, open_archive
from sinkside.cli.app import run
from support.evidence_house import evidence_house_in


@pytest.fixture(scope="module")
def workspace(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workspace in which two sets stand in the store."""
    folder = tmp_path_factory.mktemp("evidence") / "workspace"
    create_workspace(folder)
    archive = open_archive(folder)
    evidence_house_in(archive)
    archive.close()
    return folder


def test_a_pack_is_printed_and_its_head_is_found_again(
    workspace: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """One command prints the file and its head; another finds that head in the chain."""
    out = tmp_path / "file.pdf"
    assert (
        run(["print", "evidence", "--workspace", str(workspace), "--code", "SET-1", "--out", str(out)]) == 0
    )
    head = capsys.readouterr().out.partition("head ")[2].split()[0]
    document = pypdfium2.PdfDocument(out)
    text = "".join(document[at].get_textpage().get_text_range() for at in range(len(document)))
    assert head in text
    assert "by the command line, where nobody is signed in" in " ".join(text.split())
    assert run(["check", "--workspace", str(workspace), "--head", f"north={head}"]) == 0
    assert "nothing is wrong" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("more", "said"),
    [(["--code", "NO"], "no set here has the code NO"), (["--code", "SET-1", "--at", "x"], "north")],
)
def test_what_is_not_there_is_said_in_a_sentence(
    workspace: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], more: list[str], said: str
) -> None:
    """A code that no set has, and a department that is none: exit status 2, and nothing is written."""
    out = tmp_path / "none.pdf"
    assert run(["print", "evidence", "--workspace", str(workspace), *more, "--out", str(out)]) == 2
    assert said in capsys.readouterr().err
    assert not out.exists()
