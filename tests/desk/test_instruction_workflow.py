"""An instruction from the maker's document to approval."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from sinkside.desk import answering, approving, drafting, editing, shelf
from sinkside.desk.jobs import work_once
from sinkside.desk.standing import Standing
from sinkside.desk.still_to_do import counted
from sinkside.desk.uploads import Upload
from sinkside.errors import BadInput, Conflict, NotAllowed, NotThere, UnreadableFile
from sinkside.findings import Level
from sinkside.instruction import Device, Instruction, PictureReading
from sinkside.quantities import Figure
from sinkside.records import Grant
from support.desk_house import ELSEWHERE, LETTER, House, ReadAs, drafted, grasper, settle, steam_step

NEXT_YEAR = date(2027, 3, 1)
TEMPERATURE = "steam-temperature-not-recognised"


def _edit(house: House, by: str, instruction: str, change: editing.Edit, base: int) -> int:
    return editing.edit(house.archive, house.visitor(by), instruction, change, base=base, now=house.now)


def _open(house: House, instruction: str) -> shelf.OpenInstruction:
    return shelf.open_instruction(house.archive, house.visitor("eve"), instruction)


def _stop(house: House, instruction: str, rule: str = TEMPERATURE) -> Standing:
    return next(one for one in _open(house, instruction).findings if one.finding.rule == rule)


def _answer_stops(house: House, by: str, instruction: str) -> None:
    stops = [one.id for one in _open(house, instruction).open_stops]
    answering.attach_answer(
        house.archive, house.visitor(by), instruction, stops, upload=LETTER, words="134 °C", now=house.now
    )


def _approve(house: House, by: str, instruction: str, revision: int) -> None:
    approving.approve(
        house.archive,
        house.visitor(by),
        instruction,
        revision=revision,
        confirm_by=NEXT_YEAR,
        now=house.now,
    )


def test_a_document_becomes_revision_one_with_its_findings(house: House) -> None:
    """A handed-in document is drafted, reviewed, and shown with what must be answered."""
    known = _open(house, drafted(house, "eve"))
    assert (known.row.state, known.row.title, known.row.fields["turn"]) == ("in-work", "Grasper", "editor")
    assert known.revision.number == 1
    assert known.revision.by == house.people["eve"]
    assert TEMPERATURE in {one.finding.rule for one in known.open_stops}


@pytest.mark.parametrize(
    ("name", "data", "sentence"),
    [
        ("ifu.exe", b"MZ", "not read here"),
        ("ifu.pdf", b"  ", "empty"),
        ("ifu.txt", b"x" * 20_000_001, "large"),
    ],
)
def test_files_that_cannot_be_drafted_are_refused(
    house: House, name: str, data: bytes, sentence: str
) -> None:
    """A wrong kind, an empty or an oversized file gets one sentence, and nothing is kept."""
    with pytest.raises(UnreadableFile, match=sentence):
        shelf.hand_in(house.archive, house.visitor("eve"), Upload(name, "", data), now=house.now)
    assert shelf.shelf(house.archive, house.visitor("eve")) == []


def test_a_book_of_many_instructions_is_refused(house: House) -> None:
    """What has more steps than anybody checks as one is not kept; the shelf says how many, and what to do."""
    dry = grasper().steps[0]
    many = [dry.model_copy(update={"id": f"s{number}"}) for number in range(1, drafting.MOST_STEPS + 2)]
    book = grasper().model_copy(update={"steps": tuple(many)})
    handed = shelf.hand_in(house.archive, house.visitor("eve"), LETTER, now=house.now)
    handlers = {shelf.DRAFT_JOB: ReadAs(text=book)}
    done = work_once(house.archive, handlers, worker="w", clock=lambda: house.now)
    assert done is not None
    assert done.state == "failed"
    row = shelf.instruction_row(house.archive, house.visitor("eve"), handed.instruction)
    assert row.state == "unread"
    assert "it has 1,001 steps" in str(row.fields["error"])
    assert "at most 1,000" in str(row.fields["error"])


def test_another_department_sees_nothing(house: House) -> None:
    """An instruction of this department is not there for another."""
    instruction = drafted(house, "eve")
    with house.archive.unit() as unit:
        unit.sites.add(ELSEWHERE)
        unit.people.grant(Grant(house.people["uma"], ELSEWHERE.id, "lead"))
    elsewhere = house.visitor("uma", ELSEWHERE.id)
    assert shelf.shelf(house.archive, elsewhere) == []
    with pytest.raises(NotThere):
        shelf.open_instruction(house.archive, elsewhere, instruction)
    with pytest.raises(NotThere):
        editing.edit(house.archive, elsewhere, instruction, editing.Accept(("s1",)), base=1, now=house.now)


def test_every_edit_is_a_revision_and_the_old_ones_stay(house: House) -> None:
    """Correct, add, strike and accept each make the next revision; the first stays as it was drafted."""
    instruction = drafted(house, "eve")
    first = _open(house, instruction).instruction
    corrected = first.steps[0].model_copy(update={"until": "dry inside and out"})
    added = steam_step(121, "", "x").model_copy(update={"alternative": "b"})
    changes: list[editing.Edit] = [
        editing.Correct(corrected),
        editing.Add(added, after="s2"),
        editing.Strike("added-3", "read twice"),
        editing.Accept(("s1", "s2")),
    ]
    for base, change in enumerate(changes, start=1):
        assert _edit(house, "eve", instruction, change, base) == base + 1
    known = shelf.open_instruction(house.archive, house.visitor("eve"), instruction, revision=1)
    assert known.instruction == first
    assert _open(house, instruction).accepted == {"s1", "s2"}
    lines = shelf.history(house.archive, house.visitor("eve"), instruction)
    assert [line.note for line in lines] == ["drafted", "", "", "read twice", ""]


def test_a_correction_unconfirms_nothing_else_and_keeps_the_words(house: House) -> None:
    """The words that a step was read from cannot be edited, and only the changed step counts as confirmed."""
    instruction = drafted(house, "eve")
    forged = steam_step(134, "Steam at 134 °C.")
    _edit(house, "eve", instruction, editing.Correct(forged), 1)
    known = _open(house, instruction)
    assert known.instruction.step("s2").origin.text.startswith("Steam, prevacuum: 143 °C")
    assert known.accepted == {"s2"}


def test_an_edit_on_an_older_revision_is_a_conflict(house: House) -> None:
    """Whoever edits what somebody else changed meanwhile is told so, and nothing is lost."""
    instruction = drafted(house, "eve")
    _edit(house, "eve", instruction, editing.Accept(("s1",)), 1)
    with pytest.raises(Conflict, match="revision 2"):
        _edit(house, "uma", instruction, editing.Accept(("s2",)), 1)


def test_edits_that_change_nothing_or_concern_nothing_are_refused(house: House) -> None:
    """No revision is made of nothing, of an unknown step, or without a reason for striking."""
    instruction = drafted(house, "eve")
    _edit(house, "eve", instruction, editing.Accept(("s1",)), 1)
    with pytest.raises(BadInput, match="nothing was changed"):
        _edit(house, "eve", instruction, editing.Accept(("s1",)), 2)
    with pytest.raises(NotThere):
        _edit(house, "eve", instruction, editing.Strike("s9", "no step"), 2)
    with pytest.raises(BadInput, match="reason"):
        _edit(house, "eve", instruction, editing.Strike("s1", " "), 2)
    assert _open(house, instruction).revision.number == 2


def test_what_was_probably_meant_is_no_edit(house: House) -> None:
    """The text says 143 °C: writing 134 over it, or striking the step, leaves the stop to the maker."""
    instruction = drafted(house, "eve")
    known = _stop(house, instruction).id
    _edit(house, "eve", instruction, editing.Correct(steam_step(134, "")), 1)
    still = _stop(house, instruction)
    assert (still.id, still.carried, still.is_open_stop) == (known, True, True)
    _edit(house, "eve", instruction, editing.Strike("s2", "not ours"), 2)
    assert _stop(house, instruction).is_open_stop


def test_a_misread_figure_is_settled_by_reading_it_rightly(house: House) -> None:
    """The text says 134 °C and the draft read 143: the correction alone settles the stop."""
    said = "Steam, prevacuum: 134 °C, 4 min, drying 20 min."
    instruction = drafted(house, "eve", grasper(143, said))
    assert _stop(house, instruction).is_open_stop
    _edit(house, "eve", instruction, editing.Correct(steam_step(134, said)), 1)
    assert TEMPERATURE not in {one.finding.rule for one in _open(house, instruction).findings}


@pytest.mark.parametrize(
    ("said", "stands"),
    [
        ("Steam, prevacuum: 134°C, 4 minutes, drying 20 min.", True),
        ("Steam (134 °C), prevacuum.", True),
        ("Steam, prevacuum: 1134 °C, 4 min, drying 20 min.", False),
        ("Steam, prevacuum: 134 °CX, 4 min.", False),
        ("Steam, prevacuum: 0.134 °C, 4 min.", False),
        ("Steam, prevacuum: 121-134 °C, 4 min.", False),
        ("Steam, prevacuum, -134 °C.", False),
    ],
)
def test_a_figure_stands_in_the_words_as_a_whole(house: House, said: str, *, stands: bool) -> None:
    """Reading 134 °C out of 1134 °C is no correction; another way to write the unit is one."""
    instruction = drafted(house, "eve", grasper(143, said))
    _edit(house, "eve", instruction, editing.Correct(steam_step(134, said)), 1)
    left = {one.finding.rule for one in _open(house, instruction).findings}
    assert (TEMPERATURE not in left) == stands


def test_a_reason_does_not_settle_what_only_the_maker_can(house: House) -> None:
    """An impossible steam temperature is not accepted with a reason, and asking leaves it open."""
    instruction = drafted(house, "eve")
    stop = _stop(house, instruction)
    uma = house.visitor("uma")
    with pytest.raises(NotAllowed, match="maker's written answer"):
        answering.accept_findings(
            house.archive, uma, instruction, [stop.id], reason="surely 134", now=house.now
        )
    answering.ask_maker(house.archive, uma, instruction, [stop.id], now=house.now)
    assert _stop(house, instruction).is_open_stop
    _answer_stops(house, "uma", instruction)
    assert not _open(house, instruction).open_stops
    file, data = shelf.makers_document(
        house.archive, uma, instruction, digest=_answer_file(house, instruction)
    )
    assert (file.name, data) == (LETTER.name, LETTER.data)


def _answer_file(house: House, instruction: str) -> str:
    answer = _stop(house, instruction).answer
    assert answer is not None
    return answer.file


def test_an_answer_holds_as_long_as_its_step_is_unchanged(house: House) -> None:
    """After an edit elsewhere the answer stands; after an edit of the figure the new stop is open again."""
    instruction = drafted(house, "eve")
    _answer_stops(house, "uma", instruction)
    _edit(house, "eve", instruction, editing.Accept(("s1",)), 1)
    assert not _open(house, instruction).open_stops
    _edit(house, "eve", instruction, editing.Correct(steam_step(145, "")), 2)
    opened = {str(one.finding.evidence) for one in _open(house, instruction).open_stops}
    assert opened
    assert all("145" in evidence for evidence in opened)


def test_a_concern_is_accepted_with_a_reason(house: House) -> None:
    """What is no stop can be settled by a reason, which is kept with who gave it."""
    text = grasper(134, "Steam, prevacuum: 134 °C, 4 min, drying 20 min.")
    instruction = drafted(house, "eve", text)
    concern = next(one for one in _open(house, instruction).findings if one.finding.level is not Level.stop)
    answering.accept_findings(
        house.archive, house.visitor("eve"), instruction, [concern.id], reason="local policy", now=house.now
    )
    answer = next(one for one in _open(house, instruction).findings if one.id == concern.id).answer
    assert answer is not None
    assert (answer.words, answer.by) == ("local policy", house.people["eve"])


def test_approval_by_somebody_else_without_open_stops(house: House) -> None:
    """Neither drafter nor editor approves, nor anybody while something is to do; then somebody else does."""
    instruction = drafted(house, "eve")
    settle(house, "uma", instruction)
    for writer in ("eve", "uma"):
        with pytest.raises(NotAllowed, match="somebody else"):
            _approve(house, writer, instruction, 2)
    with pytest.raises(NotAllowed):
        _approve(house, "tom", instruction, 2)
    with pytest.raises(Conflict):
        _approve(house, "ada", instruction, 1)
    _approve(house, "ada", instruction, 2)
    row = _open(house, instruction).row
    assert (row.state, row.fields["approved"], row.fields["confirm_by"]) == ("approved", 2, "2027-03-01")
    assert row.due is not None
    assert row.due > house.now
    with pytest.raises(NotAllowed, match="approved already"):
        _approve(house, "ada", instruction, 2)


def _with_a_concern() -> Instruction:
    """A text with a stop for the maker, and a concern: its exposure is a range."""
    text = grasper()
    dry, steam = text.steps
    exposure = Figure(quantity="time", min=3, max=18, unit="min", as_written="3 - 18 min", role="exposure")
    figures = (steam.figures[0], exposure, steam.figures[2])
    return text.model_copy(update={"steps": (dry, steam.model_copy(update={"figures": figures}))})


def test_nothing_is_approved_that_nobody_looked_at(house: House) -> None:
    """Stops, concerns and steps with figures each keep a revision from being approved, and each is told."""
    instruction = drafted(house, "eve", _with_a_concern())
    with pytest.raises(NotAllowed) as refused:
        _approve(house, "ada", instruction, 1)
    to_do = _open(house, instruction).to_do
    assert to_do.steps == ("s2",)
    said = str(refused.value)
    assert to_do.concerns
    assert f"{counted(len(to_do.stops), 'stop')} open" in said
    assert f"{counted(len(to_do.concerns), 'concern')} open" in said
    assert "1 step with figures is not accepted yet" in said
    _answer_stops(house, "uma", instruction)
    _edit(house, "uma", instruction, editing.Accept(("s2",)), 1)
    with pytest.raises(NotAllowed, match="concern") as refused:
        _approve(house, "ada", instruction, 2)
    assert "stop" not in str(refused.value)
    concerns = [one.id for one in _open(house, instruction).to_do.concerns]
    answering.ask_maker(house.archive, house.visitor("uma"), instruction, concerns, now=house.now)
    assert _open(house, instruction).row.fields["turn"] == "maker"
    answering.accept_findings(
        house.archive, house.visitor("uma"), instruction, concerns, reason="local policy", now=house.now
    )
    assert _open(house, instruction).row.state == "ready"
    _approve(house, "ada", instruction, 2)


def test_a_text_of_which_nothing_was_read_is_not_approved(house: House) -> None:
    """A tale without a step waits for somebody to hand in the right document; no paper is made of it."""
    tale = Instruction(device=Device(name="The fox"))
    instruction = drafted(house, "eve", tale)
    assert _open(house, instruction).to_do.words == "no step was read"
    with pytest.raises(NotAllowed, match="no step could be read"):
        _approve(house, "ada", instruction, 1)


def test_several_findings_are_accepted_together_or_none(house: House) -> None:
    """One that only the maker settles among them: all are refused, and it is named."""
    instruction = drafted(house, "eve", _with_a_concern())
    to_do = _open(house, instruction).to_do
    theirs = _stop(house, instruction)
    wanted = [*(one.id for one in to_do.concerns), theirs.id]
    with pytest.raises(NotAllowed, match="143"):
        answering.accept_findings(
            house.archive, house.visitor("uma"), instruction, wanted, reason="so be it", now=house.now
        )
    assert _open(house, instruction).to_do == to_do


def test_figures_read_from_a_picture_are_compared_before_approval(house: House) -> None:
    """Nobody approves until somebody else accepted or corrected each step with such figures."""
    text = grasper(134, "Steam at 134 °C, 4 min, drying 20 min.")
    seen = [
        step.model_copy(
            update={"origin": step.origin.model_copy(update={"picture": PictureReading(sure=91)})}
        )
        for step in text.steps
    ]
    instruction = drafted(house, "eve", text.model_copy(update={"steps": tuple(seen)}))
    with pytest.raises(NotAllowed, match=r"not accepted yet \(1 read from a picture\)"):
        _approve(house, "ada", instruction, 1)
    settle(house, "uma", instruction)
    _approve(house, "ada", instruction, 2)
    assert _open(house, instruction).row.state == "approved"


def test_after_approval_an_edit_asks_for_approval_again(house: House) -> None:
    """An edit of an approved text waits for approval by somebody who did not make it."""
    instruction = drafted(house, "eve")
    settle(house, "eve", instruction)
    _approve(house, "ada", instruction, 2)
    _edit(house, "uma", instruction, editing.Accept(("s1",)), 2)
    assert _open(house, instruction).row.state == "ready"
    with pytest.raises(NotAllowed, match="somebody else"):
        _approve(house, "uma", instruction, 3)
    _approve(house, "ada", instruction, 3)


def test_a_later_document_is_the_next_revision_and_is_compared(house: House) -> None:
    """A later upload of the same text becomes the next revision, told in the trade's terms."""
    instruction = drafted(house, "eve", grasper(134, "Steam at 134 °C, 4 min."))
    later = grasper(134, "Steam at 134 °C, 5 min.")
    steam = later.steps[1]
    longer = steam.figures[1].model_copy(update={"value": 5.0, "as_written": "5 min"})
    figures = (steam.figures[0], longer, steam.figures[2])
    steps = (later.steps[0], steam.model_copy(update={"figures": figures}))
    drafted(house, "uma", later.model_copy(update={"steps": steps}), follows=instruction)
    assert _open(house, instruction).revision.number == 2
    told = shelf.compare_revisions(house.archive, house.visitor("eve"), instruction, before=1, after=2)
    assert [change.sentence for change in told.changes] == ["sterilization exposure 4 → 5 min"]


