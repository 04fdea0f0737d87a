"""The words of the judge's findings: what each says, how much it weighs, what would settle it."""

from __future__ import annotations

from typing import Final

from sinkside.findings import Level, Wording

EXPOSURE_SHORT: Final = Wording(
    rule="exposure-short",
    level=Level.stop,
    message="Exposure lasted {measured:.1} within the band; {required:.1} is required.",
    remedy="Treat the load as not sterile and reprocess it; have the machine looked at.",
)
EXPOSURE_RESUMED: Final = Wording(
    rule="exposure-resumed",
    level=Level.concern,
    message="After the first exit from the band there was a later stay of {later:.1}, which does not count.",
    remedy="A qualified person decides what the interruption means.",
)
BELOW_BAND: Final = Wording(
    rule="exposure-below-band",
    level=Level.stop,
    message="The coldest probe reached {coldest:.1} where {required:.1} is required.",
    remedy="Treat the load as not sterile and reprocess it; have steam supply and probes looked at.",
)
ABOVE_BAND: Final = Wording(
    rule="exposure-above-band",
    level=Level.concern,
    message="The hottest probe reached {hottest:.1}; the band ends at {top:.1}.",
    remedy="Check the devices for what heat may have done, and the control of the machine.",
)
NOT_SATURATED: Final = Wording(
    rule="steam-not-saturated",
    level=Level.stop,
    message=(
        "During exposure {probe} was up to {deviation:.1} {direction} the temperature of saturated steam at "
        "the recorded pressure; at most {allowed:.1} is allowed."
    ),
    remedy="Treat the load as not sterile; look for {cause}.",
)
AIR_SUSPECTED: Final = Wording(
    rule="air-suspected",
    level=Level.concern,
    message=(
        "Where exposure was tried, {probe} was {deviation:.1} below the temperature of saturated steam at "
        "the recorded pressure, as when air is left in the chamber."
    ),
    remedy="Test the machine for leaks and for air removal before it is used again.",
)
PULSES_MISSED: Final = Wording(
    rule="air-removal-incomplete",
    level=Level.stop,
    message="{counted} of {required} pulses passed {threshold:.1} before exposure; the deepest of the rest "
    "reached {nearest:.1}.",
    remedy="Treat the load as not sterile; test the machine for leaks and for air removal.",
)
DRYING_SHORT: Final = Wording(
    rule="drying-short",
    level=Level.stop,
    message="Drying lasted {measured:.1} below {vacuum:.1}; {required:.1} is required.",
    remedy="Hold the load and look for moisture; a person decides.",
)
SPREAD_WIDE: Final = Wording(
    rule="probe-spread",
    level=Level.stop,
    message="Probes were up to {spread:.1} apart; the program allows {allowed:.1}.",
    remedy="Look for air, cold water or a probe out of calibration.",
)
PHASE_MISSED: Final = Wording(
    rule="washer-phase-missed",
    level=Level.stop,
    message="The phase {phase} was in range for {measured:.1} without a break; {required:.1} is required.",
    remedy="Reprocess the load; have heating, water supply and timing of the machine looked at.",
)
STAY_SHORT: Final = Wording(
    rule="time-in-range-short",
    level=Level.stop,
    message="What {phase} asks for was in range together for {measured:.1} without a break; {required:.1} is "
    "required.",
    remedy="Treat the load as not processed; have the machine looked at.",
)
NOTHING_REQUIRED: Final = Wording(
    rule="nothing-required",
    level=Level.concern,
    message="The program states nothing that a record could be held against.",
    remedy="Add what was validated: temperature, time and whatever else counts.",
)
LEAK_FAST: Final = Wording(
    rule="leak-rate-high",
    level=Level.stop,
    message="The pressure rose by {measured:.2} in the measuring time; at most {allowed:.2} is allowed.",
    remedy="Take the machine out of use; have door seal, valves and pipes looked at, and test again.",
)
LEAK_DRIFT: Final = Wording(
    rule="leak-rate-and-temperature",
    level=Level.note,
    message="While the leak was measured the chamber changed by {drift:.1}, which alone moves the "
    "pressure by {apparent:.2}.",
)
RATE_HIGH: Final = Wording(
    rule="pressure-rate-high",
    level=Level.stop,
    message="The pressure changed by {measured:.0}; the program allows {allowed:.0}.",
    remedy="Look for burst packages and wet filters; have valves and pump looked at.",
)
AIR_LEFT: Final = Wording(
    rule="air-left-by-pulses",
    level=Level.stop,
    message="Even with ideal mixing the pulses leave {left:.3} of the air; the program allows {allowed:.3}.",
    remedy="Treat the load as not sterile; have the pump and the depth of the pulses looked at.",
)
FURTHER_MISSED: Final = Wording(
    rule="exposure-criterion-missed",
    level=Level.stop,
    message="{what} was {measured:.2} where at most {allowed:.2} is allowed.",
    remedy="A qualified person decides what it means for this load; have the machine looked at.",
)
LABEL_DISAGREES: Final = Wording(
    rule="label-disagrees",
    level=Level.concern,
    message="The machine calls {start:.0} to {end:.0} “{words}”; for {outside:.0} of it temperature and "
    "pressure show something else.",
    remedy="Lean on what was measured; have the controller and its probe compared with the recorder.",
)
MACHINE_SAYS: Final = Wording(
    rule="machine-says-otherwise",
    level=Level.note,
    message="The machine's own record says “{words}”; that is no evidence of what is missing here.",
)
COUNTER_DISAGREES: Final = Wording(
    rule="counter-disagrees",
    level=Level.concern,
    message="The machine's own {counter} ends at {counted:.1}; the recorded temperatures make {ours:.1}.",
    remedy="Ask which probe, reference and start the machine counts by; the verdict stands on the record.",
)
BELOW_MODEL: Final = Wording(
    rule="lethality-outside-model",
    level=Level.note,
    message="Set to {set:.1}, this cycle is below {bound:.0}, where a constant z overstates what was killed: "
    "F0 stands for nothing here.",
)
COARSE_INTEGRAL: Final = Wording(
    rule="lethality-coarse",
    level=Level.note,
    message="Between samples so far apart the rule of integration alone moves F0 by {excess:.1}.",
)
IMMEDIATE_USE: Final = Wording(
    rule="immediate-use",
    level=Level.concern,
    message="This cycle is for use at once: the load is not wrapped and not dried, and is not for the shelf.",
    remedy="Name the reason, the authority and the case; have it reviewed on the next day.",
)
A0_LOW: Final = Wording(
    rule="a0-low",
    level=Level.stop,
    message="A0 is {measured:.0} where {required:.0} is required (from 65 °C, 80 °C, z 10 K).",
    remedy="Treat the load as not disinfected and reprocess it.",
)
DISINFECTION_COLD: Final = Wording(
    rule="disinfection-cold",
    level=Level.stop,
    message="The coldest probe reached {measured:.1} before drying where {required:.1} is required.",
    remedy="Treat the load as not disinfected and reprocess it; have heating and probes looked at.",
)
NOTHING_DOSED: Final = Wording(
    rule="nothing-dosed",
    level=Level.stop,
    message="{channel} shows {measured:.1}; {required} is required.",
    remedy="Wash the load again; check canister, tubing and pump.",
)
NOT_SPRAYED: Final = Wording(
    rule="not-sprayed",
    level=Level.stop,
    message="{what} shows {measured:.1} where {required:.1} is required.",
    remedy="Wash the load again; look for a blocked arm, a screen, a pump or a port that came off.",
)
WITHIN_TOLERANCE: Final = Wording(
    rule="within-sensor-tolerance",
    level=Level.note,
    message=(
        "{what} is within the sensor's ±{tolerance:.2} of its limit; the verdict stands on what was recorded."
    ),
)
COARSE: Final = Wording(
    rule="samples-far-apart",
    level=Level.note,
    message="Samples are {interval:.1} apart, so every time may be that much longer or shorter at each end.",
)
CUT_OFF: Final = Wording(
    rule="record-cut-off",
    level=Level.concern,
    message="The record ends before {phase} is over.",
    remedy="Get the whole record from the machine; without it nobody can say that the phase was completed.",
)
FURTHER_CYCLE: Final = Wording(
    rule="further-cycle",
    level=Level.concern,
    message="The record goes on with another cycle, which was running at {start:.1}.",
    remedy="Part the record and judge each cycle by itself.",
)
PULSES_UNSTATED: Final = Wording(
    rule="pulses-unstated",
    level=Level.concern,
    message="The program states no pulses, so air removal cannot be judged.",
    remedy="Add the number and depth of the validated pulses to the program.",
)
DOUBTS: Final = {
    "gap": Wording(
        rule="record-gap",
        level=Level.concern,
        message="Nothing was recorded from {start:.1} to {end:.1}.",
        remedy="Look for the missing part in the machine's own memory.",
    ),
    "clock-jump": Wording(
        rule="clock-jump",
        level=Level.concern,
        message="The recorder's clock was set at {start:.1}; no duration in this record can be relied on.",
        remedy="Take the times from the machine's controller, and find out who or what set the clock.",
    ),
    "repeated-stamps": Wording(
        rule="repeated-stamps",
        level=Level.concern,
        message="At {start:.1} different samples carry the same time.",
        remedy="Have the recorder's clock looked at.",
    ),
    "frozen": Wording(
        rule="frozen-probe",
        level=Level.concern,
        message="{channel} repeats one reading from {start:.1} to {end:.1} while the rest moves.",
        remedy="Have the probe and its cable looked at; its readings there count for nothing.",
    ),
    "missing": Wording(
        rule="missing-readings",
        level=Level.concern,
        message="{channel} has no readings from {start:.1} to {end:.1}.",
        remedy="Look for the missing part in the machine's own memory.",
    ),
    "bridged": Wording(
        rule="readings-bridged",
        level=Level.note,
        message="{channel} lacks single readings at {start:.1}; the neighbours were joined.",
    ),
    "impossible": Wording(
        rule="impossible-readings",
        level=Level.concern,
        message="{channel} shows what no chamber can from {start:.1} to {end:.1}.",
        remedy="Have the probe, its cable and the recorder's scaling looked at.",
    ),
    "noisy": Wording(
        rule="noisy-probe",
        level=Level.concern,
        message="{channel} jumps to and fro from {start:.1} to {end:.1} by more than a chamber can.",
        remedy="Have the probe, its plug and its cable looked at; its readings there count for nothing.",
    ),
    "clipped": Wording(
        rule="channel-at-its-end",
        level=Level.concern,
        message=(
            "{channel} stands at the end of its scale from {start:.1} to {end:.1}; what it measures may lie "
            "beyond."
        ),
        remedy="Have the recorder's range set so that it covers the whole cycle.",
    ),
    "straight": Wording(
        rule="lines-not-measured",
        level=Level.concern,
        message=(
            "From {start:.1} to {end:.1} every channel stands still or runs straight at once; the recorder "
            "hung, or filled what it had lost."
        ),
        remedy="Look for the missing part in the machine's own memory.",
    ),
    "coarse": Wording(
        rule="coarse-probe",
        level=Level.concern,
        message="{channel} is recorded in steps too wide to tell whether it was within a band.",
        remedy="Have the recorder write at least whole degrees; until then its readings count for nothing.",
    ),
    "stepped": Wording(
        rule="probe-changed-level",
        level=Level.concern,
        message=(
            "{channel} moves to another level between {start:.1} and {end:.1} and stays there, while no "
            "other probe moves: its calibration or its connection changed."
        ),
        remedy="Check the probe and its calibration; until then its readings count for nothing.",
    ),
    "units": Wording(
        rule="units-contradict-physics",
        level=Level.concern,
        message=(
            "{channel} does not agree with saturated steam as the file has it, and does if it is {instead}."
        ),
        remedy="Find out what the recorder writes, and say it; until then its readings count for nothing.",
    ),
}
