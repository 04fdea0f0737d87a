"""Recorder files spoilt at random: one plain sentence or a verdict, and never `meets` from nothing."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from sinkside.cycles import Reading, judge
from sinkside.cycles.reading.reader import trace_from_bytes
from sinkside.department import Program
from sinkside.errors import SinksideError

Spoil = Callable[[list[str], np.random.Generator, str], None]


def _stretch(lines: list[str], chance: np.random.Generator) -> slice:
    start = int(chance.integers(1, len(lines)))
    return slice(start, min(len(lines), start + int(chance.integers(1, 400))))


def _cut_out(lines: list[str], chance: np.random.Generator, _sep: str) -> None:
    del lines[_stretch(lines, chance)]


def _repeat(lines: list[str], chance: np.random.Generator, _sep: str) -> None:
    at = _stretch(lines, chance)
    lines[at] = [lines[at.start]] * (at.stop - at.start)


def _empty_cells(lines: list[str], chance: np.random.Generator, sep: str) -> None:
    column = int(chance.integers(0, lines[0].count(sep) + 1))
    for index in range(*_stretch(lines, chance).indices(len(lines))):
        cells = lines[index].split(sep)
        cells[min(column, len(cells) - 1)] = ""
        lines[index] = sep.join(cells)


def _turn_round(lines: list[str], chance: np.random.Generator, _sep: str) -> None:
    at = _stretch(lines, chance)
    lines[at] = lines[at][::-1]


def _shuffle(lines: list[str], chance: np.random.Generator, _sep: str) -> None:
    chance.shuffle(lines)


def _end_early(lines: list[str], chance: np.random.Generator, _sep: str) -> None:
    del lines[int(chance.integers(1, len(lines))) :]


def _scribble(lines: list[str], chance: np.random.Generator, _sep: str) -> None:
    lines[int(chance.integers(len(lines)))] = "".join(chr(int(chance.integers(32, 300))) for _ in range(40))


def _hide_units(lines: list[str], _chance: np.random.Generator, _sep: str) -> None:
    for unit in ("°C", "_C", "°F", "psia", "abs"):
        lines[0] = lines[0].replace(unit, "")


def _swap_digits(lines: list[str], chance: np.random.Generator, _sep: str) -> None:
    for index in range(*_stretch(lines, chance).indices(len(lines))):
        old, new = chance.integers(10, size=2)
        lines[index] = lines[index].replace(str(old), str(new))


def _no_head(lines: list[str], _chance: np.random.Generator, _sep: str) -> None:
    del lines[0]


SPOILS: tuple[Spoil, ...] = (
    _cut_out, _repeat, _empty_cells, _turn_round, _shuffle, _end_early, _scribble, _hide_units,
    _swap_digits, _no_head,
)  # fmt: skip


@pytest.mark.parametrize("seed", range(12))
def test_spoilt_files_neither_crash_nor_meet(seed: int, traces: Path, programs: dict[str, Program]) -> None:
    """Twenty spoilt files a seed: refused in one sentence or judged; what did not meet whole never meets."""
    chance = np.random.default_rng(seed)
    labels = json.loads((traces / "labels.json").read_text(encoding="utf-8"))
    for _ in range(20):
        name = str(chance.choice(sorted(labels)))
        lines = (traces / name).read_text(encoding="utf-8").splitlines()
        sep = ";" if ";" in lines[0] else ","
        for index in chance.choice(len(SPOILS), size=int(chance.integers(1, 3)), replace=False):
            if len(lines) > 1:
                SPOILS[int(index)](lines, chance, sep)
        answer, sentence = _answer("\n".join(lines).encode(), name, programs[labels[name]["program"]])
        assert "\n" not in sentence
        if answer == "refused":
            assert sentence.startswith(name)
        elif labels[name]["expect"] != "meets":
            assert answer != "meets", (name, sentence)


def _answer(data: bytes, name: str, program: Program) -> tuple[str, str]:
    """The verdict and its summary, or `refused` and the sentence that says why."""
    try:
        reading = Reading(needs_pressure=program.kind.is_steam)
        verdict = judge(trace_from_bytes(data, name=name, reading=reading), program)
    except SinksideError as error:
        return "refused", str(error)
    return verdict.verdict, verdict.summary


@pytest.mark.parametrize("seed", range(6))
def test_random_bytes_are_refused(seed: int) -> None:
    """Bytes that are no record are refused, whatever they are."""
    chance = np.random.default_rng(seed)
    for alphabet in (range(256), range(32, 127), b"0123456789,;.:\n", b"0123456789,;.:\n\t TC\"'"):
        data = chance.choice(list(alphabet), size=2000).astype(np.uint8).tobytes()
        with pytest.raises(SinksideError):
            trace_from_bytes(data, name="noise")
