"""The catalogues of plain words: the same in every language, each plural, every field, no figure."""

from __future__ import annotations

import ast
import re
import string
from collections.abc import Iterator
from importlib import resources
from pathlib import Path

import pytest

from sinkside.language import catalogue, locale_of
from sinkside.plain import LANGUAGES, Template
from sinkside.plain.counted import COUNTED, PIECES, UNITS_IN_WORDS
from sinkside.plain.examples import example
from sinkside.plain.reviewing import templates_of
from sinkside.plain.sections import plain_templates, sections

OTHERS = tuple(language for language in LANGUAGES if language != "en")
AIDS = Path(str(resources.files("sinkside.aids")))
PLURAL = {*COUNTED.values(), *UNITS_IN_WORDS.values(), PIECES}


def _said_on_papers() -> Iterator[str]:
    """Every literal that some paper says."""
    for file in AIDS.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Attribute):
                continue
            said = node.args[0] if node.func.attr == "say" and node.args else None
            if isinstance(said, ast.Constant) and isinstance(said.value, str):
                yield said.value


@pytest.mark.parametrize("language", OTHERS)
def test_every_template_has_a_translation(language: str) -> None:
    """Whatever a step or a paper can say is there, and nothing more than in any other language."""
    here = {template.english for template in templates_of(language)}
    assert (plain_templates() | set(_said_on_papers())) - here == set()
    assert here == {template.english for template in templates_of("de")}


@pytest.mark.parametrize("language", OTHERS)
def test_every_plural_of_the_language_is_there(language: str) -> None:
    """What is counted stands once for each plural that CLDR gives the language, 'other' included."""
    wanted = {*locale_of(language).plural_form.tags, "other"}
    told: dict[str, set[str]] = {}
    for template in templates_of(language):
        if template.plural:
            told.setdefault(template.english, set()).add(template.plural)
    assert told == dict.fromkeys(PLURAL, wanted)


def _fields(text: str) -> list[str]:
    return sorted(f"{name}:{spec}" for _, name, spec, _ in string.Formatter().parse(text) if name)


@pytest.mark.parametrize("language", OTHERS)
def test_translation_keeps_fields_and_invents_no_figure(language: str) -> None:
    """Each field of the English stands in the translation, and no digit that the English has not."""
    templates = templates_of(language)
    assert [one.text for one in templates if _fields(one.english) != _fields(one.text)] == []
    digits = re.compile(r"\d+")
    changed = [
        one.text
        for one in templates
        if sorted(digits.findall(one.english)) != sorted(digits.findall(one.text))
    ]
    assert changed == []


@pytest.mark.parametrize("language", OTHERS)
def test_nothing_is_passed_off_as_reviewed(language: str) -> None:
    """No person who knows the trade has confirmed an entry that comes with the program, and each says so."""
    assert [key for key, message in catalogue(language, "plain").messages.items() if message.reviewed] == []


@pytest.mark.parametrize("language", OTHERS)
def test_every_template_shows_an_example_without_fields(language: str) -> None:
    """A reviewer reads filled sentences in both languages, whatever the template holds."""
    for template in templates_of(language):
        says, reference = example(template)
        assert says
        assert reference
        assert "{" not in says + reference


def test_bounds_are_told_apart_in_every_language() -> None:
    """No language says two bounds, or two units of time, by the same words."""
    for language in OTHERS:
        texts: dict[str, str] = {}
        for template in templates_of(language):
            if "{figure}" in template.english or template.english in UNITS_IN_WORDS.values():
                assert texts.setdefault(template.text, template.english) == template.english


def test_sections_hold_every_template_once() -> None:
    """The page of a language leaves no template out and shows none twice."""
    templates = templates_of("pl")
    shown: list[Template] = [one for members in sections(templates).values() for one in members]
    assert sorted(shown, key=repr) == sorted(templates, key=repr)
