"""What stands under a picture or over a table says what is shown there, and asks for nothing."""

from __future__ import annotations

import re

_CAPTION = re.compile(
    r"(?P<of>fig(?:ure|\.)?|illustration|photo|picture|abb(?:ildung|\.)|bild|ilustraci[oó]n|figura"
    r"|table|tab\.|tabelle|tableau|tabla)\s*\d{1,3}[a-z]?\s*(?P<behind>[.:–—-]\s*)?(?P<words>\S.*)",
    re.IGNORECASE,
)
_TABLE = re.compile(r"tab", re.IGNORECASE)
#: More words than this tell what to do beside the picture.
_MOST_WORDS = 16


def is_caption(text: str) -> bool:
    """Whether a paragraph is the caption of a picture or a table.

    >>> is_caption("Figure 3  Rinse the port"), is_caption("Fig. 4: the port"), is_caption("Table 2 Limits")
    (True, True, True)
    >>> is_caption("Figure 5 shows the brush."), is_caption("Rinse as in figure 5.")
    (False, False)
    """
    match = _CAPTION.fullmatch(text.strip())
    if match is None or len(text.split()) > _MOST_WORDS:
        return False
    return bool(match["behind"]) or match["words"][0].isupper()


def is_of_table(caption: str) -> bool:
    """Whether a caption is that of a table."""
    return _TABLE.match(caption.strip()) is not None
