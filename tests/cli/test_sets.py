"""`sinkside set`: checked, split, compared, to and from one sheet, from the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from openpyxl import load_workbook

from sinkside.cli.app import run
from sinkside.documents import save
from sinkside.sets import load_set, read_set
from support.routing import a_department, a_program, a_sterilizer
from support.set_house import a_device


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Two devices of 134 °C, one of 132 °C, a set of all three, and a department that has both cycles."""
    save(a_device("Quarl 3 hook", mass="40 g"), tmp_path / "hook.yaml")
    save(a_device("QUARL 5 PUNCH", mass="200 g"), tmp_path / "punch.yaml")
    save(a_device("Quarl 7 rasp", celsius=132, minutes=4, drying=30), tmp_path / "rasp.yaml")
    members = [
        {"instruction": "hook", "count": 2},
        {"instruction": "Quarl 5 punch", "name": "punch"},
        {"instruction": "rasp", "mass": "90 g"},
    ]
    values = {"name": "Hand set", "members": members, "packaging_mass": "2 kg"}
    save(read_set(values), tmp_path / "set.yaml")
    site = a_department(
        a_sterilizer(a_program("134 °C", "5 min", "25 min"), a_program("132 °C", "4 min", "30 min"))
    )
    save(site, tmp_path / "site.yaml")
    return tmp_path


def _run(folder: Path, *words: str) -> int:
    return run(["set", *(str(folder / word) if "." in word or word == "out" else word for word in words)])


def test_a_set_is_checked_with_and_without_a_department(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without a department list and mass are fine; with one there is no common cycle; no text is a stop."""
    texts = ["hook.yaml", "punch.yaml", "rasp.yaml"]
    assert _run(folder, "check", "set.yaml", *texts) == 0
    assert capsys.readouterr().out == "Hand set: 4 pieces, 2.37 kg\n"
    assert _run(folder, "check", "set.yaml", *texts, "--department", "site.yaml") == 1
    told = capsys.readouterr().out.splitlines()
    assert "hook, punch: sterilizer-1 134 °C, 5 min, drying 25 min" in told[1]
    assert "No one sterilizing cycle here is named by every member" in told[3]
    assert _run(folder, "check", "set.yaml", "hook.yaml", "punch.yaml", "--json") == 1
    found = json.loads(capsys.readouterr().out)["findings"]
    assert [one["rule"] for one in found] == ["set-text-missing"]


def test_the_profile_decides_which_limit_is_in_force(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """10.5 kg is above the limit of eu, and below that of us."""
    (folder / "heavy.yaml").write_text(
        "{name: Heavy, mass: 10.5 kg, members: [{instruction: hook}]}", encoding="utf-8"
    )
    assert _run(folder, "check", "heavy.yaml", "hook.yaml", "--profile", "eu") == 1
    assert "limit in force is 10" in capsys.readouterr().out
    assert _run(folder, "check", "heavy.yaml", "hook.yaml", "--profile", "us") == 0
    assert _run(folder, "check", "heavy.yaml", "hook.yaml", "--profile", "moon") == 2


def test_a_set_is_split_into_documents(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Each cycle gets a document of its own, which cannot be split again."""
    texts = ["hook.yaml", "punch.yaml", "rasp.yaml", "--department", "site.yaml"]
    assert _run(folder, "split", "set.yaml", *texts, "--out", "out") == 2
    (folder / "out").mkdir()
    assert _run(folder, "split", "set.yaml", *texts, "--out", "out") == 0
    first, second = (load_set(folder / "out" / f"set-{number}.yaml") for number in (1, 2))
    assert [one.called for one in first.members] == ["hook", "punch"]
    assert [one.called for one in second.members] == ["rasp"]
    assert _run(folder, "split", "out/set-1.yaml", *texts, "--out", "out") == 2
    assert "nothing to split" in capsys.readouterr().err


def test_a_set_goes_into_a_sheet_and_back(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The sheet is written, changed, read onto the set with what changed, and compared; faults by row."""
    assert _run(folder, "to-table", "--out", "empty.xlsx") == 0
    assert _run(folder, "to-table", "set.yaml", "--out", "set.xlsx") == 0
    workbook = load_workbook(folder / "set.xlsx")
    page = workbook.worksheets[0]
    page["D2"] = 3
    workbook.save(folder / "set.xlsx")
    assert _run(folder, "from-table", "set.xlsx", "--onto", "set.yaml", "--out", "new.yaml") == 0
    assert "hook: count 2 → 3" in capsys.readouterr().out
    assert str(load_set(folder / "new.yaml").packaging_mass) == "2 kg"
    assert _run(folder, "compare", "set.yaml", "new.yaml", "--json") == 0
    assert json.loads(capsys.readouterr().out)["sentence"] == "hook: count 2 → 3"
    assert _run(folder, "compare", "set.yaml", "set.yaml") == 0
    assert capsys.readouterr().out == "nothing changed\n"
    page["D2"] = "many"
    workbook.save(folder / "set.xlsx")
    assert _run(folder, "from-table", "set.xlsx", "--name", "Hand set", "--out", "bad.yaml") == 2
    assert "row 2, count: 'many'; expected a whole number" in capsys.readouterr().err
    assert not (folder / "bad.yaml").exists()
    assert _run(folder, "from-table", "set.xlsx", "--out", "bad.yaml") == 2


def test_a_set_is_laid_out_into_files(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The list by letter, the layout as a document, the tray in life size; what is unknown is told."""
    (folder / "tray.yaml").write_text(
        "name: Elbow set\nmembers:\n- {instruction: gouge, count: 2, mass: 40 g}\n"
    )
    ours = ["lay-out", "tray.yaml", "--department", "site.yaml"]
    assert _run(folder, *ours) == 1
    assert "nobody knows length and width of: gouge" in capsys.readouterr().out
    asked = ["--measured", "gouge=150x20", "--seed", "3"]
    assert _run(folder, *ours, *asked, "--out", "layout.yaml", "--svg", "tray.svg") == 1
    out = capsys.readouterr().out
    assert "A   2 × gouge: turned 270°" in out
    assert "Nobody said how large a tray of a common size is inside" in out
    assert "format: sinkside/layout-1" in (folder / "layout.yaml").read_text("utf-8")
    assert 'width="504mm"' in (folder / "tray.svg").read_text("utf-8")
    assert _run(folder, *ours, *asked, "--json") == 1
    assert json.loads(capsys.readouterr().out)["format"] == "sinkside/layout-1"
    for wrong in (["--measured", "gouge"], ["--measured", "spoon=1x1"], ["--tray", "bathtub"]):
        assert _run(folder, *ours, *wrong) == 2
