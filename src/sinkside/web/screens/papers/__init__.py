"""Papers: chosen and looked at in life size, printed with their code, hung, replaced and removed."""

from sinkside.web.screens.papers import choosing, files, of_sets, packs, shelf
from sinkside.web.screens.papers.shelf import screen

# The page of one paper answers to any code, so it is declared after every address that is none.
from sinkside.web.screens.papers import one  # isort: skip

__all__ = ["choosing", "files", "of_sets", "one", "packs", "screen", "shelf"]
