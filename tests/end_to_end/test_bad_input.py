"""Bad input gets one plain sentence with the place, exit status 2, and nothing half-written."""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from support.command import ROOT, SAMPLES, Sinkside

TRACES = SAMPLES / "traces"
PROGRAM = TRACES / "132-4.yaml"
DOCUMENT = SAMPLES / "a_arthroscopy_us_bullets.txt"
SOME_PDF = next((ROOT / "src/sinkside/demo/documents").glob("*.pdf"))

HEAD = "format: sinkside/program-1\nkind: steam-prevacuum\nname: x\n"
WRONG_UNIT = f"{HEAD}exposure: {{temperature: 4 min, time: 4 min}}\n"
UNKNOWN_FIELD = f"{HEAD}expsure: {{}}\n"

MAKE: dict[str, Callable[[Path], object]] = {
    "missing": lambda path: path.unlink(missing_ok=True),
    "empty": lambda path: path.write_bytes(b""),
    "binary": lambda path: path.write_bytes(bytes(range(256)) * 20),
    "truncated": lambda path: path.write_bytes(SOME_PDF.read_bytes()[:3000]),
    "folder": lambda path: path.mkdir(),
}


def _one_sentence(err: str, path: Path) -> None:
    lines = [line for line in err.splitlines() if line.strip()]
    assert len(lines) == 1, err
    assert path.name in lines[0]
    assert "Traceback" not in err


@pytest.mark.parametrize("fault", ["missing", "empty", "binary", "truncated", "folder"])
@pytest.mark.parametrize("verb", ["draft", "review"])
def test_documents_that_cannot_be_read(sinkside: Sinkside, tmp_path: Path, verb: str, fault: str) -> None:
    """A document that is missing, empty, binary, cut off or a folder is named in one sentence."""
    path = tmp_path / ("given.pdf" if fault == "truncated" else "given.txt")
    MAKE[fault](path)
    answer = sinkside(verb, path, "--json")
    assert answer.status == 2
    assert answer.out == ""
    _one_sentence(answer.err, path)


@pytest.mark.parametrize("fault", ["missing", "empty", "binary", "folder"])
@pytest.mark.parametrize("kind", ["instruction", "department", "program", "trace"])
def test_files_that_cannot_be_read(sinkside: Sinkside, tmp_path: Path, kind: str, fault: str) -> None:
    """The same for instructions, departments, programs and recorder files."""
    path = tmp_path / ("given.csv" if kind == "trace" else "given.yaml")
    MAKE[fault](path)
    command: dict[str, list[str | Path]] = {
        "instruction": ["review", path],
        "department": ["route", DOCUMENT, "--department", path],
        "program": ["judge", TRACES / "r-009.csv", "--program", path],
        "trace": ["judge", path, "--program", PROGRAM],
    }
    answer = sinkside(*command[kind])
    assert answer.status == 2
    told = answer.out if kind == "trace" else answer.err
    assert path.name in told
    assert "Traceback" not in answer.err


@pytest.mark.parametrize(
    ("text", "place"),
    [
        (WRONG_UNIT, "exposure"),
        (UNKNOWN_FIELD, "expsure"),
        ("format: sinkside/program-1\nname: [\n", "line 3"),
        ("kind: steam-prevacuum\nkind: steam-gravity\n", "line 2"),
        ("- a list\n", "fields"),
    ],
)
def test_faults_in_a_program_are_placed(sinkside: Sinkside, tmp_path: Path, text: str, place: str) -> None:
    """A wrong unit, an unknown field, a slip of YAML or a doubled key: file and place are named."""
    path = tmp_path / "program.yaml"
    path.write_text(text, encoding="utf-8")
    answer = sinkside("judge", TRACES / "r-009.csv", "--program", path)
    assert answer.status == 2
    _one_sentence(answer.err, path)
    assert place in answer.err


@pytest.mark.parametrize(
    "arguments",
    [
        ["judge", "x.csv"],
        ["draft", str(DOCUMENT), "--nonsense"],
        ["limits", "--profile", "atlantis"],
        ["schema", "nothing"],
        ["simulate", "no-such-fault", "--program", str(PROGRAM), "--seed", "1", "--out", "/tmp/never.csv"],  # noqa: S108
        ["no-such-verb"],
        ["judge", str(TRACES / "r-009.csv"), "--program", str(PROGRAM), "--altitude", "high"],
    ],
)
def test_commands_that_cannot_be_run(sinkside: Sinkside, arguments: list[str]) -> None:
    """A wrong command, option or name is answered by one sentence and exit status 2."""
    answer = sinkside(*arguments)
    assert answer.status == 2
    assert answer.out == ""
    assert len([line for line in answer.err.splitlines() if line.strip()]) == 1, answer.err


def test_nothing_is_half_written(sinkside: Sinkside, tmp_path: Path) -> None:
    """A paper that cannot be written leaves nothing behind."""
    out = tmp_path / "no-such-folder" / "poster.yaml"
    answer = sinkside("draft", DOCUMENT, "--out", out)
    assert answer.status == 2
    assert list(tmp_path.iterdir()) == []


def test_a_closed_pipe_is_no_crash() -> None:
    """When the reader of the output goes away, as `| head` does, the command ends quietly."""
    writer = subprocess.Popen(
        [ROOT / ".venv/bin/sinkside", "limits"], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    assert writer.stdout
    assert writer.stderr
    writer.stdout.close()
    told = writer.stderr.read()
    writer.stderr.close()
    writer.wait(timeout=60)
    assert "Traceback" not in told
