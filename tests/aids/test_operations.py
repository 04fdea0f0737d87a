"""What a paper lists where there is no route, and the figures of a machine program by its phases."""

from __future__ import annotations

from sinkside.aids.figures import shown_phases
from sinkside.aids.words import phase_name
from sinkside.instruction import Instruction, Origin, Stage, Step
from sinkside.plain.operations import rows_of, shown_operations, stations_of
from sinkside.plain.placing import placed
from sinkside.quantities import Figure, Quantity
from sinkside.route import Binding, ChosenFigure, Operation, ResourceKind, Route, Station


def test_route_is_listed_as_it_is(forceps: Instruction, route: Route) -> None:
    """A route's operations are shown untouched."""
    assert shown_operations(route, forceps) == route.operations


def test_steps_stand_in_for_a_route(forceps: Instruction) -> None:
    """Without a route each step is listed once, lettered without I and O, with its figures unbound."""
    shown = shown_operations(None, forceps)
    assert [operation.steps for operation in shown] == [(step.id,) for step in forceps.steps]
    assert "".join(operation.letter for operation in shown) == "ABCDEFGHJKLMNPQR"
    assert [figure.required for operation in shown for figure in operation.figures] == [
        figure for step in forceps.steps for figure in step.figures
    ]


def test_letters_go_on_after_z(forceps: Instruction) -> None:
    """The twenty-fifth thing to do is AA, because I and O are left out."""
    many = tuple(Step(id=f"s{n}", stage="cleaning", action="rinse") for n in range(26))
    shown = shown_operations(None, forceps.model_copy(update={"steps": many}))
    assert [operation.letter for operation in shown][23:] == ["Z", "AA", "AB"]


def test_rinse_after_a_machine_wash_is_the_machines() -> None:
    """A rinse between wash and disinfection stays at the washer; one before it is done at the sink."""
    steps = [
        Step(id="a", stage=Stage.cleaning, action="rinse"),
        Step(id="b", stage=Stage.cleaning, action="wash"),
        Step(id="c", stage=Stage.cleaning, action="rinse"),
        Step(id="d", stage=Stage.disinfection, action="disinfect"),
        Step(id="e", stage=Stage.inspection, action="inspect"),
    ]
    assert list(stations_of(steps).values()) == [
        Station.sink,
        Station.washer,
        Station.washer,
        Station.washer,
        Station.bench,
    ]


def test_program_says_which_figure_belongs_to_which_phase() -> None:
    """Two phases that both ask for 1 min keep one each; a figure of no phase is not lost."""
    minute = Figure(quantity="time", min=1, unit="min")
    hot = Figure(quantity="temperature", min=90, unit="°C")
    extra = Figure(quantity="ph", max=9, unit="pH")
    steps = (
        Step(id="a", stage="cleaning", action="pre-rinse", figures=(minute,)),
        Step(id="b", stage="disinfection", action="disinfect", figures=(hot, minute)),
    )
    operation = Operation(
        letter="A",
        stage=Stage.cleaning,
        station=Station.washer,
        steps=("a", "b"),
        action="wash",
        bindings=(Binding(kind=ResourceKind.program, id="w", name="Washer 1", program="Instruments"),),
        figures=(
            ChosenFigure(required=minute, use=Quantity(2.0, "min")),
            ChosenFigure(required=hot),
            ChosenFigure(required=minute),
            ChosenFigure(required=extra),
        ),
    )
    phases = shown_phases(operation, steps)
    told = [
        (phase_name(step) if step else "", [(figure.text, figure.must) for figure in figures])
        for step, figures in phases
    ]
    assert told == [
        ("Pre-rinse", [("2\u00a0min", "≥\u00a01\u00a0min")]),
        ("Disinfect", [("≥\u00a090\u00a0°C", ""), ("≥\u00a01\u00a0min", "")]),
        ("", [("pH\u00a0≤\u00a09", "")]),
    ]


def _said(letter: str, *, line: int, text: str, **given: object) -> Operation:
    return Operation.model_validate(
        {
            "letter": letter,
            "stage": "preparation",
            "station": "sink",
            "steps": (letter,),
            "action": "other",
            "origin": {"page": 1, "line": line, "text": text},
            **given,
        }
    )


