"""The rules of the house that no linter knows."""

from __future__ import annotations

import ast
import re
import subprocess
import tomllib
from importlib import metadata
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
LONGEST_FILE = 400
LONGEST_BODY = 40

#: Licences that may be depended upon: permissive, or weak copyleft used as an unchanged library.
ALLOWED_LICENCES = re.compile(
    r"apache|bsd|\bmit|isc|psf|python software|mpl|mozilla|ofl|open font|unlicense|zlib|lgpl|hpnd",
    re.IGNORECASE,
)


def _tracked(*patterns: str) -> list[Path]:
    """Files that git tracks, or would track, under some patterns."""
    listed = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard", "--", *patterns],  # noqa: S607 # git is git
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    ).stdout.split("\n")
    return [ROOT / name for name in listed if name and (ROOT / name).is_file()]


def _functions(path: Path) -> list[ast.FunctionDef | ast.AsyncFunctionDef]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return [node for node in ast.walk(tree) if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef))]


def _body_lines(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines of the body without its docstring."""
    body = function.body[1:] if ast.get_docstring(function) else function.body
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0


def test_files_and_functions_stay_short() -> None:
    """No source file passes 400 lines and no function body passes 40."""
    long_files = [
        str(path) for path in _tracked("src/*.py") if len(path.read_text("utf-8").splitlines()) > LONGEST_FILE
    ]
    long_bodies = [
        f"{path.relative_to(ROOT)}:{function.lineno} {function.name}"
        for path in _tracked("src/*.py")
        for function in _functions(path)
        if _body_lines(function) > LONGEST_BODY
    ]
    assert long_files == []
    assert long_bodies == []


def test_every_test_says_what_it_shows() -> None:
    """Every test function has a docstring of one sentence or more."""
    silent = [
        f"{path.relative_to(ROOT)}:{function.lineno} {function.name}"
        for path in _tracked("tests/*.py")
        for function in _functions(path)
        if function.name.startswith("test_") and not ast.get_docstring(function)
    ]
    assert silent == []


def test_nothing_is_left_to_do() -> None:
    """No file carries a reminder of unfinished work."""
    reminder = re.compile(r"\b(TO" + r"DO|FIX" + r"ME|XX" + r"X)\b|NotImplemented" + "Error")
    left = [
        str(path.relative_to(ROOT))
        for path in _tracked("src/*.py", "tests/*.py", "tools/*", "docs/*.md", "*.md")
        if reminder.search(path.read_text("utf-8", errors="ignore"))
    ]
    assert left == []


def test_lock_files_hold_hashes_and_no_addresses() -> None:
    """Each locked package carries hashes, and no lock file names a host."""
    for lock in (ROOT / "requirements").glob("*.txt"):
        text = lock.read_text("utf-8")
        packages = re.findall(r"^[a-z0-9][^ \n]*==", text, re.MULTILINE)
        assert packages
        assert text.count("--hash=sha256:") >= len(packages)
        assert "://" not in text
        assert "index-url" not in text


def test_dependencies_carry_licences_that_we_may_build_on() -> None:
    """Every package of the run-time lock file is under a licence of the allow-list."""
    text = (ROOT / "requirements" / "run.txt").read_text("utf-8")
    names = sorted(set(re.findall(r"^([a-z0-9][a-z0-9._-]*)==", text, re.MULTILINE)))
    refused = {}
    for name in names:
        try:
            about = metadata.metadata(name)
        except metadata.PackageNotFoundError:
            continue  # locked for another platform
        said = [
            line
            for key in ("License-Expression", "License", "Classifier")
            for line in about.get_all(key) or []
        ]
        licence = " ".join(line[:200] for line in said if "::" not in line or line.startswith("License"))
        if not ALLOWED_LICENCES.search(licence):
            refused[name] = licence
    assert refused == {}


@pytest.mark.parametrize("module", ["sinkside.errors", "sinkside.cli.app"])
def test_importing_wakes_no_heavy_library(module: str) -> None:
    """Importing the command line loads neither arrays nor units nor the PDF writer."""
    heavy = ("numpy", "polars", "pint", "CoolProp", "typst", "pdfplumber", "pydantic", "babel", "pyarrow")
    code = f"import sys, {module}; print([name for name in {heavy!r} if name in sys.modules])"
    loaded = subprocess.run(
        [str(ROOT / ".venv/bin/python"), "-c", code], capture_output=True, text=True, check=True
    ).stdout.strip()
    assert loaded == "[]"


def test_the_version_is_in_the_changelog_or_unreleased() -> None:
    """The changelog has a section for what is not released yet."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
    assert project["project"]["license"] == "Apache-2.0"
    assert "## [Unreleased]" in (ROOT / "CHANGELOG.md").read_text("utf-8")
