"""Printed tapes: lines of a time and readings that carry their units, with words between."""

from __future__ import annotations

import re
from collections import Counter
from typing import TYPE_CHECKING, Final

from sinkside.cycles.reading.decoding import Lines
from sinkside.cycles.reading.layout import Table
from sinkside.cycles.reading.spelling import normalised, unit_of
from sinkside.cycles.reading.vocabulary import PERSON

if TYPE_CHECKING:
    import polars as pl

_FEWEST_LINES: Final = 2
_LINES_LOOKED_AT: Final = 200

_DATE: Final = r"(?:\d{1,4}[./-]\d{1,2}[./-]\d{1,4}[ T,]+)?"
_CLOCK: Final = rf"{_DATE}\d{{1,3}}[:h]\d\d(?:[:m]\d\d(?:[.,]\d+)?)?s?(?:\s?[AaPp]\.?[Mm]\.?)?"
_TIME: Final = rf"(?:^|\s|\[)({_CLOCK})(?:\]|\s|,|;|$)"
_NUMBER: Final = r"(?:[+-]?\d+(?:[.,]\d+)?|-{2,}|\*{2,}|\?{2,}|ERR)"
_UNIT: Final = (
    r"(?:(?:°|º|ø|deg\.?|\*)\s?[CFKcfk]|[CFK]|(?:k|h|M|m|K)?[Pp]a|m?[Bb][Aa][Rr]|psi|PSI|KPA|MBAR|mmHg|in\.?\s?Hg|torr|"
    r"[uµμm]S/cm|m[lL]|L/min|l/min|rpm)"
)
_REFERENCE: Final = r"(?:\s?\(?(?:abs(?:olute?)?|ABS|gauge|GAUGE|rel|REL|[agAG]|ü|vac)\)?\.?)?"
_READING: Final = rf"{_NUMBER}\s?(?:{_UNIT}{_REFERENCE}(?-u:\b)|%)"
_NAMED_READING: Final = rf"[A-Za-z][\w.]*\s?[=:]\s?{_NUMBER}"
_UNIT_AT_THE_END: Final = re.compile(rf"^{_NUMBER}\s?(.*)$")
_NAME_BEFORE: Final = re.compile(r"([^\W\d_][\w. ]*?)\s*[=:]?\s*$")


def read_tape(lines: Lines) -> Table | None:
    """The samples on a printed tape; None if fewer than two lines hold a time and readings."""
    import polars as pl

    text, time = pl.col("text"), pl.col("text").str.extract(_TIME)
    frame = pl.DataFrame({"text": lines.texts}).select(
        time.alias("time"), text.str.replace(_TIME, " ").alias("rest")
    )
    times, rest = frame.get_columns()
    pattern = _READING
    readings, counts = _found(rest, pattern)
    if int(((counts > 0) & times.is_not_null()).sum()) < _FEWEST_LINES:
        pattern = _NAMED_READING
        readings, counts = _found(rest, pattern)
    is_sample = (counts > 0) & times.is_not_null()
    sampled = is_sample.to_numpy().nonzero()[0]
    if sampled.size < _FEWEST_LINES:
        return None
    width = int(Counter(counts.gather(sampled[:_LINES_LOOKED_AT]).to_list()).most_common(1)[0][0])
    typical = next(int(at) for at in sampled if counts[int(at)] == width)
    names = _names(rest[typical], readings[typical].to_list(), pattern)
    heads = _heads_above(lines.texts[: int(sampled[0])], names)
    kept = readings.gather(sampled)
    columns = _columns(kept, counts.gather(sampled), heads, width)
    own = _words(rest.gather(sampled[:_LINES_LOOKED_AT]), pattern)
    if (own != "").sum() * 2 > len(own):
        labels = _words(rest.gather(sampled), pattern)
    else:
        labels = _words_between(rest, is_sample, int(sampled[0])).gather(sampled)
    return Table(
        ("time", *heads, "phase"),
        (times.gather(sampled), *columns, labels),
        tuple(lines.texts[: int(sampled[0])]),
        lines=tuple(lines.numbers[at] for at in sampled.tolist()),
    )