def test_a_check_belongs_to_the_step_before_it() -> None:
    """What the same sentence or line adds without figures joins the row; a figure keeps its own row."""
    minute = (ChosenFigure(required=Figure(quantity="time", min=1, unit="min")),)
    operations = (
        _said("A", line=57, text="Count the parts."),
        _said("B", line=57, text="There must be seven."),
        _said("C", line=59, text="Oil the hinge and wipe it.", action="lubricate"),
        _said("D", line=59, text="Oil the hinge and wipe it.", action="wipe"),
        _said("E", line=60, text="Close the jaw and flush it.", action="set-position"),
        _said("F", line=60, text="Close the jaw and flush it.", action="flush", figures=minute),
        _said("G", line=60, text="Store it.", action="store", station="store"),
    )
    rows = [[row.operation.letter, *(one.letter for one in row.attached)] for row in rows_of(operations)]
    assert rows == [["A", "B"], ["C", "D"], ["E"], ["F"], ["G"]]


def _placed(*rows: tuple[str, str, str, str]) -> list[str]:
    """Where people stand for operations of some stage, station, action and sentence."""
    given = [
        Operation.model_validate(
            {"letter": letter, "stage": stage, "station": station, "steps": (), "action": action,
             "origin": {"line": 9, "text": text}}
        )
        for letter, (stage, station, action, text) in zip("ABCDEFGH", rows, strict=False)
    ]  # fmt: skip
    return [one.station.value for one in placed(given)]


def test_paper_sends_nobody_to_and_fro() -> None:
    """One sentence stays at one station, dry work at the bench, the end of a life belongs to the store."""
    box = "Place it in a box and keep it moist."
    assert _placed(
        ("transport", "transport", "load", box), ("point-of-use", "theatre", "keep-moist", box)
    ) == ["theatre", "theatre"]
    assert _placed(
        ("preparation", "sink", "take-apart", ""),
        ("inspection", "bench", "test", ""),
        ("preparation", "sink", "other", "Take it apart again."),
        ("storage", "store", "store", ""),
        ("maintenance", "bench", "count-use", ""),
    ) == ["sink", "bench", "bench", "store", "store"]


def test_wet_work_after_the_bench_does_go_back_to_the_sink() -> None:
    """Rinsing again is done where water is, and a hand's pre-rinse is no machine's."""
    again = _placed(
        ("cleaning", "sink", "brush", ""),
        ("inspection", "bench", "inspect", ""),
        ("cleaning", "sink", "rinse", ""),
    )
    assert again == ["sink", "bench", "sink"]
    by_hand = ("cleaning", "washer", "pre-rinse", "")
    assert _placed(by_hand, ("cleaning", "sink", "soak", "")) == ["sink", "sink"]
    assert _placed(by_hand, ("cleaning", "washer", "wash", "")) == ["washer", "washer"]


def test_a_bath_and_its_mixing_are_one_row() -> None:
    """Immersing in 5 mL/L for 10 minutes is one row with both figures, and the mixing stands in it."""
    said = Origin(line=9, text="Immerse it in cleaner at 5 mL/L for 10 minutes.")
    figures = (
        ChosenFigure(required=Figure(quantity="concentration", value=5, unit="mL/L", role="dose")),
        ChosenFigure(required=Figure(quantity="time", value=10, unit="min")),
    )
    bath = Operation.model_validate(
        {"letter": "A", "stage": "cleaning", "station": "sink", "steps": (), "action": "soak", "origin": said}
    )
    mixed = Operation.model_validate(
        {**dict(bath), "letter": "B", "action": "prepare-solution", "figures": figures}
    )
    (row,) = rows_of((bath, mixed))
    assert row.operation.figures == figures
    assert [one.letter for one in row.attached] == ["B"]
    elsewhere = bath.model_copy(update={"origin": Origin(line=3, text="Another sentence.")})
    assert len(rows_of((elsewhere, mixed))) == 2
