"""Photos from outside: checked, turned upright, made smaller, and kept without what is not the picture."""

from __future__ import annotations

import base64
import io
import warnings
from typing import Any, Final

from sinkside.errors import UnreadableFile

_FORMATS: Final = ("JPEG", "PNG", "WEBP")
_MOST_PIXELS: Final = 60_000_000
_LONGEST_SIDE: Final = 1600
_SHORTEST_SIDE: Final = 200
_QUALITY: Final = 86


def read_photo(data: bytes, *, resource: str) -> dict[str, Any]:
    """A photo as a JPEG in base64, with its size in pixels; place, time and camera are left out.

    Args:
        data: a JPEG, PNG or WebP file.
        resource: its name, for the sentence if it cannot be kept.

    Raises:
        UnreadableFile: if it is of another kind, broken, too small or too large.
    """
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            # Its own warning comes at half of what is refused here anyway.
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            opened = Image.open(io.BytesIO(data), formats=_FORMATS)
        _refuse_size(opened.size, resource)
        upright = ImageOps.exif_transpose(opened)
        plain = _on_white(upright)
    except (UnidentifiedImageError, Image.DecompressionBombError) as error:
        raise UnreadableFile(
            "this is no photo; expected a JPEG, PNG or WebP file", resource=resource
        ) from error
    except (OSError, SyntaxError, ValueError, EOFError) as error:
        raise UnreadableFile("this photo is broken and cannot be shown", resource=resource) from error
    plain.thumbnail((_LONGEST_SIDE, _LONGEST_SIDE), Image.Resampling.LANCZOS)
    out = io.BytesIO()
    # A new picture out of the pixels alone: no place, no time, no camera, no thumbnail goes along.
    Image.frombytes("RGB", plain.size, plain.tobytes()).save(out, format="JPEG", quality=_QUALITY)
    return {
        "jpeg": base64.b64encode(out.getvalue()).decode("ascii"),
        "width": plain.width,
        "height": plain.height,
    }


def _refuse_size(size: tuple[int, int], resource: str) -> None:
    width, height = size
    if width * height > _MOST_PIXELS:
        raise UnreadableFile(
            f"this photo has {width} × {height} points; expected at most {_MOST_PIXELS // 1_000_000} million",
            resource=resource,
        )
    if min(size) < _SHORTEST_SIDE:
        raise UnreadableFile(
            f"this photo has {width} × {height} points; expected at least {_SHORTEST_SIDE} each way",
            resource=resource,
        )


def _on_white(picture: Any) -> Any:
    """A picture without transparency, on white."""
    from PIL import Image

    if not picture.has_transparency_data:
        return picture.convert("RGB")
    white = Image.new("RGBA", picture.size, (255, 255, 255, 255))
    white.alpha_composite(picture.convert("RGBA"))
    return white.convert("RGB")
