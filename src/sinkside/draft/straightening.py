"""A scanned page made fit for reading: specks taken off, turned straight, its rules found."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sinkside.draft.pdf_words import Rule

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_STEEPEST_DEG = 8.0
_COARSE_STEP_DEG = 0.5
_FINE_STEP_DEG = 0.05
_PIXELS_TO_TELL_THE_ANGLE_BY = 60_000
_SHARE_OF_SPECKS = 0.01
_GRAIN_PIXELS = 0.8
_LEAST_DARK_PIXELS = 500
_SHORTEST_LEVEL_PT = 18.0
_SHORTEST_UPRIGHT_PT = 13.0
_BESIDE_A_RULE_PT = 2.4
_SHARE_OF_A_RULE_DRAWN = 0.9
_POINTS_PER_INCH = 72.0


def without_specks(picture: Any) -> Any:
    """A grey picture without the lone points and the grain of a bad scan; a clean one stays as it is."""
    from PIL import ImageFilter

    dark = _dark(picture)
    around = dark[:-2, 1:-1] | dark[2:, 1:-1] | dark[1:-1, :-2] | dark[1:-1, 2:]
    lone = dark[1:-1, 1:-1] & ~around
    if lone.sum() <= _SHARE_OF_SPECKS * max(int(dark.sum()), 1):
        return picture
    return picture.filter(ImageFilter.GaussianBlur(_GRAIN_PIXELS)).filter(ImageFilter.MedianFilter(3))


def in_full_contrast(picture: Any) -> Any:
    """A grey picture whose paper is white and whose ink is black."""
    import numpy as np
    from PIL import Image

    grey = np.asarray(picture, dtype=np.float32)
    parting = _parting(picture)
    dark = grey < parting
    if not dark.any() or dark.all():
        return picture
    ink, paper = float(np.median(grey[dark])), float(np.median(grey[~dark]))
    stretched = (grey - ink) / max(paper - ink, 1.0) * 255
    return Image.fromarray(stretched.clip(0, 255).astype(np.uint8))


def tilt_of(picture: Any) -> float:
    """By how many degrees the lines of a picture rise to the right; 0 if there are too few.

    The angle is the one at which the dark points, counted line by line, differ most from line to line.
    """
    import numpy as np

    rows, columns = np.nonzero(_dark(picture))
    if len(rows) < _LEAST_DARK_PIXELS:
        return 0.0
    every = max(1, len(rows) // _PIXELS_TO_TELL_THE_ANGLE_BY)
    # Every n-th point in the order of the rows would favour some rows; a fixed shuffle favours none.
    chosen = np.random.default_rng(0).permutation(len(rows))[: len(rows) // every]
    points = rows[chosen].astype(float), columns[chosen].astype(float)
    coarse = _sharpest(*points, np.arange(-_STEEPEST_DEG, _STEEPEST_DEG + _COARSE_STEP_DEG, _COARSE_STEP_DEG))
    around = np.arange(coarse - _COARSE_STEP_DEG, coarse + _COARSE_STEP_DEG, _FINE_STEP_DEG)
    return _sharpest(*points, around)


def _sharpest(rows: NDArray[np.float64], columns: NDArray[np.float64], angles: NDArray[np.float64]) -> float:
    import numpy as np

    best, sharpest = 0.0, -1.0
    for angle in angles:
        heights = rows + columns * np.tan(np.radians(angle))
        counted = np.bincount((heights - heights.min()).astype(np.int64) // 2)
        sharpness = float(np.square(np.diff(counted)).sum())
        if sharpness > sharpest:
            best, sharpest = float(angle), sharpness
    return best


def turned_straight(picture: Any, tilt: float) -> Any:
    """A picture turned about its middle so that its lines run level."""
    from PIL import Image

    if abs(tilt) < _FINE_STEP_DEG:
        return picture
    return picture.rotate(-tilt, resample=Image.Resampling.BICUBIC, fillcolor=255)


def drawn_rules(picture: Any, *, dpi: float) -> list[Rule]:
    """The level and upright rules of a straight picture, in points."""
    dark = _dark(picture)
    scale = _POINTS_PER_INCH / dpi
    beside = max(2, round(_BESIDE_A_RULE_PT / scale))
    level = [
        Rule(x0 * scale, y * scale, x1 * scale, y * scale)
        for y, x0, x1 in _runs(dark, int(_SHORTEST_LEVEL_PT / scale), beside)
    ]
    upright = [
        Rule(x * scale, y0 * scale, x * scale, y1 * scale)
        for x, y0, y1 in _runs(dark.T, int(_SHORTEST_UPRIGHT_PT / scale), beside)
    ]
    return [*level, *upright]


def _runs(dark: NDArray[np.bool_], least: int, beside: int) -> list[tuple[int, int, int]]:
    """Where a row is dark over at least so many points, and light beside: row, from, to."""
    import numpy as np

    if dark.shape[1] <= least or dark.shape[0] <= 2 * beside:
        return []
    summed = np.cumsum(dark, axis=1, dtype=np.int32)
    windows = summed[:, least:] - summed[:, :-least]
    full = windows >= _SHARE_OF_A_RULE_DRAWN * least
    for away in (beside, -beside):
        # Letters are as dark a little higher or lower; a rule has paper on both of its sides.
        full &= np.roll(windows, away, axis=0) <= (1 - _SHARE_OF_A_RULE_DRAWN) * 4 * least
    edges = np.diff(np.pad(full, ((0, 0), (1, 1))).astype(np.int8), axis=1)
    begins, ends = np.argwhere(edges == 1), np.argwhere(edges == -1)
    return [
        (int(row), int(begin), int(end) + least) for (row, begin), (_, end) in zip(begins, ends, strict=True)
    ]


def _dark(picture: Any) -> NDArray[np.bool_]:
    """Which points are ink and not paper."""
    import numpy as np

    return np.asarray(np.asarray(picture) < _parting(picture))


def _parting(picture: Any) -> float:
    """The grey between ink and paper at which the two differ most from each other.

    Source: N. Otsu, A threshold selection method from gray-level histograms, 1979 (from memory).
    """
    import numpy as np

    counted = np.asarray(picture.histogram()[:256], dtype=np.float64)
    greys = np.arange(256)
    below, weighed = np.cumsum(counted), np.cumsum(counted * greys)
    above = below[-1] - below
    with np.errstate(divide="ignore", invalid="ignore"):
        means = weighed / below - (weighed[-1] - weighed) / above
        apart = np.nan_to_num(below * above * means**2)
    return float(np.argmax(apart)) + 1.0
