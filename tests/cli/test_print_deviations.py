"""`sinkside print deviations`: a month on paper, out of a workspace."""

from __future__ import annotations

from pathlib import Path

import pytest

from sinkside.aids.papers import sheets
from sinkside.archive import create_workspace, open_archive
from sinkside.cli.app import run
from support.bench_house import bench_house


@pytest.fixture(scope="module")
def workspace(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workspace of one department."""
    folder = tmp_path_factory.mktemp("deviations") / "workspace"
    create_workspace(folder)
    archive = open_archive(folder)
    bench_house(archive=archive)
    archive.close()
    return folder


def test_a_month_is_printed(workspace: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One command, one file, and a line that says where it is."""
    out = tmp_path / "month.pdf"
    asked = ["print", "deviations", "--workspace", str(workspace), "--month", "2026-03", "--out", str(out)]
    assert run(asked) == 0
    assert sheets(out.read_bytes()) >= 1
    assert f"deviations of 2026-03 → {out}" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("more", "said"),
    [(["--month", "march"], "expected a month, such as 2026-03"), (["--at", "x"], "north")],
)
def test_what_cannot_be_printed_says_why(
    workspace: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], more: list[str], said: str
) -> None:
    """Exit status 2, one sentence, and no file."""
    out = tmp_path / "none.pdf"
    assert run(["print", "deviations", "--workspace", str(workspace), *more, "--out", str(out)]) == 2
    assert said in capsys.readouterr().err
    assert not out.exists()
