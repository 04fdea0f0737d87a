"""What reaches the terminal, whatever stands in a file or a file's name."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from sinkside.cli.output import say, show

UNSAFE = "\x1b[31mpunch\x07 \x7f\x9b2J \u202egnp \udcff °C 😀"


@pytest.mark.parametrize("encoding", ["utf-8", "ascii", "latin-1"])
def test_nothing_steers_the_terminal_and_json_stays_json(
    encoding: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Escapes are shown, not obeyed; read as JSON they are the same text in every encoding."""
    raw = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(raw, encoding=encoding))
    show(json.dumps({"name": UNSAFE}, ensure_ascii=False))
    written = raw.getvalue().decode(encoding)
    assert not set("\x1b\x07\x7f\x9b\u202e") & set(written)
    assert json.loads(written) == {"name": UNSAFE}


def test_a_name_with_a_line_end_stays_one_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    """A file's name cannot forge a second line of ours."""
    say("a\nsinkside: all is well.csv: there is no such file")
    assert capsys.readouterr().err.count("\n") == 1


@pytest.mark.parametrize("redirection", [">&-", ">/dev/full"])
def test_output_that_takes_nothing_is_told(redirection: str) -> None:
    """Closed or full standard output is one sentence and status 2, not a crash."""
    done = subprocess.run(
        ["/bin/sh", "-c", f'"$0" -m sinkside limits --json {redirection}', sys.executable],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert done.stderr.startswith("sinkside: standard output: ")
    assert done.stderr.count("\n") == 1


def test_without_standard_error_the_answer_still_comes(tmp_path: Path) -> None:
    """Progress that nobody can see is left out, and the work is done."""
    done = subprocess.run(
        ["/bin/sh", "-c", '"$0" -m sinkside demo there 2>&-', sys.executable],
        stdout=subprocess.PIPE,
        cwd=tmp_path,
        env=dict(os.environ),
        check=False,
    )
    assert done.returncode == 0
    assert (tmp_path / "there" / "report.html").is_file()
