"""Files in and out: YAML or JSON by their ending, every fault with its path, nothing half-written."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Hashable, Mapping
from pathlib import Path
from typing import Any, TypeVar

import yaml
from pydantic import BaseModel, ConfigDict, ValidationError

from sinkside.errors import BadDocument, Fault, UnreadableFile

Document = TypeVar("Document", bound=BaseModel)

#: No document of ours comes near this; a larger file is something else.
LARGEST_DOCUMENT_BYTES = 20_000_000

#: YAML can say in a line what fills a memory; no document of ours has nearly so many values.
MOST_VALUES = 200_000

#: Plain text in UTF-16 begins with a mark, or nearly every other byte of its head is zero.
_UTF16_MARKS = (b"\xff\xfe", b"\xfe\xff")
_LOOKED_AT = 4096
_ZEROS_OF_UTF16 = (0.3, 0.6)
_ON_ONE_SIDE = 0.9

_YAML_ENDINGS = {".yaml", ".yml"}
_PLAIN_WORDS = {
    "extra_forbidden": "unknown field",
    "missing": "missing; it is required",
    "string_too_long": "expected at most {max_length} characters",
    "string_too_short": "expected at least {min_length} characters",
    "greater_than_equal": "expected {ge} or more",
    "less_than_equal": "expected {le} or less",
    "int_parsing": "expected a whole number",
    "float_parsing": "expected a number",
    "bool_parsing": "expected true or false",
}

#: Faults of a word that is none of those that a field takes; so much of it is told.
_ONE_OF_SOME = {"enum", "literal_error"}
_LONGEST_TOLD = 80


class Value(BaseModel):
    """A value that never changes and refuses unknown fields: what every document is made of."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class _Loader(yaml.CSafeLoader):
    """Plain values only: no dates made of text, no truth made of "on", and no key twice."""

    def construct_mapping(self, node: yaml.MappingNode, deep: bool = False) -> dict[Hashable, Any]:
        seen: set[Any] = set()
        for key_node, _ in node.value:
            key = self.construct_object(key_node, deep=True)
            if not isinstance(key, Hashable):
                raise yaml.constructor.ConstructorError(
                    None, None, "a list is no field name", key_node.start_mark
                )
            if key in seen:
                raise yaml.constructor.ConstructorError(
                    None, None, f"'{key}' stands twice", key_node.start_mark
                )
            seen.add(key)
        return super().construct_mapping(node, deep)


_NOT_GUESSED = {"tag:yaml.org,2002:timestamp", "tag:yaml.org,2002:bool"}
_Loader.yaml_implicit_resolvers = {
    first: [(tag, pattern) for tag, pattern in resolvers if tag not in _NOT_GUESSED]
    for first, resolvers in yaml.CSafeLoader.yaml_implicit_resolvers.items()
}
# As in YAML 1.2; with the older words `on`, a field of every step, would be read as a truth value.
_Loader.add_implicit_resolver(
    "tag:yaml.org,2002:bool", re.compile(r"^(?:true|True|TRUE|false|False|FALSE)$"), list("tTfF")
)


def read_text(path: Path) -> str:
    """The text of a file from outside.

    Raises:
        UnreadableFile: if it is missing, a folder, empty, too large or no text.
    """
    return decoded(read_bytes(path), resource=str(path))


def decoded(data: bytes, *, resource: str = "", expected: str = "text") -> str:
    r"""The text of some bytes: UTF-8, UTF-16 where its mark or its zeros say so, or Latin-1.

    Raises:
        UnreadableFile: if it is no text.

    >>> decoded("für 5 min".encode("utf-16"))
    'für 5 min'
    """
    try:
        if data.startswith(_UTF16_MARKS):
            return data.decode("utf-16")
        if unmarked := _unmarked_utf16(data):
            return data.decode(unmarked)
    except UnicodeDecodeError as error:
        raise UnreadableFile("this is no text that can be read", resource=resource) from error
    if b"\0" in data:
        raise UnreadableFile(f"this is a binary file; expected {expected}", resource=resource)
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def _unmarked_utf16(data: bytes) -> str:
    """Which of the two orders of bytes, if text has no mark but the zeros of plain text; else nothing."""
    head = data[:_LOOKED_AT]
    zeros, leading = head.count(0), head[::2].count(0)
    low, high = (share * len(head) for share in _ZEROS_OF_UTF16)
    if not low < zeros < high or len(data) % 2:
        return ""
    if leading >= zeros * _ON_ONE_SIDE:
        return "utf-16-be"
    return "utf-16-le" if zeros - leading >= zeros * _ON_ONE_SIDE else ""


def read_bytes(path: Path, *, most: int = LARGEST_DOCUMENT_BYTES) -> bytes:
    """The bytes of a file from outside.

    Raises:
        UnreadableFile: if it is missing, a folder, empty or larger than `most`.
    """
    try:
        size = path.stat().st_size
        if path.is_file() and size > most:
            raise UnreadableFile(
                f"{size / 1e6:.0f} MB is too large; at most {most / 1e6:.0f} MB", resource=str(path)
            )
        with path.open("rb") as file:
            data = file.read(most + 1)
    except FileNotFoundError:
        raise UnreadableFile("there is no such file", resource=str(path)) from None
    except IsADirectoryError:
        raise UnreadableFile("this is a folder; expected a file", resource=str(path)) from None
    except OSError as error:
        raise UnreadableFile(f"it cannot be read ({error.strerror})", resource=str(path)) from error
    if len(data) > most:
        # A device or a pipe does not tell its size beforehand, and may never end.
        raise UnreadableFile(f"it is too large; at most {most / 1e6:.0f} MB", resource=str(path))
    if not data.strip():
        raise UnreadableFile("the file is empty", resource=str(path))
    return data


