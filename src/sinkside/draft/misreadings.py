"""What reading a picture commonly gets wrong in figures, put right where only one reading is possible.

Each pattern leaves alone what could also be meant: an S for 5, a lost decimal point, 25 for ≥ 5 stay as they
were read, and a person compares every figure of a picture with its page anyway.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

_UNIT = (
    r"(?:°\s?C|°\s?F|min(?:utes?)?|mins?|h(?:ours?)?|s(?:ec(?:onds?)?)?|days?|m[lL]|L|mm|cm|bar|mbar|kPa|psi"
    r"|k?Hz|MHz|%|kg|g|[µu]S|Minuten?|Sekunden?|Stunden?|minutos?|segundos?|heures?|secondes?)"
)
_HOTTEST_MEANT = 200
#: Asterisk, quotation marks straight and curled, accents, the ordinal sign, a ring: all small and high.
_RAISED_SIGNS = "*\"'`\u201c\u201d\u2018\u2019\u00b4\u00ba\u02da"


@dataclass(frozen=True, slots=True)
class _Pattern:
    found: re.Pattern[str]
    meant: Callable[[re.Match[str]], str]


def _zeroes(match: re.Match[str]) -> str:
    return match[0].replace("O", "0").replace("o", "0").replace("Q", "0")


def _ones(match: re.Match[str]) -> str:
    return re.sub(r"[lI|]", "1", match[1]) + match[2]


def _degrees(match: re.Match[str]) -> str:
    """'1340C' and '134oC': no step is as hot as 1340, so the last sign is the ring."""
    number = match[1]
    return f"{number} °{match[2]}" if int(number) <= _HOTTEST_MEANT else match[0]


_PATTERNS = (
    # The ring of the degree sign as another raised sign.
    _Pattern(re.compile(rf"(?<=\d)\s?[{_RAISED_SIGNS}]\s?(?=[CF]\b)"), lambda _: " °"),
    _Pattern(re.compile(r"\b(\d{2,3})\s?[oO]\s?([CF])\b"), _degrees),
    _Pattern(re.compile(r"\b(\d{2,3})0([CF])\b"), _degrees),
    # Letters inside a number, or a number of one letter before a unit.
    _Pattern(re.compile(rf"\b\d*[.,]?\d*[OoQ][\dOoQ]*(?:[.,]\d+)?(?=\s?{_UNIT}\b|\s?%)"), _zeroes),
    _Pattern(re.compile(r"\b[OoQ](?=[.,]\d)"), _zeroes),
    _Pattern(re.compile(rf"(?<![\w.,])([lI|]\d+|\d+[lI|]\d*)(\s?{_UNIT}\b|\s?%)"), _ones),
    _Pattern(re.compile(rf"(?<![\w.,])([lI])(\s{_UNIT}\b)"), _ones),
    _Pattern(
        re.compile(r"\bA[oO](?=\s*(?:values?\b|Wert|min\b|max\b|of\b|at least|[≥>=:]|\d))"), lambda _: "A0"
    ),
    # Units.
    _Pattern(re.compile(r"(?<=\d)(\s?)(?:rnin|mln|m1n|m\u0131n|rmin|miin)\b"), lambda m: f"{m[1]}min"),
    _Pattern(re.compile(r"(?<=\d)(\s?)m[1I|](?![\w|])"), lambda m: f"{m[1]}ml"),
    _Pattern(re.compile(r"(?<=\d)(\s?)(?:°/[o0]|[o0]/[o0](?!\d)|°/\s?,)"), lambda m: f"{m[1]}%"),
    _Pattern(re.compile(r"(?<=\d)(\s?)uS\s?/\s?cm\b"), lambda m: f"{m[1]}µS/cm"),
    # Signs alone in a cell: a bound before a number, a lone capital seen twice, I at the end of a list.
    _Pattern(re.compile(r"(?<=\| )s (?=\d)"), lambda _: "≤ "),
    _Pattern(re.compile(r"(?<=\| )2 (?=(?!\d{3} )\d+(?:[.,]\d+)? \|)"), lambda _: "≥ "),
    _Pattern(re.compile(r"(?<=\| )(?:Cc|Oo|Ss|Vv|Ww|Xx|Zz)(?= \|)"), lambda m: m[0][0]),
    _Pattern(re.compile(r"(?<=\| )((?:[A-Z][,.]\s?)+)[1l](?= \|)"), lambda m: f"{m[1].replace('.', ',')}I"),
    # A decimal point with white space behind it, which no list number has before a unit.
    _Pattern(
        re.compile(rf"(?<=\w )(\d+)([.,])\s(\d+)(?=\s?{_UNIT}\b|\s?%)"), lambda m: f"{m[1]}{m[2]}{m[3]}"
    ),
    _Pattern(re.compile(r"(?<![\d.,])0 (\d+)(?=\s?%)"), lambda m: f"0.{m[1]}"),
)


def put_right(text: str) -> tuple[str, tuple[str, ...]]:
    """A line as it must have been meant, and what was changed in it.

    >>> put_right("Soak for 1O min at 35 *C in a O.5 °/o solution.")
    ('Soak for 10 min at 35 °C in a 0.5 % solution.', ('* → °', '1O → 10', 'O → 0', '°/o → %'))
    >>> put_right("Soak for S min at 135 C.")
    ('Soak for S min at 135 C.', ())
    """
    changed: list[str] = []
    for pattern in _PATTERNS:

        def meant(match: re.Match[str], pattern: _Pattern = pattern) -> str:
            written = pattern.meant(match)
            if written != match[0]:
                changed.append(f"{match[0].strip()} → {written.strip()}")
            return written

        text = pattern.found.sub(meant, text)
    return text, tuple(changed)
