"""Which handler does which act; each kind of work brings its own."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from sinkside.desk.bench import load_trouble, loads, on_runs, pieces, store
from sinkside.desk.bench.doing import Handler

#: By the act's name.
HANDLERS: Final[Mapping[str, Handler]] = {
    **on_runs.HANDLERS,
    **pieces.HANDLERS,
    **loads.HANDLERS,
    **load_trouble.HANDLERS,
    **store.HANDLERS,
}
