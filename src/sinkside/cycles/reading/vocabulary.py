"""The words by which heads of columns name a quantity or a place, in the languages met most.

A dot in a pattern stands for a letter that differs by keyboard.
"""

from __future__ import annotations

import re
from typing import Final

from sinkside.cycles.trace import Place


def _words(*words: str, anywhere: tuple[str, ...] = ()) -> re.Pattern[str]:
    """A pattern of whole words, and of pieces that may stand anywhere in a word."""
    whole = rf"(?<![^\W_])(?:{'|'.join(words)})(?![^\W_])" if words else ""
    return re.compile("|".join(part for part in (whole, *anywhere) if part))


ABSOLUTE: Final = _words(
    r"abs(?:ol\w*)?", r"assol\w*", r"bezwzgl\w*", "psia", "bara", "mbara", "kpaa", "hpaa", "mpaa", "ata",
    "bar a", "kpa a", "\u0430\u0431\u0441\\w*", anywhere=(r"\(a\)", r"\[a\]"),
)  # fmt: skip
GAUGE: Final = _words(
    "gau?ge", r"rel(?:ati\w*)?", r"wzgl\w*", "psig", "barg", "mbarg", "kpag", "mpag", "bar g", "kpa g", "atü",
    "barü", "bar ü", "kpa ü",
    anywhere=(
        r"\(g\)", r"\[g\]", "manom", ".berdruck", "ueberdruck", "overdruk", "overpress", ".vertryck",
        "nadci.n", "избыточн",
    ),
)  # fmt: skip

TEMPERATURE: Final = _words(
    r"tc?\d*", r"t[ _]?[a-d]", r"rtd\d*", r"tt\d+", r"te\d+",
    anywhere=(
        r"temp(?!s\b|o\b)", "thermo", "f(?:ü|ue)hler", r"sond[ea](?!nn)", "hőm", "s.cak", "teplot", "l.mp.t",
        r"pt ?100\d?", "ther?mist",
    ),
)  # fmt: skip
PRESSURE: Final = _words(
    r"p\d*", r"pt\d{1,2}",
    anywhere=(
        "press", "druck", "druk", "presi.n", "ci.n", "tlak", "try[ck]k?", "paine", "nyom", "bas.n",
        "va[ck]u", "vide(?!o)", "pr(?:e|é|è)?ssur", "давлен",
    ),
)  # fmt: skip
TIME: Final = _words(
    "time", "zeit", "uhrzeit", "temps", "tiempo", "tempo", "hora", "heure", "ora", "elapsed", "czas", "tid",
    "tijd", "aika", "[cč]as", "id.", "zaman", "timestamp", "datetime", "date", "datum", "fecha", "data",
    "stamp", "clock", "время", "durée", "dauer", "godzina", "klockslag", "tijdstip", "utc",
    anywhere=("時間", "时间", "時刻", r"zeit$", r"zeitpunkt", "timestamp"),
)  # fmt: skip
NOT_TIME: Final = re.compile(r"temp(er|[. _]|$)")
CONDUCTIVITY: Final = _words(
    "lf", "cond", anywhere=("conduc", "conduttiv", "leitf", "geleid", "przewod", "ledningsf")
)
FLOW: Final = _words(
    "caudal", "portata", anywhere=("flow", "durchflu", "débit", "debit", "debiet", "przepł", "fl.de")
)
SPEED: Final = _words(
    "rpm", anywhere=("speed", "drehzahl", "vitesse", "velocid", "velocit", "toerent", "obrot", "varvtal")
)
COUNTED: Final = _words(
    anywhere=("count", "puls", "stroke", "hübe", "impuls", "compteur", "contador", "conteggio", "licznik")
)
LETHALITY: Final = _words(
    "f[ _]?0", "f ?o", "a[ _]?0", "fh", anywhere=("lethal", "letal", "létal", "a0[ _-]?(?:wert|value)")
)
CONCENTRATION: Final = _words(anywhere=("concentr", "konzentr", "st.?.enie", "koncentr"))
HUMIDITY: Final = _words(
    "rh", "rf", anywhere=("humid", "feucht", "humed", "umidit", "vochtig", "wilgot", "fukt")
)

