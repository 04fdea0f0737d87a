"""The documentation says what the program does, no more and no less."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from typer.main import get_command

from sinkside.cli.app import app
from sinkside.desk.pages import pages

ROOT = Path(__file__).parents[1]


def _verbs() -> dict[str, list[str]]:
    """Every command with its options, as the command line itself knows them."""
    verbs: dict[str, list[str]] = {}

    def walk(prefix: str, command: object) -> None:
        for name, child in getattr(command, "commands", {}).items():
            walk(f"{prefix} {name}".strip(), child)
        if not hasattr(command, "commands"):
            verbs[prefix] = [
                option
                for parameter in getattr(command, "params", [])
                for option in parameter.opts
                if option.startswith("--") and option != "--help"
            ]

    walk("", get_command(app))
    return verbs


VERBS = _verbs()


@pytest.mark.parametrize("verb", sorted(VERBS))
def test_every_command_and_option_is_documented(verb: str) -> None:
    """docs/using.md has a heading for the command, and its section names every option."""
    text = (ROOT / "docs/using.md").read_text("utf-8")
    intro, *sections = re.split(r"^## ", text, flags=re.MULTILINE)
    section = next((part for part in sections if part.startswith(f"`sinkside {verb}")), None)
    assert section is not None, f"no heading for {verb}"
    assert [option for option in VERBS[verb] if option not in section and option not in intro] == []


def test_no_command_is_documented_that_does_not_exist() -> None:
    """Every heading of docs/using.md is a command of the program."""
    text = (ROOT / "docs/using.md").read_text("utf-8")
    headings = re.findall(r"^## `sinkside ((?:[a-z]+(?:-[a-z]+)* ?)+)", text, re.MULTILINE)
    assert [name.strip() for name in headings if name.strip() not in VERBS] == []


def test_every_command_of_the_operations_page_exists_with_its_options() -> None:
    """Each line of docs/operations.md that runs the program names a verb and options that it has."""
    text = (ROOT / "docs/operations.md").read_text("utf-8")
    lines = re.findall(r"^    sinkside ([a-z]+(?:-[a-z]+)*)(.*)$", text, re.MULTILINE)
    running = {"serve", "worker", "backup", "restore", "check", "upgrade", "move", "archive-traces"}
    assert {verb for verb, _ in lines} >= running
    wrong = [
        f"{verb} {option}"
        for verb, rest in lines
        for option in re.findall(r"--[a-z-]+", rest)
        if option not in VERBS.get(verb, ())
    ]
    assert wrong == []


@pytest.mark.parametrize("page", ["README.md", *sorted(p.name for p in (ROOT / "docs").glob("*.md"))])
def test_links_between_pages_lead_somewhere(page: str) -> None:
    """Every relative link of the README and of docs points at a file that exists."""
    path = ROOT / page if page == "README.md" else ROOT / "docs" / page
    targets = re.findall(r"\]\(([^)#]+)[^)]*\)", path.read_text("utf-8"))
    dead = [target for target in targets if "://" not in target and not (path.parent / target).exists()]
    assert dead == []


def test_generated_pages_are_in_step_with_the_program() -> None:
    """The pages of rules and sources say what the program says; `make docs` writes them."""
    stale = [name for name, text in pages().items() if (ROOT / "docs" / name).read_text("utf-8") != text]
    assert stale == []