def test_the_text_is_confirmed_current_by_whose_turn_it_is(house: House) -> None:
    """Whoever's turn it is confirms the text and sets the next date; others without the right do not."""
    instruction = drafted(house, "eve")
    approving.approve(
        house.archive,
        house.visitor("ada"),
        instruction,
        revision=settle(house, "uma", instruction),
        confirm_by=NEXT_YEAR,
        now=house.now,
        confirm_turn=house.people["tom"],
    )
    house.later(days=300)
    again = NEXT_YEAR + timedelta(days=365)
    with pytest.raises(NotAllowed):
        approving.confirm_current(
            house.archive, house.visitor("olga"), instruction, confirm_by=again, now=house.now
        )
    with pytest.raises(BadInput, match="still to come"):
        approving.confirm_current(
            house.archive, house.visitor("tom"), instruction, confirm_by=house.now.date(), now=house.now
        )
    approving.confirm_current(
        house.archive, house.visitor("tom"), instruction, confirm_by=again, now=house.now
    )
    row = _open(house, instruction).row
    assert (row.fields["confirm_by"], row.fields["confirm_turn"]) == (again.isoformat(), house.people["tom"])


def test_the_auditor_reads_and_changes_nothing(house: House) -> None:
    """Every writing verb is refused to the auditor, and no event tells of a try."""
    instruction = drafted(house, "eve")
    olga = house.visitor("olga")
    stop = _stop(house, instruction).id
    with house.archive.unit(writes=False) as unit:
        before = unit.journal.head("north")
    with pytest.raises(NotAllowed):
        shelf.hand_in(house.archive, olga, LETTER, now=house.now)
    with pytest.raises(NotAllowed):
        editing.edit(house.archive, olga, instruction, editing.Accept(("s1",)), base=1, now=house.now)
    with pytest.raises(NotAllowed):
        answering.ask_maker(house.archive, olga, instruction, [stop], now=house.now)
    with pytest.raises(NotAllowed):
        _approve(house, "olga", instruction, 1)
    with house.archive.unit(writes=False) as unit:
        assert unit.journal.head("north") == before
