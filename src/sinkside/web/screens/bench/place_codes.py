"""Codes of places: scanned anywhere at the bench, they open the station or machine that they hang at."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from sinkside.desk.bench import load_list
from sinkside.errors import BadInput
from sinkside.web.asked import Asked
from sinkside.web.screen import Done
from sinkside.web.screens.bench.stations import WORKED_AT

#: What a place's code begins with.
AT: Final = "AT "


def is_place(code: str) -> bool:
    """Whether a scanned code names a place.

    >>> is_place("at sink"), is_place("SET-1")
    (True, False)
    """
    return code.upper().startswith(AT)


def places(asked: Asked) -> Iterator[tuple[str, str, str]]:
    """Every place of the bench: its code, what people call it, its address."""
    for station in WORKED_AT:
        yield f"{AT}{station}".upper(), f"The {station}", asked.at(f"/bench/at/{station}")
    for machine in load_list.find_loads(asked.archive, asked.visitor, now=asked.now).machines:
        known = machine.machine
        yield f"{AT}{known.id}".upper(), known.name, asked.at(f"/bench/machines/{known.id}")


def gone_to(asked: Asked, code: str) -> Done:
    """Open the place of a code.

    Raises:
        BadInput: if no place here has it.
    """
    wanted = " ".join(code.upper().split())
    address = next((address for known, _, address in places(asked) if known == wanted), None)
    if address is None:
        raise BadInput(f"no place here has the code {wanted}", resource="code")
    return Done(go=address)
