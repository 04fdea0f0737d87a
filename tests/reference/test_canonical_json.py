"""RFC 8785, JSON Canonicalization Scheme (2020): the examples of the scheme and of its author's test data.

The example of values, the sorting of names and the number samples were read in the test data that the
scheme's author publishes beside it (files `values` and `weird`, sample lines of the number test). That the
RFC prints the same in sections 3.2.2 and 3.2.3 and Appendix B, and the place of the carriage return, are from
memory.
"""

from __future__ import annotations

import struct

import pytest

from sinkside.errors import BadInput
from sinkside.journal import canonical_bytes


def test_the_example_of_values() -> None:
    """Numbers, escapes and literals are written as the example shows."""
    value = {
        "numbers": [1e30, 4.50, 333333333.33333329, 2e-3, 0.000000000000000000000000001],
        "escaping": "\u20ac$\u000f\u000aA'\u0042\u0022\u005c\\\"/",
        "literals": [None, True, False],
    }
    expected = (
        '{"escaping":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/",'
        '"literals":[null,true,false],'
        '"numbers":[1e+30,4.5,333333333.3333333,0.002,1e-27]}'
    )
    assert canonical_bytes(value) == expected.encode()


def test_the_example_of_sorting() -> None:
    """Names are sorted by UTF-16 code units, which puts a smiley before a Hebrew letter."""
    names = ["\u20ac", "\r", "\ufb33", "1", "\U0001f602", "\u0080", "\u00f6", "</script>"]
    in_order = ["\r", "1", "</script>", "\u0080", "\u00f6", "\u20ac", "\U0001f602", "\ufb33"]
    written = canonical_bytes(dict.fromkeys(names, 0)).decode()
    positions = [written.index(name if name != "\r" else "\\r") for name in in_order]
    assert positions == sorted(positions)


@pytest.mark.parametrize(
    ("bits", "expected"),
    [
        ("4340000000000001", b"9007199254740994"),
        ("4340000000000002", b"9007199254740996"),
        ("444b1ae4d6e2ef50", b"1e+21"),
        ("3eb0c6f7a0b5ed8d", b"0.000001"),
        ("3eb0c6f7a0b5ed8c", b"9.999999999999997e-7"),
        ("8000000000000000", b"0"),
        ("0000000000000000", b"0"),
    ],
)
def test_the_number_samples(bits: str, expected: bytes) -> None:
    """Floats are written as ECMAScript does."""
    (value,) = struct.unpack(">d", bytes.fromhex(bits))
    assert canonical_bytes(value) == expected


@pytest.mark.parametrize("value", [float("nan"), float("inf"), 2**53, "\ud800", {1: "a"}, {"a": object()}])
def test_what_has_no_canonical_form_is_refused(value: object) -> None:
    """NaN, infinity, whole numbers beyond 2^53 - 1, lone surrogates and what is no JSON are refused."""
    with pytest.raises(BadInput, match="cannot be written as canonical JSON"):
        canonical_bytes(value)
