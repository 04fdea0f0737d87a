"""Codes for the scanner: what is pressed at a bench can be scanned from a sheet instead, gloves on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sinkside.aids.labels.symbol import plain_symbol
from sinkside.desk.bench.copies import READ
from sinkside.web.asked import Asked
from sinkside.web.screens.bench.place import PLACE, screen
from sinkside.web.screens.bench.place_codes import places
from sinkside.web.screens.bench.shown import COMMAND

#: What each code presses, in the order of the work.
_CODES: Final = (
    ("NEXT", "Take the set up here"),
    ("BEGIN", "The time begins"),
    ("ONCE", "Once more on the counter"),
    ("DONE", "The step is done"),
    ("FINISH", "Everything here is done"),
    ("ALL", "All pieces are here"),
    ("ALARM", "Tell theatre what is missing"),
    ("PACK", "The pack is closed"),
    ("START", "The machine starts with its load"),
    ("OUT", "The load is out, the machine ran to its end"),
)


@dataclass(frozen=True)
class CodeShown:
    """One code: what it presses, what a scanner reads, and its drawing."""

    words: str
    text: str
    drawing: str


@dataclass(frozen=True)
class CodesPage:
    """The sheet of codes, to be printed and hung where a scanner reaches it."""

    title: str
    bench: str
    codes: tuple[CodeShown, ...]
    places: tuple[CodeShown, ...]


@screen.page(f"{PLACE}/codes", right=READ, template="bench_codes.html")
def codes_page(asked: Asked) -> CodesPage:
    """The sheet of codes."""
    return CodesPage(
        title="Codes for the scanner",
        bench=asked.at("/bench"),
        codes=tuple(_code(words, f"{COMMAND}{name}") for name, words in _CODES),
        places=tuple(_code(words, code) for code, words, _ in places(asked)),
    )


def _code(words: str, text: str) -> CodeShown:
    return CodeShown(words, text, plain_symbol(text).svg())
