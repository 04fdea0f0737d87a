"""Sets: what travels together, its common route or its split, and what is wrong with it."""

from sinkside.web.screens.sets import acts, devices, files, moisture, page, shelf, things
from sinkside.web.screens.sets.shelf import screen

__all__ = ["acts", "devices", "files", "moisture", "page", "screen", "shelf", "things"]