#: Where a channel measures, the first that fits; what is not the chamber says nothing about the load.
_PLACES: Final[tuple[tuple[Place, re.Pattern[str]], ...]] = (
    (
        Place.set_point,
        _words(
            "set", "soll", r"sp\d*", r"sv\d*", "[tp]set", "[tp]soll", "target", "limit", "ziel",
            "b.rv.rde", "gewenst", "nominal", "cible",
            anywhere=(
                "set.?point", "settemp", "sollw", "solltemp", "solldruck", "vorgabe", "consig", "desead",
                "objeti[fv]", "objectif", "prescri", "programad", "programmé", "impostat", "zadan", "instel",
                "ajuste", "setting",
            ),
        ),
    ),
    (
        Place.jacket,
        _words(
            "kappe", "vaippa",
            anywhere=(
                "jacket", "mantel", "chemise", "manteau", "paroi", "camisa", "doble pared", "camicia",
                "enveloppe", "intercaped", "p.aszcz",
            ),
        ),
    ),
    (
        Place.generator,
        _words(
            anywhere=(
                "generat", "g.n.rateur", "erzeuger", "boiler", "caldaia", "caldera", "chaudi.re", "wytwornic",
                "ketel", ".nggenerator", ".ngpanna",
            ),
        ),
    ),
    (
        Place.waste,
        _words(
            "waste",
            anywhere=(
                "waste.?water", "effluent", "sewer", "abwasser", "eaux? us[ée]e", "égout", "residuales",
                "alcantarilla", "ścieki", "ściek", "acque? reflu", "fogn", "esgoto", "afvalwater", "riool",
                "spillvatten", "viemäri", "kloak", "kanaliz", "сточн", "слив",
                "odpadní", "szennyv", "排水",
            ),
        ),
    ),
    (
        Place.supply,
        _words(
            "mains", "feed", "de red", "netz", "steam line", "entrada", "entrée",
            anywhere=(
                "supply", "feed.?water", "inlet", "zulauf", "zufuhr", "zuleitung", "versorgung", "speise",
                "dampfleitung", "netzdampf", "réseau", "reseau", "arriv[ée]e", "aliment", "suministro",
            ),
        ),
    ),
    (
        Place.door,
        _words(
            "door", "t.r", "tuer", "porte", "puerta", "deur", "drzwi", "d.rr",
            anywhere=("gasket", "seal", "dichtung", "joint", "guarniz"),
        ),
    ),
    (
        Place.room,
        _words(
            "room",
            anywhere=("ambient", "raumtemp", "umgebung", "ambiant", "ambiente", "omgeving", "otoczen"),
        ),
    ),
    (
        Place.spray_arm,
        _words(
            "bras", "brazo", "ramię", "ramienia",
            anywhere=("spray", "spr.h", "sprueh", "spolarm", "braccio", "sproeiarm"),
        ),
    ),
    (Place.pump, _words(anywhere=("pump", "pomp", "bomba", "circulation", "umw.lz"))),
    (Place.port, _words(r"ports?[ _]?\d*", anywhere=("connector", "anschlu", "injector", "injektor"))),
    (Place.tank, _words(anywhere=("tank", "reservoir", "serbatoio", "depósito", "zbiornik"))),
    (
        Place.drain,
        _words(
            anywhere=(
                "drain", "ablauf", "ablass", "abfluss", "abflu", "purg[ea]", "vidange", "évacuation",
                "drenaj", "scarico", "afvoer", "odp.yw", "spust", "avlopp", "afl.b", "desag",
                "sumider", "sifón", "siphon", "dreno", "conden", "kondens",
            ),
        ),
    ),
    (
        Place.load,
        _words(
            "last", "gods",
            anywhere=(
                "load", "belad", "charge", "carga", "carico", "lading", ".adun", "product", "prüfkörper",
            ),
        ),
    ),
    (
        Place.chamber,
        _words(
            "kamer", "cuve", "cuba",
            anywhere=(
                "chamber", "kammer", "chambre", "c.mara", "camera", "komor", "kammar", "kammio", "vasca",
            ),
        ),
    ),
)  # fmt: skip

IN_THE_CHAMBER: Final = frozenset({Place.unsaid, Place.chamber, Place.drain, Place.load})

#: Not of the chamber either, unless a word for it stands beside; and what is computed and not measured.
BESIDE: Final = _words(
    "air", "luft", "aire", "aria", "powietrz.", "lucht", "dew", "cpu", "board",
    anywhere=(
        "heat", "heiz", "cooling", "k.hl", "taupunkt", "exhaust", "abluft", "cabinet", "electronic",
        "elektronik", "filter", "differ",
    ),
)  # fmt: skip
CHAMBER_WORDS: Final = _words(
    anywhere=(
        "chamber", "kammer", "chambre", "c.mara", "camera", "komora", "drain", "ablauf", "abfluss", "load",
        "belad", "charge", "probe", "fühler", "water", "wasser", "cabinet air", "drying cabinet",
        "trockenschrank", "schrankluft", "armoire", "armario", "armadio",
    ),
)  # fmt: skip
COMPUTED: Final = _words(
    "max", "maximum", "avg", "mean", "mittel", "mittelwert", "moyenne", "media", "delta", "diff", "sat",
    "tsat", "t sat", "theo", "calc", anywhere=("saturat", "sättig", "theor", "berechn", "calcul"),
)  # fmt: skip

WATER: Final = _words("water", "wasser", "eau", "agua", "acqua", "woda", "vatten")

#: The machine's own names for its phases stand in a column called so.
PHASE: Final = _words(
    anywhere=(
        "phase",
        "step",
        "stage",
        "schritt",
        "fase",
        "faza",
        "étape",
        "etape",
        "etapa",
        "paso",
        "stadio",
        "steg",
        "state",
        "status",
        "abschnitt",
        "segment",
        "progress",
    )
)

#: Who stood at the machine is nobody's business here: such cells and lines are never kept.
PERSON: Final = _words(
    "user", "name", "id", "initials", "sign",
    anywhere=(
        "operator", "opérat", "operat", "bedien", "benutzer", "usuario", "utilis", "utente", "gebruiker",
        "personal", "użytkown", "obsług", "anv.nd", "signat", "unterschr", "firma", "released by",
        "freigabe", "technician", "staff", "employee", "nurse", "patient", "utilizador", "bruger",
    ),
)  # fmt: skip

#: A number of the cycle, the load or the batch.
CYCLE_NUMBER: Final = _words(
    r"(?:cycle|load|batch|charge|chargen|zyklus|ciclo|carga|lot|cykl|cyclus|charg|charge[ _-]?nr|run)"
    r"(?:[ _.-]*(?:no|nr|num|number|nummer|n°|#|id|numéro|numero|número))?\.?",
)


def place_in(text: str) -> Place:
    """Where a head says that its column measures.

    >>> place_in("druck mantel [mbar]"), place_in("t ablauf"), place_in("t1")
    (<Place.jacket: 'jacket'>, <Place.drain: 'drain'>, <Place.unsaid: 'unsaid'>)
    """
    return next((place for place, pattern in _PLACES if pattern.search(text)), Place.unsaid)
