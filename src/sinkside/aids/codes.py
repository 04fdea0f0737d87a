"""Codes that lead from paper back to the living instruction."""

from __future__ import annotations

import functools

from sinkside.instruction import Instruction

#: Signs of a digest that a person can compare by eye and that still tell instructions apart.
DIGEST_SHOWN = 12

#: The same code stands on a paper each time that somebody looks at it, and where there is no server on many.
_KEPT = 256


def paper_code(instruction: Instruction, *, digest: str, live_url: str | None) -> str:
    """What a paper's code says: the live page's address, or, without a server, which text the paper is of.

    >>> from sinkside.instruction import Device
    >>> paper_code(Instruction(device=Device(name="Forceps")), digest="ab12", live_url=None)
    'sinkside instruction ab12 revision unknown'
    """
    if live_url:
        return live_url
    revision = instruction.device.document.revision or "unknown"
    return f"sinkside instruction {digest[:DIGEST_SHOWN]} revision {revision}"


@functools.lru_cache(maxsize=_KEPT)
def qr_svg(text: str) -> str:
    """A QR code as SVG, its quiet zone four modules wide, as ISO/IEC 18004 asks (clause from memory)."""
    import segno

    svg: str = segno.make(text, error="m", micro=False).svg_inline(border=4, light="#ffffff")
    return svg


def qr_values(text: str, *, opens: bool) -> dict[str, str]:
    """A code as templates take it: the drawing, and its words; `opens` if what it says is an address.

    >>> qr_values("sinkside run r-1", opens=False)["alt"]
    'QR code: sinkside run r-1'
    """
    return {"svg": qr_svg(text), "alt": f"QR code: opens {text}" if opens else f"QR code: {text}"}
