"""What connecting and capping leave a port as: told by what is done, and by what it is done with."""

from __future__ import annotations

from sinkside.draft.lexicon import Lexeme, Reading
from sinkside.draft.positions import positions_in
from sinkside.instruction import Action

_PUTS_ON = {Action.put_together, Action.connect, Action.load, Action.set_position, Action.other}
_TAKES_OFF = {Action.take_apart, Action.discard_part}
_AGAIN = {"it", "them", "this", "these", "sie", "ihn", "diese", "le", "la", "les", "los", "las"}


def attached(reading: Reading, action: Action, first: int = 0, last: int | None = None) -> dict[str, str]:
    """The position of the port that a thing to do brings about; empty if it touches none.

    >>> from sinkside.draft.lexicon import read_words
    >>> attached(read_words("Plug the luer into one of the injectors."), Action.connect)
    {'port': 'connected'}
    >>> attached(read_words("Wipe the cap and press it onto the port."), Action.put_together, 4)
    {'port': 'capped'}
    """
    port = _names_port(reading, first, last)
    end = len(reading.tokens) if last is None else last
    closures = _closures(reading, first, end)
    if closures and (port or any(x.value == "port" for x in closures)):
        return _closed(reading, action, closures[0], end)
    denied = any(reading.at(place, "negation") for place in range(first, end))
    touches = not denied and (port or reading.all("washer_side", first=first, last=end))
    if action is Action.connect:
        return {"port": "connected"} if touches else {}
    return {"port": "connected"} if action in _PUTS_ON and touches and _joins(reading, first, end) else {}


def positions_of(reading: Reading, action: Action, first: int, last: int) -> dict[str, str]:
    """The positions that a clause asks for and brings about: what it joins to a nozzle is connected."""
    brought = attached(reading, action, first, last)
    told = positions_in(reading, first, last)
    if _by_hand(reading, first, last):
        return {name: position for name, position in (brought | told).items() if position != "connected"}
    return told | brought if brought.get("port") == "connected" else brought | told


def _by_hand(reading: Reading, first: int, last: int) -> bool:
    """'Attach a syringe to the port': what is held in the hand leaves the port as it was."""
    held = reading.all("hand_tool", first=first, last=last)
    return bool(held) and not reading.all("washer_side", first=first, last=last)


def _joins(reading: Reading, first: int, last: int) -> bool:
    """'Screw the hose onto the port': what water comes from and the port, with the word that joins them."""
    sides = reading.all("washer_side", first=first, last=last)
    ports = [
        x
        for kind in ("feature", "position_noun")
        for x in reading.all(kind, first=first, last=last)
        if x.value == "port"
    ]
    return any(
        reading.at(place, "onto")
        for side in sides
        for port in ports
        for place in range(min(side.last, port.last), max(side.first, port.first))
    )


def _closures(reading: Reading, first: int, last: int) -> list[Lexeme]:
    """Caps and plugs of a clause, or those before it that it calls 'it'."""
    named = reading.all("closure", first=first, last=last)
    again = not named and any(reading.tokens[place].norm in _AGAIN for place in range(first, last))
    named = reading.all("closure", last=first) if again else named
    return [x for x in named if not _is_other(reading, x)]


def _is_other(reading: Reading, closure: Lexeme) -> bool:
    """'the cap nut' is no cap, and 'plug it in' asks."""
    behind = reading.at(closure.last, "part_noun") is not None
    opens = "" if reading.grammar.verb_last else ","
    before = reading.tokens[closure.first - 1].norm if closure.first else opens
    return behind or before in {",", ";", ":", "and", "then"}


def _closed(reading: Reading, action: Action, closure: Lexeme, last: int) -> dict[str, str]:
    """A cap on a port closes it, one that is taken off opens it."""
    behind = range(closure.last, last)
    if any(reading.at(place, "negation") for place in behind):
        return {}
    if action in _TAKES_OFF:
        return {"port": "open"}
    onto = any(reading.at(place, "onto") for place in behind)
    fitted = any(
        reading.tokens[place].norm == "with" for place in range(max(0, closure.first - 2), closure.first)
    )
    return {"port": "capped"} if action in _PUTS_ON and (onto or fitted) else {}


def _names_port(reading: Reading, first: int, last: int | None) -> bool:
    named = [
        x.value for kind in ("feature", "position_noun") for x in reading.all(kind, first=first, last=last)
    ]
    return bool({"port", "lumen"} & set(named))
