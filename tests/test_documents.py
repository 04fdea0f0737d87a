"""Files in and out: what YAML text means."""

from __future__ import annotations

from sinkside.documents import parse


def test_the_field_on_needs_no_quotes() -> None:
    """The words that older YAML took for truth values stay words; only true and false are truth values.

    YAML 1.2.2, section 10.2.1.2 (core schema: `true | True | TRUE | false | False | FALSE`), from memory.
    """
    text = "on: [jaw]\nnote: off\nanswer: no\nbrushable: true\nsealed: False\nold: TRUE\n"
    assert parse(text, resource="step.yaml", is_yaml=True) == {
        "on": ["jaw"],
        "note": "off",
        "answer": "no",
        "brushable": True,
        "sealed": False,
        "old": True,
    }
