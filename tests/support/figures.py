"""How a test tells what it measured: a sentence, printed after everything else."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

#: What the fixture `figure` gives.
Figure: TypeAlias = Callable[[str], None]
