"""Invented arrests of which all is known: how they went, and what clocks and pens made of them.

An arrest is a list of happenings in seconds from its start. Every source that could know of one writes it
down with its own clock, cell and lateness; some are forgotten, some are written that nobody else has.
Everything follows from a seed.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from itertools import pairwise

import numpy as np

from debrief.model.event import Context, Event, Offset, Source, SourceKind
from debrief.model.marks import gate
from debrief.model.times import to_us

DAY_S = 86_400.0
TODAY_S = (date(2025, 11, 6) - date(1970, 1, 1)).days * DAY_S
FINE_S = 0.01
"""Cell of the event as it went. [s]"""

OFF_S = 90 * 60.0
"""How far two clocks may stand apart. [s]"""

MISSING = 0.1
"""Share of marks that a source forgot."""

SHARED_AT_LEAST = 3
BY_PEOPLE = {
    *("recognition", "call", "team_arrival", "rhythm", "shock", "drug", "access"),
    *("airway", "airway_confirmed", "rosc", "efforts_ended"),
}
BY_DEVICES = {"compressions_start", "compressions_stop", "rhythm", "shock", "etco2"}
HANDS = ("compressions_start", "compressions_stop")
NEXT_RHYTHM = {
    "vf": (("vf", "pea", "asystole"), (0.7, 0.15, 0.15)),
    "pea": (("pea", "asystole", "vf"), (0.7, 0.2, 0.1)),
    "asystole": (("asystole", "pea", "vf"), (0.75, 0.15, 0.1)),
}


@dataclass(frozen=True)
class Happening:
    """What happened once. ``time_s`` counts from recognition; ``first`` is the first compression. [s]"""

    time_s: float
    kind: str
    detail: str | None = None
    amount: float | None = None
    unit: str | None = None
    route: str | None = None
    first: bool = False


@dataclass(frozen=True)
class Pen:
    """How one source writes.

    ``late_s``: entries are up to so much late, by ``lateness`` (``uniform``, ``exponential`` or
    ``triangular``); ``in_turn``: one entry waits for the one before it; ``nearest``: times are rounded, not
    cut; ``offset_s``: reference less source, null for anything up to `OFF_S`; ``jump_s``: by how much the
    clock was set back at the middle of the event; ``twice_s``: so much later, shocks stand again;
    ``knows``: what it writes. [s]
    """

    name: str
    kind: SourceKind
    cell_s: float
    knows: frozenset[str]
    late_s: float = 0.0
    lateness: str = "uniform"
    offset_s: float | None = None
    scale: str | None = None
    in_turn: bool = False
    nearest: bool = False
    jump_s: float = 0.0
    newest_first: bool = False
    twice_s: float | None = None
    forgets: float = MISSING


LOG = Pen("log", "device", 1.0, frozenset(BY_DEVICES), offset_s=0.0)
MINUTE = Pen("sheet", "person", 60.0, frozenset(BY_PEOPLE), late_s=60.0)
SECOND = replace(MINUTE, cell_s=1.0, late_s=5.0)
SHEETS = {"minute": MINUTE, "second": SECOND}


@dataclass(frozen=True)
class Made:
    """An event as its sources tell it, and the truth.

    ``offset_s``: reference less each source, days left out [s]; ``happened``: which happening each mark
    tells of, by its name; ``true``: the same marks at their true times, on one clock.
    """

    event: Event
    offset_s: Mapping[str, float]
    happened: Mapping[str, int]
    true: Event

    def pairs(self, one: str, other: str) -> set[frozenset[str]]:
        """Return the names of marks of two sources that tell of one happening."""
        by: dict[int, dict[str, str]] = {}
        for name, number in self.happened.items():
            by.setdefault(number, {})[name.partition(":")[0]] = name
        return {frozenset((told[one], told[other])) for told in by.values() if one in told and other in told}


def generator(seed: int) -> np.random.Generator:
    """Return the source of chance of one seed."""
    return np.random.Generator(np.random.Philox(key=seed))


def arrest(
    rng: np.random.Generator, minutes: float | None = None, cycle: tuple[float, float] = (120.0, 8.0)
) -> list[Happening]:
    """Return an arrest as it went, 8 to 45 minutes of it. ``cycle``: middle and spread of one. [s]"""
    length_s = 60 * (rng.uniform(8, 45) if minutes is None else minutes)
    rhythm = "vf" if rng.random() < 0.35 else str(rng.choice(["pea", "asystole"]))
    went = [Happening(0.0, "recognition"), Happening(rng.uniform(5, 60), "call")]
    at = begun = rng.uniform(5, 70)
    went.append(Happening(at, "compressions_start", first=True))
    went.append(Happening(begun + rng.uniform(40, 240), "team_arrival"))
    shocks: list[float] = []
    energy = float(rng.choice([120, 150, 200]))
    while True:
        at += max(60.0, rng.normal(*cycle))
        last = at > length_s
        went.append(Happening(at, "compressions_stop"))
        seen = at + rng.uniform(1.5, 5)
        if last:
            break
        went.append(Happening(seen, "rhythm", rhythm))
        resumed = seen + rng.uniform(1.5, 6)
        if rhythm == "vf":
            shocks.append(resumed)
            went.append(Happening(resumed, "shock", amount=energy, unit="J"))
            energy = min(energy + 50, 200.0)
            resumed += rng.uniform(1.5, 4)
        at = resumed
        went.append(Happening(at, "compressions_start"))
        labels, weights = NEXT_RHYTHM[rhythm]
        rhythm = str(rng.choice(labels, p=weights))
    if rng.random() < 0.5:
        went += [Happening(seen, "rhythm", "perfusing"), Happening(seen + rng.uniform(2, 8), "rosc")]
    else:
        went.append(Happening(seen + rng.uniform(2, 60), "efforts_ended", "died"))
    return went + _treated(rng, begun, at, shocks)


def _treated(rng: np.random.Generator, begun: float, ended: float, shocks: list[float]) -> list[Happening]:
    """Return what was given and put in. [s]"""
    went = [Happening(begun + rng.uniform(40, 200), "access", str(rng.choice(["iv", "io"])))]
    dose = shocks[1] + rng.uniform(10, 60) if len(shocks) > 1 else begun + rng.uniform(90, 300)
    while dose < ended:
        went.append(Happening(dose, "drug", "epinephrine", 1.0, "mg", "iv"))
        dose += rng.uniform(180, 300)
    for nth, dose_mg in ((2, 300.0), (4, 150.0)):
        if len(shocks) > nth:
            went.append(
                Happening(shocks[nth] + rng.uniform(20, 70), "drug", "amiodarone", dose_mg, "mg", "iv")
            )
    tube = begun + rng.uniform(200, 900)
    if rng.random() < 0.7 and tube < ended:
        went.append(Happening(tube, "airway", "tube"))
        went.append(Happening(tube + rng.uniform(15, 60), "airway_confirmed", "capnography"))
        for at in np.arange(tube + 60, ended, 60):
            went.append(Happening(float(at), "etco2", amount=float(rng.integers(8, 35)), unit="mmHg"))
    return [happening for happening in went if happening.time_s < ended]


def singles(rng: np.random.Generator, went: list[Happening]) -> list[Happening]:
    """Return what happened, and every single compression between starts and stops, about 110 a minute."""
    hands = sorted((one for one in went if one.kind in HANDS), key=lambda one: one.time_s)
    found = list(went)
    for start, stop in pairwise(hands):
        if start.kind == HANDS[0]:
            steps = rng.normal(0.545, 0.03, int((stop.time_s - start.time_s) / 0.4)).cumsum() - 0.545
            times = start.time_s + np.maximum(steps, 0)
            found += [Happening(float(at), "compression", "released") for at in times[times < stop.time_s]]
    return found


def extra(rng: np.random.Generator, went: list[Happening], knows: frozenset[str]) -> list[Happening]:
    """Return what one source alone has: things that nobody else wrote, or that never were."""
    end = max(happening.time_s for happening in went)
    found = []
    for _ in range(rng.poisson(2)):
        at = rng.uniform(30, end)
        choices = (
            Happening(at, "note", "pads moved"),
            Happening(at, "drug", "sodium_bicarbonate", 50.0, "mmol", "iv"),
            Happening(at, "drug", "epinephrine", 1.0, "mg", "iv"),
            Happening(at, "rhythm", str(rng.choice(["pea", "asystole", "vf"]))),
            Happening(at, "access", "io"),
            Happening(at, "shock", amount=200.0, unit="J"),
        )
        one = choices[rng.choice(len(choices), p=(0.3, 0.15, 0.2, 0.2, 0.1, 0.05))]
        if one.kind in knows | {"note"}:
            found.append(one)
    return found


def late(rng: np.random.Generator, pen: Pen, marks: int) -> np.ndarray:
    """Return how late each of so many entries is. [s]"""
    if pen.lateness == "exponential":
        return np.minimum(rng.exponential(pen.late_s / 3, marks), pen.late_s)
    if pen.lateness == "triangular":
        return rng.triangular(0, pen.late_s / 2, max(pen.late_s, 1e-9), marks)
    return rng.uniform(0, pen.late_s, marks)


def made(seed: int, *pens: Pen, **arrested: object) -> Made:
    """Return one event as so many pens tell it, the first of them on the reference clock.

    The first two share at least `SHARED_AT_LEAST` marks. ``arrested``: see `arrest`.
    """
    rng = generator(seed)
    while True:
        found = _made(rng, pens, arrested)
        if len(pens) < 2 or len(found.pairs(pens[0].name, pens[1].name)) >= SHARED_AT_LEAST:
            return found


def two(seed: int, sheet: str | Pen, **changed: object) -> Made:
    """Return one event as a device's log and a sheet tell it; half of the logs have the drugs, too.

    ``sheet``: a pen, or ``minute`` or ``second``; ``changed``: of the log's pen, ``cell_s`` for one.
    """
    rng = generator(seed ^ 1 << 40)
    pressed = (
        LOG.knows | ({"drug"} if rng.random() < 0.7 else set()) | ({"rosc"} if rng.random() < 0.8 else set())
    )
    fine = rng.random() < 0.25
    log = replace(LOG, **({"knows": frozenset(pressed), "cell_s": FINE_S if fine else 1.0} | changed))
    return made(seed, log, SHEETS[sheet] if isinstance(sheet, str) else sheet)


def _made(rng: np.random.Generator, pens: tuple[Pen, ...], arrested: Mapping[str, object]) -> Made:
    start = TODAY_S + rng.uniform(0, DAY_S)
    went = _on_ticks(arrest(rng, **arrested), pens[0], start)  # type: ignore[arg-type]
    if any("compression" in pen.knows for pen in pens):
        went = singles(rng, went)
    rows, true, sources, offset_s, happened = [], [], [], {}, {}
    counted = len(went)
    reference_day = None
    for pen in pens:
        knew = [(number, one) for number, one in enumerate(went) if _knows(pen, one)]
        knew += list(enumerate(extra(rng, went, pen.knows), counted))
        counted = max([counted, *(number + 1 for number, _ in knew)])
        knew = [entry for entry in knew if rng.random() >= pen.forgets]
        if pen.twice_s:
            knew += [
                (n, replace(one, time_s=one.time_s + pen.twice_s)) for n, one in knew if one.kind == "shock"
            ]
        offset = rng.uniform(-OFF_S, OFF_S) if pen.offset_s is None else pen.offset_s
        scale = pen.scale or str(rng.choice(["clock", "local"]))
        if scale == "elapsed":
            offset = start - rng.uniform(0, 600)
        at = np.array([start + one.time_s for _, one in knew])
        middle = float(np.median(at)) if len(at) else start
        wrote = at - offset - np.where(at > middle, pen.jump_s, 0) + late(rng, pen, len(at))
        if pen.in_turn:
            earlier = np.argsort(at, kind="stable")
            wrote[earlier] = np.maximum.accumulate(wrote[earlier])
        order = np.lexsort((at, wrote))
        shown = np.floor(wrote / pen.cell_s + (0.5 if pen.nearest else 1e-6)) * pen.cell_s
        if scale == "clock" and len(at):
            shown -= shown.min() // DAY_S * DAY_S
        if reference_day is None:
            reference_day = at.min() // DAY_S * DAY_S
        offset_s[pen.name] = offset - (reference_day if scale == "elapsed" else 0)
        sources.append(Source(pen.name, f"{pen.name}.csv", pen.kind, "text", scale))
        mine = []
        for line, i in enumerate(order.tolist(), 2):
            number, one = knew[i]
            place = str(line if not pen.newest_first else len(order) + 3 - line)
            happened[f"{pen.name}:{place}"] = number
            point = shown[i] + (pen.cell_s / 2 if pen.cell_s > 1 else 0)
            mine.append(_row(pen, place, one, point, pen.cell_s))
            true.append(_row(pen, place, one, float(at[i]), FINE_S))
        rows += mine[::-1] if pen.newest_first else mine
    return Made(
        Event(Context("made"), tuple(sources), gate(rows), ()), offset_s, happened, _true(sources, true)
    )


def _knows(pen: Pen, one: Happening) -> bool:
    return one.kind in pen.knows or (one.first and pen.kind == "person")


def _on_ticks(went: list[Happening], pen: Pen, start: float) -> list[Happening]:
    """Return happenings, compressions beginning and ending on the log's own ticks, taken as true."""
    if pen.kind != "device":
        return went
    tick = pen.cell_s
    return [
        replace(one, time_s=round((start + one.time_s) / tick) * tick - start) if one.kind in HANDS else one
        for one in went
    ]


def _row(pen: Pen, place: str, one: Happening, at_s: float, cell_s: float) -> dict[str, object]:
    return {
        "event_id": "made",
        "source_id": pen.name,
        "place": place,
        "time_text": f"{at_s:.2f}",
        "source_time": to_us(at_s),
        "cell": to_us(cell_s),
        "kind": one.kind,
        "detail": one.detail,
        "amount": one.amount,
        "unit": one.unit,
        "route": one.route,
        "origin": "person" if pen.kind == "person" else "device",
        "label": one.kind,
    }


def _true(sources: list[Source], rows: list[dict[str, object]]) -> Event:
    """Return the event as it went: exact clocks, which see what happened at once as one."""
    agrees = Offset(0, 0, 0)
    exact = tuple(
        replace(
            source, kind="device" if source.kind == "person" else source.kind, scale="local", clock=agrees
        )
        for source in sources
    )
    return Event(Context("made", reference=sources[0].source_id), exact, gate(rows), ())