def _found(rest: pl.Series, pattern: str) -> tuple[pl.Series, pl.Series]:
    """The readings in each line, and how many they are."""
    import polars as pl

    every = pl.col("rest").str.extract_all(pattern)
    readings, counts = rest.alias("rest").to_frame().select(every.alias("all"), every.list.len().alias("n"))
    return readings, counts


def _words(rest: pl.Series, pattern: str) -> pl.Series:
    """What is left of lines without time and readings; '' where it is no word."""
    left = rest.str.replace_all(pattern, " ").str.replace_all(r"[\s|,;=:*]+", " ").str.strip_chars()
    return left.str.replace(r"^[^\p{L}]*$|^.$", "")


def _words_between(rest: pl.Series, is_sample: pl.Series, first: int) -> pl.Series:
    """For every line the last word that stood on a line of its own; of persons nothing is kept."""
    import polars as pl

    said: list[str | None] = [None] * len(rest)
    for at in (~is_sample).to_numpy().nonzero()[0].tolist():
        text = " ".join(str(rest[at]).strip(" *-=#:.").split())
        is_word = bool(re.search(r"[^\W\d_]{2,}", text)) and not PERSON.search(text.lower())
        # Above the first sample stand the machine's own data, and at most one heading.
        if is_word and (at > first or (at == first - 1 and not re.search(r"\d", text))):
            said[at] = text
    return pl.Series(said, dtype=pl.String).fill_null(strategy="forward")


def _names(line: str, readings: list[str], pattern: str) -> list[str]:
    """What each reading of a line is called: the word before it, and its unit."""
    names, start = [], 0
    for number, reading in enumerate(readings, 1):
        at = line.index(reading, start)
        before = _NAME_BEFORE.search(line[start:at])
        start = at + len(reading)
        if pattern == _NAMED_READING:
            names.append(re.split(r"\s?[=:]", reading)[0])
            continue
        unit = _unit_written(reading)
        word = before[1] if before and number > 1 else ""
        named = re.search(r"(\S+)$", before[1]) if before and not word else None
        word = word or (named[1] if named and re.search(r"[=:]\s*$", line[:at]) else "")
        names.append(f"{word or f'channel {number}'} [{unit}]")
    return names


def _unit_written(reading: str) -> str:
    found = _UNIT_AT_THE_END.match(reading)
    # A closing bracket may have been left behind.
    return found[1].replace("(", " ").replace(")", "").strip() if found else ""


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


def _columns(readings: pl.Series, counts: pl.Series, heads: list[str], width: int) -> list[pl.Series]:
    """The readings of each column; in a line that lacks some, only those whose unit leaves no doubt."""
    import polars as pl

    each = [pl.col("all").list.get(at, null_on_oob=True) for at in range(width)]
    odd = (counts != width).to_numpy().nonzero()[0]
    frame = readings.alias("all").to_frame()
    if not odd.size:
        return frame.select(_bare(one).alias(str(at)) for at, one in enumerate(each)).get_columns()
    columns = frame.select(one.alias(str(at)) for at, one in enumerate(each)).get_columns()
    units = [_spelt(head) for head in heads]
    filled = [column.to_list() for column in columns]
    for line in odd.tolist():
        found = readings[line].to_list()
        own = [_spelt(f"[{_unit_written(reading)}]") for reading in found]
        for at, unit in enumerate(units):
            same = [reading for reading, mine in zip(found, own, strict=True) if mine == unit]
            known = len(same) == units.count(unit)
            filled[at][line] = same[units[:at].count(unit)] if known else None
    whole = pl.DataFrame({str(at): pl.Series(values, dtype=pl.String) for at, values in enumerate(filled)})
    return whole.select(_bare(pl.all())).get_columns()


def _spelt(head: str) -> str:
    inside = head.rpartition("[")[2].rstrip("]") if "[" in head else head.rpartition(" ")[2]
    said = unit_of(normalised(inside).strip())
    return said.unit if said else ""


def _bare(column: pl.Expr) -> pl.Expr:
    """Readings without name and unit."""
    return column.str.extract(rf"^(?:[A-Za-z][\w.]*\s?[=:]\s?)?({_NUMBER})")
