"""Codes on photos of a tablet's camera: one is read as a scanner types it; none or two are refused."""

from __future__ import annotations

import io
from collections.abc import Sequence

import numpy as np
import pytest
from PIL import Image

from sinkside.aids.labels.elements import read_brackets
from sinkside.aids.labels.reading import codes_on
from sinkside.aids.labels.symbol import Symbol, gs1_symbol, plain_symbol
from sinkside.desk.bench import photographed
from sinkside.desk.bench.photographed import code_on_photo
from sinkside.desk.uploads import Upload
from sinkside.errors import BadInput, UnreadableFile


def _photo(*symbols: Symbol) -> bytes:
    """Labels beside each other on a grey bench, a little turned, as a JPEG."""
    photo = Image.new("RGB", (420 * max(len(symbols), 1), 480), (205, 200, 190))
    for at, symbol in enumerate(symbols):
        dark = np.pad(np.array(symbol.rows), 3)
        label = Image.fromarray(np.where(dark, 0, 255).astype("uint8"))
        square = label.resize((300, 300), Image.Resampling.NEAREST).rotate(4, expand=True, fillcolor=255)
        photo.paste(square, (40 + 420 * at, 80))
    out = io.BytesIO()
    photo.save(out, "JPEG", quality=80)
    return out.getvalue()


@pytest.mark.parametrize(
    ("symbol", "typed"),
    [
        (plain_symbol("SET-17"), "SET-17"),
        (gs1_symbol(read_brackets("(8004)9521234SET-2")), "80049521234SET-2"),
        (gs1_symbol(read_brackets("(01)09521234543213(21)A1")), "010952123454321321A1"),
    ],
)
def test_a_code_is_read_as_a_scanner_types_it(symbol: Symbol, typed: str) -> None:
    """A plain number and element strings of the GS1 system, each from a photo of its label."""
    assert codes_on(_photo(symbol), resource="photo.jpg") == (typed,)


def test_one_code_is_expected(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two are refused by the child that opens files from outside; one is taken, and none refused in words."""
    two = Upload("photo.jpg", "image/jpeg", _photo(plain_symbol("SET-17"), plain_symbol("SET-18")))
    with pytest.raises(BadInput, match="2 codes are on this photo"):
        code_on_photo(two)
    monkeypatch.setattr(photographed, "run_child", _without_a_child)
    one = Upload("photo.jpg", "image/jpeg", _photo(plain_symbol("SET-17")))
    assert code_on_photo(one) == "SET-17"
    with pytest.raises(BadInput, match="no code can be read"):
        code_on_photo(Upload("photo.jpg", "image/jpeg", _photo()))


def _without_a_child(task: str, files: Sequence[tuple[str, bytes]], **limits: object) -> tuple[str, ...]:
    """The same task done here: starting a child costs a second."""
    assert (task, list(limits)) == ("codes", ["limits"])
    return codes_on(files[0][1], resource=files[0][0])


def test_what_is_no_photo_is_refused() -> None:
    """A text that calls itself a picture."""
    with pytest.raises(UnreadableFile, match="no picture"):
        codes_on(b"not a picture", resource="photo.jpg")
