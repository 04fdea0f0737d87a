"""Printed tapes: lines of a time and readings that carry their units, with words between."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from operator import itemgetter
from typing import Final

from sinkside.cycles.reading.decoding import Lines
from sinkside.cycles.reading.layout import Table
from sinkside.cycles.reading.spelling import unit_written
from sinkside.cycles.reading.tape_lines import (
    NAMED_READING,
    READING,
    Layout,
    Place,
    layouts_of,
    unit_in,
    without_time,
    words_of,
)
from sinkside.cycles.reading.vocabulary import PERSON

_FEWEST_LINES: Final = 2
_LINES_LOOKED_AT: Final = 200
_NOWHERE: Final = (0, 0)
_NAME_BEFORE: Final = re.compile(r"([^\W\d_][\w. ]*?)\s*[=:]?\s*$")
_SOME_WORD: Final = re.compile(r"[^\W\d_]{2,}")


def read_tape(lines: Lines) -> Table | None:
    """The samples on a printed tape; None if fewer than two lines hold a time and readings."""
    import polars as pl

    for pattern in (READING, NAMED_READING):
        layouts = layouts_of(lines.texts, pattern)
        sampled = [at for at, layout in enumerate(layouts) if layout.is_sample]
        if len(sampled) >= _FEWEST_LINES:
            break
    else:
        return None
    texts, kept = [lines.texts[at] for at in sampled], [layouts[at] for at in sampled]
    counts = Counter(len(layout.readings) for layout in kept[:_LINES_LOOKED_AT])
    width = counts.most_common(1)[0][0]
    text, layout = next(pair for pair in zip(texts, kept, strict=True) if len(pair[1].readings) == width)
    names = _names(text, layout, pattern)
    above = lines.texts[: sampled[0]]
    heads = _heads_above(above, names)
    times = [time for time, _ in _taken_out(texts, kept, lambda each: (each.time or _NOWHERE,))]
    labels = _own_words(texts, kept)
    if sum(map(bool, labels[:_LINES_LOOKED_AT])) * 2 <= len(labels[:_LINES_LOOKED_AT]):
        between = _words_between(lines.texts, layouts, sampled[0])
        labels = [between[at] for at in sampled]
    columns: list[Sequence[str | None]] = [times, *_columns(texts, kept, heads, width), labels]
    return Table(
        ("time", *heads, "phase"),
        tuple(pl.Series(cells, dtype=pl.String) for cells in columns),
        tuple(above),
        lines=tuple(lines.numbers[at] for at in sampled),
    )


def _own_words(texts: Sequence[str], layouts: Sequence[Layout]) -> list[str | None]:
    """What each line says beside its time and readings, which differs in digits at the most."""
    known: dict[tuple[Layout, tuple[str, ...]], str] = {}
    words: list[str | None] = []
    for text, layout, digits in zip(
        texts, layouts, _taken_out(texts, layouts, lambda each: each.digits), strict=True
    ):
        own = known.get((layout, digits))
        if own is None:
            own = known[layout, digits] = words_of(text[start:end] for start, end in layout.between)
        words.append(own)
    return words


def _taken_out(
    texts: Sequence[str], layouts: Sequence[Layout], places: Callable[[Layout], Iterable[Place]]
) -> list[tuple[str, ...]]:
    """What stands at some places of each line, and '' for a last one."""
    # A single place would be taken out bare; the last, which is empty, makes a tuple of it.
    ways = {
        layout: itemgetter(*(slice(*place) for place in places(layout)), slice(0, 0)) for layout in {*layouts}
    }
    return [ways[layout](text) for text, layout in zip(texts, layouts, strict=True)]


def _words_between(texts: Sequence[str], layouts: Sequence[Layout], first: int) -> list[str | None]:
    """For every line the last word that stood on a line of its own; of persons nothing is kept."""
    said: list[str | None] = []
    last: str | None = None
    for at, (line, layout) in enumerate(zip(texts, layouts, strict=True)):
        if not layout.is_sample:
            text = " ".join(without_time(line, layout).strip(" *-=#:.").split())
            is_word = bool(_SOME_WORD.search(text)) and not PERSON.search(text.lower())
            # Above the first sample stand the machine's own data, and at most one heading.
            if is_word and (at > first or (at == first - 1 and not re.search(r"\d", text))):
                last = text
        said.append(last)
    return said


def _names(text: str, layout: Layout, pattern: re.Pattern[str]) -> list[str]:
    """What each reading of a line is called: the word before it, and its unit."""
    names, start, line = [], 0, without_time(text, layout)
    for number, (at, end) in enumerate(layout.readings, 1):
        before, reading = _NAME_BEFORE.search(line[start:at]), line[at:end]
        start = end
        if pattern is NAMED_READING:
            names.append(re.split(r"\s?[=:]", reading)[0])
            continue
        unit = unit_in(reading)
        word = before[1] if before and number > 1 else ""
        named = re.search(r"(\S+)$", before[1]) if before and not word else None
        word = word or (named[1] if named and re.search(r"[=:]\s*$", line[:at]) else "")
        names.append(f"{word or f'channel {number}'} [{unit}]")
    return names


def _heads_above(above: list[str], names: list[str]) -> list[str]:
    """The names with what a line of heads above the samples says of them, if one stands there."""
    for text in reversed(above[-3:]):
        parts = re.split(r"\s{2,}|\t", text.strip())
        if any(char.isdigit() for char in text.replace("1", "").replace("2", "")) or ":" in text:
            continue
        words = parts if len(parts) > len(names) else text.split()
        if len(words) > len(names):
            own = words[-len(names) :]
            return [
                name if not name.startswith("channel ") else f"{word} {name.partition(' [')[2].rstrip(']')}"
                for word, name in zip(own, names, strict=True)
            ]
    return names


def _columns(
    texts: Sequence[str], layouts: Sequence[Layout], heads: Sequence[str], width: int
) -> list[list[str | None]]:
    """The readings of each column; in a line that lacks some, only those whose unit leaves no doubt."""
    units = [_spelt(head) for head in heads]
    rows = _taken_out(texts, layouts, lambda layout: _places(layout, units))
    columns = [*zip(*rows, strict=True)][:width]
    return [[cell or None for cell in column] if "" in column else list(column) for column in columns]


def _places(layout: Layout, units: Sequence[str]) -> tuple[Place, ...]:
    """Where in a line the reading of each column stands; an empty place where none does."""
    if len(layout.bare) == len(units):
        return layout.bare
    own = [_spelt(f"[{unit}]") for unit in layout.units]
    places = []
    for at, unit in enumerate(units):
        same = [place for place, mine in zip(layout.bare, own, strict=True) if mine == unit]
        known = len(same) == units.count(unit)
        places.append(same[units[:at].count(unit)] if known else _NOWHERE)
    return tuple(places)


def _spelt(head: str) -> str:
    inside = head.rpartition("[")[2].rstrip("]") if "[" in head else head.rpartition(" ")[2]
    said = unit_written(inside)
    return said.unit if said else ""
