"""Which handler does which act; each kind of work brings its own."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from sinkside.desk.bench import (
    alarms,
    late_cleaning,
    load_exceptions,
    load_trouble,
    loads,
    on_runs,
    pieces,
    store,
    theatre,
)
from sinkside.desk.bench.doing import Handler

#: By the act's name; what comes late has handlers over those of the run.
HANDLERS: Final[Mapping[str, Handler]] = {
    **on_runs.HANDLERS,
    **late_cleaning.HANDLERS,
    **pieces.HANDLERS,
    **loads.HANDLERS,
    **load_trouble.HANDLERS,
    **load_exceptions.HANDLERS,
    **theatre.HANDLERS,
    **alarms.HANDLERS,
    **store.HANDLERS,
}
