"""Every rule is documented, trips on its own example and leaves the other one alone."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from sinkside.findings import Level
from sinkside.review import RULES, Rule, Theme, review, rule_of, rules_page
from sinkside.review.examples import examples_of
from sinkside.review.rule import NO_SOURCE

ROOT = Path(__file__).resolve().parents[2]

each_rule = pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)


@each_rule
def test_a_rule_trips_on_its_example(rule: Rule) -> None:
    """The example that must trip a rule trips it, at the rule's level, with words and a remedy."""
    findings = review(examples_of(rule).trips, rules=[rule])
    assert findings
    assert {finding.rule for finding in findings} == {rule.id}
    assert all(finding.level is rule.level for finding in findings)
    assert all(finding.message and finding.remedy for finding in findings)


@each_rule
def test_a_rule_leaves_alone_what_is_right(rule: Rule) -> None:
    """The example that must not trip a rule does not, and is not called impossible to judge either."""
    assert review(examples_of(rule).passes, rules=[rule]) == ()


@each_rule
def test_a_finding_stands_somewhere(rule: Rule) -> None:
    """Every finding of an example names a place with words of the document."""
    for finding in review(examples_of(rule).trips, rules=[rule]):
        assert finding.place.text


@each_rule
def test_a_rule_says_what_it_is(rule: Rule) -> None:
    """Id in kebab case, a title of one sentence, words as sentences, a source or that there is none."""
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", rule.id)
    assert rule.title.endswith(".")
    assert rule.title.count(". ") == 0
    assert rule.message[0].isupper() or rule.message.startswith(("{", "“"))
    assert rule.message.endswith(".")
    assert rule.remedy.endswith(".")
    assert rule.theme in Theme
    assert rule.basis == NO_SOURCE if rule.source is None else rule.basis


@each_rule
def test_a_stop_closes_on_the_makers_answer(rule: Rule) -> None:
    """What stops papers is settled in writing by the maker, never by a choice on the screen."""
    if rule.level is Level.stop:
        assert "written answer" in rule.remedy or "in writing" in rule.remedy


def test_ids_are_unique_and_every_theme_has_a_rule() -> None:
    """No two rules share an id, and no theme is empty."""
    assert len({rule.id for rule in RULES}) == len(RULES)
    assert {rule.theme for rule in RULES} == set(Theme)


def test_an_unknown_rule_is_refused() -> None:
    """Asking for a rule that is not there fails loudly."""
    with pytest.raises(KeyError):
        rule_of("no-such-rule")


def test_the_page_of_rules_is_in_step() -> None:
    """docs/rules is what the registry says."""
    assert (ROOT / "docs" / "rules" / "README.md").read_text(encoding="utf-8") == rules_page()
