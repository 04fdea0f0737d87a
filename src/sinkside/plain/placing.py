"""Where a person stands for each operation of a paper, so that no paper sends anybody to and fro for nothing.

A route tells a station from the stage of a step. A paper also minds what goes before and after: a sentence
that begins at the point of use is not split between two stations, and dry work at the bench does not send a
clean device back to the sink.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from sinkside.instruction import Action, Stage
from sinkside.route import Operation, ResourceKind, Station

#: The stations in the order in which a device passes them.
_ORDER: Final = tuple(Station)

_WET: Final = frozenset(
    {Action.rinse, Action.flush, Action.soak, Action.brush, Action.fill, Action.sonicate, Action.wipe}
    | {Action.prepare_solution, Action.discard_solution, Action.pre_rinse, Action.wash, Action.disinfect}
    | {Action.blow, Action.dry, Action.start_cleaning}
)
_BY_HAND_TOO: Final = frozenset({Action.pre_rinse, Action.wash})
_AT_THE_END: Final = frozenset(
    {Action.count_use, Action.retire, Action.send_for_repair, Action.other, Action.store}
)
_AFTER_THE_BENCH: Final = frozenset({Station.sterilizer, Station.store})
_BEFORE_THE_SINK: Final = frozenset({Station.theatre, Station.transport})


def placed(operations: Iterable[Operation]) -> tuple[Operation, ...]:
    """Operations in their order, each at the station where a person will be standing.

    >>> from sinkside.instruction import Origin
    >>> said = Origin(text="Place it in a box and keep it moist.")
    >>> box = Operation(letter="A", stage="transport", station="transport", steps=(), action="load",
    ...     origin=said)
    >>> foam = Operation(letter="B", stage="point-of-use", station="theatre", steps=(), action="keep-moist",
    ...     origin=said)
    >>> [one.station.value for one in placed((box, foam))]
    ['theatre', 'theatre']
    """
    given = tuple(operations)
    stations: list[Station] = []
    for index, operation in enumerate(given):
        before = stations[-1] if stations else None
        stations.append(_station(operation, before, given[index + 1 :], stations))
    return tuple(
        operation if operation.station is station else operation.model_copy(update={"station": station})
        for operation, station in zip(given, stations, strict=True)
    )


def _station(
    operation: Operation, before: Station | None, later: Sequence[Operation], passed: Sequence[Station]
) -> Station:
    station, after = operation.station, later[0] if later else None
    if station is Station.transport and after is not None and _is_one_sentence(operation, after):
        return min(station, after.station, key=_ORDER.index)
    if operation.action is Action.load and after is not None and after.station is Station.washer:
        return Station.washer
    if station is Station.washer and _is_by_hand(operation, before, after):
        return Station.sink
    if operation.action not in _WET:
        if station is Station.sink and before is Station.bench and operation.stage is Stage.preparation:
            return Station.bench
        if station is Station.bench:
            return _bench(operation, before, later, passed)
    return station


def _bench(
    operation: Operation, before: Station | None, later: Sequence[Operation], passed: Sequence[Station]
) -> Station:
    """The bench, unless cleaning is still to come, or the device is back in its place."""
    if set(passed) <= _BEFORE_THE_SINK and any(one.station is Station.sink for one in later):
        return Station.sink
    if before in _AFTER_THE_BENCH and operation.action in _AT_THE_END:
        return Station.store
    return Station.bench


def _is_one_sentence(operation: Operation, after: Operation) -> bool:
    return bool(operation.origin.text) and operation.origin == after.origin


def _is_by_hand(operation: Operation, before: Station | None, after: Operation | None) -> bool:
    """Whether a rinse or wash that no machine here carries out stands in the midst of work at the sink."""
    bound = any(one.kind is ResourceKind.program for one in operation.bindings)
    if bound or operation.action not in _BY_HAND_TOO or before is Station.washer:
        return False
    return after is not None and after.station is Station.sink
