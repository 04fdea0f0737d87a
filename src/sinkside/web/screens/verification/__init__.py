"""Verification: cleaning tests, product families, makers' texts, water events."""

from sinkside.web.screens.verification import families, index, programmes, testing, texts, water, week
from sinkside.web.screens.verification.place import screen

__all__ = ["families", "index", "programmes", "screen", "testing", "texts", "water", "week"]
