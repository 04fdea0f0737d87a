"""How memory is kept, as policy: how many questions a day, how soon they come again, what weighs more."""

from __future__ import annotations

import functools
import tomllib
from importlib import resources

from sinkside.teach.memory import MemoryPolicy


@functools.cache
def policy() -> MemoryPolicy:
    """The policy that comes with the program.

    >>> policy().most_a_day
    3
    """
    file = resources.files("sinkside.desk").joinpath("policies", "memory.toml")
    return MemoryPolicy.model_validate(tomllib.loads(file.read_text(encoding="utf-8")))
