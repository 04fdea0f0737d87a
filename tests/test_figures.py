"""The figures of the longer hunts: a test that tells one finds it printed at the end."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).parent


def test_a_figure_is_printed_with_its_test(tmp_path: Path) -> None:
    """A passing test's words stand at the end; a failing one's are not told as if they held."""
    (tmp_path / "conftest.py").write_text((HERE / "conftest.py").read_text("utf-8"), "utf-8")
    (tmp_path / "test_some.py").write_text(
        "def test_good(figure):\n    figure('7 kills, none lost')\n\n"
        "def test_bad(figure):\n    figure('8 kills, none lost')\n    raise AssertionError\n",
        "utf-8",
    )
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", f"--rootdir={tmp_path}"]
    ran = subprocess.run(
        [*command, "-c", "/dev/null", "-o", f"pythonpath={HERE}", str(tmp_path)],
        capture_output=True,
        text=True,
        check=False,
    )
    told = ran.stdout.partition(" figures ")[2]
    assert "7 kills, none lost (test_some.py::test_good" in told, ran.stdout
    assert "8 kills" not in told
