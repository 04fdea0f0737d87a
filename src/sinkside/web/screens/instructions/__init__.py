"""Instructions: the list, the page of one, and what is done there."""

from sinkside.web.screens.instructions import (
    answers,
    approval,
    comparison,
    device,
    editing,
    files,
    lumens,
    page,
    photo,
    shelf,
)
from sinkside.web.screens.instructions.shelf import screen

__all__ = [
    "answers",
    "approval",
    "comparison",
    "device",
    "editing",
    "files",
    "lumens",
    "page",
    "photo",
    "screen",
    "shelf",
]
