"""Coverage-guided fuzzing of the draft; run by `test_fuzzing`, or by hand with the arguments of libFuzzer.

Each input is read three ways, by its first byte: as the bytes of a file, as text, or as changes to a sample.
Whatever is no readable document must be refused as such; everything else must make a whole instruction.
"""

from __future__ import annotations

import contextlib
import importlib
import sys
import tempfile
import time
from pathlib import Path
from typing import Any, TypeAlias

#: The fuzzer comes without types.
atheris: Any = importlib.import_module("atheris")
Provider: TypeAlias = Any

with atheris.instrument_imports(include=["sinkside.draft", "sinkside.instruction"]):
    from sinkside import documents
    from sinkside.draft import draft, draft_text
    from sinkside.draft.lexicon import LANGUAGES, lexicon_for
    from sinkside.errors import BadInput
    from sinkside.instruction import Instruction

SAMPLES = Path(__file__).parent.parent / "samples"
TEXTS = [path.read_text("utf-8") for path in sorted(SAMPLES.glob("*.txt"))]
TEXTS += [path.read_text("utf-8") for path in sorted((SAMPLES / "own" / "open").glob("*.txt"))]
ENDINGS = (".txt", ".pdf", ".docx")
#: Of the processor, not of the clock: others use the machine too.
MOST_SECONDS_A_PAGE = 2.0
_MOST_CHANGES = 6
_LONGEST_PIECE = 300


def read_bytes(provider: Provider) -> None:
    """A file of these bytes, under the name of some kind of document."""
    ending = ENDINGS[provider.ConsumeIntInRange(0, len(ENDINGS) - 1)]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"fuzzed{ending}"
        path.write_bytes(provider.ConsumeBytes(provider.remaining_bytes()))
        draft(path)


def read_text(provider: Provider) -> None:
    """A text of these characters; the draft must fit its own format."""
    drafted = draft_text(provider.ConsumeUnicodeNoSurrogates(provider.remaining_bytes()))
    assert documents.validate(Instruction, documents.to_values(drafted), resource="draft") == drafted


def read_mutated(provider: Provider) -> None:
    """A sample with pieces cut out, put in, and put elsewhere."""
    text = TEXTS[provider.ConsumeIntInRange(0, len(TEXTS) - 1)]
    for _ in range(provider.ConsumeIntInRange(1, _MOST_CHANGES)):
        start = provider.ConsumeIntInRange(0, len(text))
        end = min(len(text), start + provider.ConsumeIntInRange(0, _LONGEST_PIECE))
        moved = text[start:end] if provider.ConsumeBool() else ""
        put = provider.ConsumeUnicodeNoSurrogates(provider.ConsumeIntInRange(0, _LONGEST_PIECE))
        where = provider.ConsumeIntInRange(0, start)
        text = text[:where] + moved + text[where:start] + put + text[end:]
    draft_text(text)


READERS = (read_bytes, read_text, read_mutated)


def one_input(data: bytes) -> None:
    """One input: only what the program itself refuses may be raised, and soon."""
    provider = atheris.FuzzedDataProvider(data)
    reader = READERS[provider.ConsumeIntInRange(0, len(READERS) - 1)]
    begin = time.process_time()
    with contextlib.suppress(BadInput):
        reader(provider)
    seconds = time.process_time() - begin
    assert seconds <= MOST_SECONDS_A_PAGE, f"{seconds:.1f} s of the processor for {len(data)} bytes"


if __name__ == "__main__":
    for language in LANGUAGES:
        lexicon_for(language)
    atheris.Setup(sys.argv, one_input)
    atheris.Fuzz()
