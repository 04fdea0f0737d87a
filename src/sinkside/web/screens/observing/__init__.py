"""Watching people at work: what is being watched, one observation point by point, pictures to be read."""

from sinkside.web.screens.observing import picture_reading, shelf, watching
from sinkside.web.screens.observing.shelf import screen

__all__ = ["picture_reading", "screen", "shelf", "watching"]