def parse(text: str, *, resource: str, is_yaml: bool) -> Any:
    """Plain values from YAML or JSON text.

    Raises:
        UnreadableFile: with line and column of the first fault, or if it unfolds into too many values.
    """
    try:
        # ruff's S506 cannot see that the loader descends from the safe one.
        values = yaml.load(text, Loader=_Loader) if is_yaml else _json_values(text, resource)  # noqa: S506
        unfolded = _count(values, {})
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark
        where = f"line {mark.line + 1}, column {mark.column + 1}: " if mark else ""
        raise UnreadableFile(f"{where}{error.problem}; expected YAML", resource=resource) from error
    except json.JSONDecodeError as error:
        raise UnreadableFile(
            f"line {error.lineno}, column {error.colno}: {error.msg}; expected JSON", resource=resource
        ) from error
    except (yaml.YAMLError, RecursionError, ValueError) as error:
        # A number of thousands of digits is a ValueError of Python's own, from either reader.
        raise UnreadableFile("this cannot be read; expected YAML or JSON", resource=resource) from error
    if unfolded > MOST_VALUES:
        raise UnreadableFile(f"it unfolds into more than {MOST_VALUES:,} values", resource=resource)
    return values


def _json_values(text: str, resource: str) -> Any:
    """Plain values from JSON; a key that stands twice is refused, where Python would keep the last."""

    def fields(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(pairs)
        if len(found) < len(pairs):
            keys = [key for key, _ in pairs]
            twice = next(key for key in found if keys.count(key) > 1)
            raise UnreadableFile(f"'{twice}' stands twice", resource=resource)
        return found

    return json.loads(text, object_pairs_hook=fields)


def _count(values: Any, known: dict[int, int]) -> int:
    """How many values there are with every alias unfolded; each shared part is walked once."""
    if not isinstance(values, dict | list):
        return 1
    if id(values) not in known:
        known[id(values)] = MOST_VALUES + 1  # a part that holds itself never ends
        inner = values.values() if isinstance(values, dict) else values
        known[id(values)] = 1 + sum(_count(value, known) for value in inner)
    return known[id(values)]


def validate(kind: type[Document], values: Any, *, resource: str) -> Document:
    """A document from plain values.

    Raises:
        BadDocument: with every fault and its path.
    """
    if not isinstance(values, dict):
        raise BadDocument([Fault("", "expected fields and values")], resource=resource)
    try:
        return kind.model_validate(values)
    except ValidationError as error:
        raise BadDocument(faults_of(error), resource=resource) from error


def faults_of(error: ValidationError) -> list[Fault]:
    """Every fault of a validation, in plain words with its path."""
    faults = []
    for detail in error.errors(include_url=False):
        path = ""
        for key in detail["loc"]:
            path += f"[{key}]" if isinstance(key, int) else f".{key}" if path else str(key)
        words = plain_words(detail["type"], detail["msg"], detail.get("ctx", {}))
        if detail["type"] in _ONE_OF_SOME and isinstance(detail["input"], str):
            words = f"'{detail['input'][:_LONGEST_TOLD]}' is none of these; {words}"
        faults.append(Fault(path, words))
    return faults


def plain_words(kind: str, message: str, context: Mapping[str, Any]) -> str:
    """A fault in plain words, by what the validating library calls it.

    >>> plain_words("string_too_long", "String should have at most 3 characters", {"max_length": 3})
    'expected at most 3 characters'
    """
    words = _PLAIN_WORDS.get(kind)
    if words is None:
        return message.removeprefix("Value error, ").replace("Input should be", "expected")
    return words.format(**context)


def load(kind: type[Document], path: Path) -> Document:
    """Read a document from a .yaml, .yml or .json file.

    Raises:
        UnreadableFile: if the file cannot be read.
        BadDocument: if its content does not fit; carries every fault.
    """
    values = parse(read_text(path), resource=str(path), is_yaml=path.suffix.lower() in _YAML_ENDINGS)
    return validate(kind, values, resource=str(path))


def to_values(document: BaseModel, *, terse: bool = False) -> dict[str, Any]:
    """A document as plain values, without what is not given; `terse` leaves out defaults too."""
    values = document.model_dump(mode="json", exclude_none=True, exclude_defaults=terse, by_alias=True)
    written_format = getattr(document, "format", None)
    return {"format": written_format, **values} if written_format else values


def to_json(document: BaseModel, *, compact: bool = False) -> str:
    """A document as JSON text: every field that has a value, so that scripts find what they look for."""
    if compact:
        return json.dumps(to_values(document), ensure_ascii=False, separators=(",", ":"))
    return json.dumps(to_values(document), ensure_ascii=False, indent=2)


def to_yaml(document: BaseModel) -> str:
    """A document as YAML text: only what somebody said, so that people can read it."""
    text: str = yaml.dump(
        to_values(document, terse=True),
        Dumper=yaml.CSafeDumper,
        allow_unicode=True,
        sort_keys=False,
        width=110,
    )
    return text


def save(document: BaseModel, path: Path) -> None:
    """Write a document; YAML or JSON by the ending."""
    write_text(path, to_yaml(document) if path.suffix.lower() in _YAML_ENDINGS else to_json(document) + "\n")


def write_text(path: Path, text: str) -> None:
    """Write a text file whole or not at all."""
    write_bytes(path, text.encode())


def write_bytes(path: Path, data: bytes) -> None:
    """Write a file whole or not at all: under another name first, then moved into place.

    Raises:
        UnreadableFile: if the place cannot be written to.
    """
    temporary = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with temporary.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        temporary.replace(path)
    except OSError as error:
        temporary.unlink(missing_ok=True)
        raise UnreadableFile(f"it cannot be written ({error.strerror})", resource=str(path)) from error
