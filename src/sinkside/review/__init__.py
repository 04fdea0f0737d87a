"""Rules over an instruction: what is missing, contradictory or impossible, before it reaches the floor."""

from sinkside.review.pages import rules_page
from sinkside.review.registry import RULES, rule_of
from sinkside.review.reviewing import review
from sinkside.review.rule import Rule, Theme, Trip, Unjudged

__all__ = ["RULES", "Rule", "Theme", "Trip", "Unjudged", "review", "rule_of", "rules_page"]
