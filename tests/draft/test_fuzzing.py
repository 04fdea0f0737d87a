"""The draft under a fuzzer that looks for new ways through the program, for as long as one lets it."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from support.figures import Figure

HERE = Path(__file__).parent
SAMPLES = HERE.parent / "samples"

#: How long to hunt; an hour unless told otherwise.
SECONDS = int(os.environ.get("SINKSIDE_FUZZ_SECONDS", "3600"))
#: No input is longer than about a page of 500 words; each watches its own two seconds of the processor.
LONGEST_INPUT = 4000
HANGS_AFTER_SECONDS = 60
MOST_MEGABYTES = 1500


@pytest.mark.long
def test_no_input_breaks_the_draft(tmp_path: Path, figure: Figure) -> None:
    """Random bytes, random text and changed samples: no crash, two seconds a page, bounded memory."""
    corpus = tmp_path / "corpus"
    corpus.mkdir()
    for sample in (*SAMPLES.glob("*.txt"), *(SAMPLES / "own" / "open").glob("*.txt")):
        shutil.copy(sample, corpus)
    done = subprocess.run(
        [
            sys.executable,
            str(HERE / "fuzz_draft.py"),
            f"-max_total_time={SECONDS}",
            f"-timeout={HANGS_AFTER_SECONDS}",
            f"-rss_limit_mb={MOST_MEGABYTES}",
            f"-max_len={LONGEST_INPUT}",
            f"-artifact_prefix={tmp_path}/",
            "-print_final_stats=1",
            str(corpus),
        ],
        capture_output=True,
        text=True,
        timeout=SECONDS + 300,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-4000:]
    executed = re.search(r"stat::number_of_executed_units:\s*(\d+)", done.stderr)
    assert executed is not None
    figure(f"{int(executed[1]):,} inputs in {SECONDS / 60:.0f} min, no crash")
