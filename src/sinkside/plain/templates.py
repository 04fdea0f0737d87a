"""The templates of plain words: what each action, position, phase and stage is called in English.

Names stand in a template as labels that keep their form, so that no language needs to bend them: a
translation may say "Brush: {on}". No template carries a figure; figures come from the instruction alone.
"""

from __future__ import annotations

from collections.abc import Mapping

from sinkside.instruction import Action, AirRemoval, FeatureKind, Stage
from sinkside.route import Station

#: What each action says: with a thing named, and without.
HEADLINES: Mapping[Action, tuple[str, str]] = {
    Action.wipe: ("Wipe the {on}", "Wipe it clean"),
    Action.rinse: ("Rinse the {on}", "Rinse it"),
    Action.flush: ("Flush the {on}", "Flush it through"),
    Action.soak: ("Soak the {on}, fully under", "Soak it, fully under"),
    Action.brush: ("Brush the {on}", "Brush it"),
    Action.actuate: ("Move the {on}", "Move it to and fro"),
    Action.sonicate: ("Run the ultrasonic bath", "Run the ultrasonic bath"),
    Action.fill: ("Fill the {on}", "Fill it"),
    Action.prepare_solution: ("Mix the solution", "Mix the solution"),
    Action.discard_solution: ("Throw the solution away", "Throw the solution away"),
    Action.keep_moist: ("Keep the {on} moist", "Keep it moist"),
    Action.transport: ("Take it to the department", "Take it to the department"),
    Action.start_cleaning: ("Start to clean", "Start to clean"),
    Action.take_apart: ("Take off the {on}", "Take it apart"),
    Action.put_together: ("Put the {on} on", "Put it together"),
    Action.discard_part: ("Throw away the {on}", "Throw the part away"),
    Action.replace_part: ("Fit a new {on}", "Fit a new part"),
    Action.set_position: ("Set the {on}", "Set the moving parts"),
    Action.connect: ("Connect the {on}", "Connect it"),
    Action.load: ("Lay the {on} in place", "Lay it in place"),
    Action.pre_rinse: ("Pre-rinse", "Pre-rinse"),
    Action.wash: ("Wash", "Wash"),
    Action.disinfect: ("Disinfect", "Disinfect"),
    Action.dry: ("Dry the {on}", "Dry it"),
    Action.blow: ("Blow air through the {on}", "Blow it dry with air"),
    Action.inspect: ("Look at the {on}", "Look at all of it"),
    Action.test: ("Test the {on}", "Test that it works"),
    Action.lubricate: ("Oil the {on}", "Oil it"),
    Action.pack: ("Pack it", "Pack it"),
    Action.weigh: ("Weigh the set", "Weigh the set"),
    Action.sterilize: ("Sterilize", "Sterilize"),
    Action.cool: ("Let it cool", "Let it cool"),
    Action.release_check: ("Read the cycle record", "Read the cycle record"),
    Action.store: ("Store it", "Store it"),
    Action.count_use: ("Count this use", "Count this use"),
    Action.retire: ("Take it out of use", "Take it out of use"),
    Action.send_for_repair: ("Send it for repair", "Send it for repair"),
}

#: What a machine does in a phase.
PHASES: Mapping[Action, str] = {
    Action.pre_rinse: "Pre-rinse",
    Action.wash: "Wash",
    Action.rinse: "Rinse",
    Action.disinfect: "Disinfect",
    Action.dry: "Dry",
    Action.other: "Then",
}

STEAM: Mapping[AirRemoval, str] = {
    AirRemoval.prevacuum: "Steam with vacuum",
    AirRemoval.gravity: "Steam, gravity",
    AirRemoval.pulse: "Steam with pulses",
}

#: Where loading has a place of its own.
LOADED: Mapping[Station, str] = {
    Station.washer: "Load it on the rack",
    Station.ultrasonic: "Lay it in the bath",
    Station.sterilizer: "Load the sterilizer",
}

#: A position that is asked for.
SET: Mapping[tuple[str, str], str] = {
    ("jaw", "open"): "Open the jaw",
    ("jaw", "closed"): "Close the jaw",
    ("ratchet", "engaged"): "Lock the ratchet",
    ("ratchet", "released"): "Release the ratchet",
    ("sleeve", "forward"): "Push the sleeve forward",
    ("sleeve", "back"): "Pull the sleeve back",
    ("port", "open"): "Open the port",
    ("port", "capped"): "Cap the port",
    ("port", "connected"): "Connect the port",
    ("knob", "straight"): "Turn the knob straight",
    ("knob", "deflected"): "Turn the knob to bend the tip",
    ("part", "assembled"): "Put the parts together",
    ("part", "apart"): "Take the parts apart",
}

#: A position that is held.
HELD: Mapping[tuple[str, str], str] = {
    ("jaw", "open"): "jaw open",
    ("jaw", "closed"): "jaw closed",
    ("ratchet", "engaged"): "ratchet locked",
    ("ratchet", "released"): "ratchet released",
    ("sleeve", "forward"): "sleeve forward",
    ("sleeve", "back"): "sleeve back",
    ("port", "open"): "port open",
    ("port", "capped"): "port capped",
    ("port", "connected"): "port connected",
    ("knob", "straight"): "knob straight",
    ("knob", "deflected"): "tip bent by the knob",
    ("part", "assembled"): "parts together",
    ("part", "apart"): "parts apart",
}

#: What a feature is called that the text gives no name.
FEATURES: Mapping[FeatureKind, str] = {
    FeatureKind.lumen: "lumen",
    FeatureKind.joint: "joint",
    FeatureKind.ratchet: "ratchet",
    FeatureKind.sliding_sleeve: "sleeve",
    FeatureKind.port: "port",
    FeatureKind.knob: "knob",
    FeatureKind.jaw: "jaw",
    FeatureKind.insulation: "insulation",
    FeatureKind.cutting_edge: "cutting edge",
    FeatureKind.tip: "tip",
    FeatureKind.thread: "thread",
    FeatureKind.spring: "spring",
    FeatureKind.connector: "connector",
    FeatureKind.single_use_part: "single-use part",
}

#: The stages of the work.
STAGES: Mapping[Stage, str] = {
    Stage.point_of_use: "Point of use",
    Stage.transport: "Transport",
    Stage.preparation: "Preparation",
    Stage.cleaning: "Cleaning",
    Stage.disinfection: "Disinfection",
    Stage.drying: "Drying",
    Stage.inspection: "Inspection",
    Stage.maintenance: "Maintenance",
    Stage.packaging: "Packaging",
    Stage.sterilization: "Sterilization",
    Stage.storage: "Storage",
}

#: Sentences round a maker's or a department's own words.
RUN_PROGRAM = "Run “{program}”"
SEE_THE_TEXT = "See the maker’s text"
UNTIL = "until {ended}"
IF = "if {condition}"
CONDITION = "condition: {condition}"

SENTENCES: tuple[str, ...] = (RUN_PROGRAM, SEE_THE_TEXT, UNTIL, IF, CONDITION)
