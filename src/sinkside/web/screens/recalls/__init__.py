"""Recalls: what a failure reaches, looked at before it is opened; then dealt with until it is closed."""

from sinkside.web.screens.recalls import beginning, one, papers, shelf
from sinkside.web.screens.recalls.place import screen

__all__ = ["beginning", "one", "papers", "screen", "shelf"]
