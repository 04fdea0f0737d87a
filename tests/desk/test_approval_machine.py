"""Whatever people do in whatever order: nothing is approved unanswered or unseen, or by who wrote it."""

from __future__ import annotations

import contextlib
from datetime import timedelta

import hypothesis.strategies as st
from hypothesis import HealthCheck, settings
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from sinkside.desk import answering, approving, editing, shelf
from sinkside.errors import BadInput, Conflict, NotAllowed, NotThere
from sinkside.findings import Level
from support.desk_house import LETTER, House, drafted, grasper, new_house, steam_step

PEOPLE = ("ada", "eve", "uma")
person = st.sampled_from(PEOPLE)
celsius = st.sampled_from([121.0, 134.0, 143.0, 145.0])
words = st.sampled_from(
    ["Steam, prevacuum: 143 °C, 4 min, drying 20 min.", "Steam: 134 °C, 4 min, drying 20 min."]
)


class ApprovalMachine(RuleBasedStateMachine):
    """People hand in, edit, answer and try to approve; a small model remembers who wrote what."""

    def __init__(self) -> None:
        super().__init__()
        self.house: House = new_house()
        self.house.add("eve", "educator")
        self.house.add("uma", "educator")
        self.instruction = ""
        self.drafter = ""
        self.writers: set[str] = set()
        self.approved = 0

    @initialize(by=person, hot=celsius, said=words)
    def hand_in(self, by: str, hot: float, said: str) -> None:
        """Somebody hands the text in."""
        self.instruction = drafted(self.house, by, grasper(hot, said))
        self.drafter, self.writers = by, {by}

    @rule(by=person, hot=celsius, said=words)
    def hand_in_again(self, by: str, hot: float, said: str) -> None:
        """Somebody hands a later text in."""
        drafted(self.house, by, grasper(hot, said), follows=self.instruction)
        self.drafter = by
        self.writers.add(by)

    @rule(by=person, hot=celsius)
    def correct(self, by: str, hot: float) -> None:
        """Somebody writes another temperature over the one that was read."""
        self._edit(by, editing.Correct(steam_step(hot, "")))

    @rule(by=person)
    def accept(self, by: str) -> None:
        """Somebody confirms the steps."""
        self._edit(by, editing.Accept(tuple(step.id for step in self._open().instruction.steps)))

    @rule(by=person, which=st.integers(0, 3))
    def strike(self, by: str, which: int) -> None:
        """Somebody strikes a step."""
        steps = self._open().instruction.steps
        if len(steps) > 1:
            self._edit(by, editing.Strike(steps[which % len(steps)].id, "no step"))

    @rule(by=person, which=st.integers(0, 9))
    def accept_finding(self, by: str, which: int) -> None:
        """Somebody gives a reason for a finding; a stop for the maker alone stays as it was."""
        findings = self._open().findings
        if not findings:
            return
        one = findings[which % len(findings)]
        who = self.house.visitor(by)
        try:
            answering.accept_findings(
                self.house.archive, who, self.instruction, [one.id], reason="so be it", now=self.house.now
            )
        except NotAllowed:
            assert one.maker_only
        else:
            assert not one.maker_only

    @rule(by=person)
    def attach(self, by: str) -> None:
        """Somebody attaches the maker's answer to everything that is open."""
        stops = [one.id for one in self._open().to_do.findings]
        if stops:
            who = self.house.visitor(by)
            answering.attach_answer(
                self.house.archive,
                who,
                self.instruction,
                stops,
                upload=LETTER,
                words="so",
                now=self.house.now,
            )

    @rule(by=person, back=st.integers(0, 1))
    def approve(self, by: str, back: int) -> None:
        """Somebody tries to approve."""
        known = self._open()
        unanswered = [
            one
            for one in known.findings
            if one.finding.level is not Level.note and (one.answer is None or one.answer.how == "asked")
        ]
        unseen = {step.id for step in known.instruction.steps if step.figures} - known.accepted
        try:
            approving.approve(
                self.house.archive,
                self.house.visitor(by),
                self.instruction,
                revision=known.revision.number - back,
                confirm_by=(self.house.now + timedelta(days=365)).date(),
                now=self.house.now,
            )
        except (NotAllowed, Conflict):
            return
        assert back == 0
        assert not unanswered
        assert not unseen
        assert by not in self.writers
        assert by != self.drafter
        self.approved, self.writers = known.revision.number, set()

    @invariant()
    def the_shelf_tells_the_truth(self) -> None:
        """The row says what the latest revision and its answers say."""
        if self.instruction:
            known = self._open()
            assert known.row.fields["stops_open"] == len(known.open_stops)
            assert (known.row.state == "approved") == (known.revision.number == self.approved)
            assert (known.row.state == "in-work") == (
                not known.to_do.is_done and known.revision.number != self.approved
            )

    def _open(self) -> shelf.OpenInstruction:
        return shelf.open_instruction(self.house.archive, self.house.visitor("eve"), self.instruction)

    def _edit(self, by: str, change: editing.Edit) -> None:
        base = self._open().revision.number
        with contextlib.suppress(BadInput, NotThere):
            editing.edit(
                self.house.archive,
                self.house.visitor(by),
                self.instruction,
                change,
                base=base,
                now=self.house.now,
            )
            self.writers.add(by)


ApprovalMachine.TestCase.settings = settings(
    max_examples=25, stateful_step_count=20, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
TestApproval = ApprovalMachine.TestCase
