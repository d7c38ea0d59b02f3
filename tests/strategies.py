"""Events made by hypothesis, as plain marks on a grid of half a second, and their files.

A mark is a dict as `tests/reference.py` reads it; times are seconds from `ORIGIN` of an invented day.
"""

import csv
import json
from datetime import datetime, timedelta

from hypothesis import strategies as st

ORIGIN = datetime(2025, 11, 6, 10, 0, 0)  # noqa: DTZ001 (a clock on a wall: no zone)
FINE_S = 0.1
MINUTE_S = 60.0
COLUMNS = ("time", "mark", "detail", "amount", "unit", "route", "length")
SHAPING = (
    "recognition",
    "pulseless",
    "rearrest",
    "shock",
    "compression",
    "compressions_start",
    "mechanical_start",
)
SWITCHES = ("compressions_start", "compressions_stop", "mechanical_start", "mechanical_stop")
LABELS = ("rhythm", "rhythm_check", "pulse_check", "analysis")
CAUSES = (None, "rhythm_or_pulse_check", "moving", "ultrasound", "compressor_change")


def mark(
    time, kind, detail=None, *, source="sheet", amount=None, unit=None, route=None, length=None, cell=FINE_S
):
    """Return one mark; the source's name says its kind."""
    source_kind = {"monitor": "device", "puck": "sensor"}.get(source, "person")
    return {
        "source": source,
        "source_kind": source_kind,
        "kind": kind,
        "detail": detail,
        "amount": amount,
        "unit": unit,
        "route": route,
        "time": float(time),
        "length": None if length is None else float(length),
        "cell": cell,
    }


def written(row):
    """Return a mark's time as its source wrote it: to the minute, to the second or to a tenth."""
    at = ORIGIN + timedelta(seconds=row["time"])
    if row["cell"] == MINUTE_S:
        return f"{at:%H:%M}"
    return f"{at:%H:%M:%S}" if row["cell"] == 1.0 else f"{at:%H:%M:%S}.{at.microsecond // 100_000}"


def write(marks, folder, **context):
    """Write marks as an event folder, one file a source, all clocks known to agree; return the folder.

    ``context``: what else event.json holds.
    """
    folder.mkdir(parents=True, exist_ok=True)
    sources = []
    for name in dict.fromkeys(row["source"] for row in marks):
        mine = [row for row in marks if row["source"] == name]
        with (folder / f"{name}.csv").open("w", newline="", encoding="utf-8") as file:
            table = csv.writer(file)
            table.writerow(COLUMNS)
            for row in mine:
                cells = [row[key] for key in ("detail", "amount", "unit", "route", "length")]
                table.writerow([written(row), row["kind"], *("" if cell is None else cell for cell in cells)])
        clock = {"offset": 0, "low": 0, "high": 0}
        kind = mine[0]["source_kind"]
        date = f"{ORIGIN:%Y-%m-%d}"
        sources.append({"file": f"{name}.csv", "kind": kind, "times": "clock", "date": date, "clock": clock})
    told = {"format": 1, "event_id": "made", "sources": sources} | context
    (folder / "event.json").write_text(json.dumps(told))
    return folder


def halves(low, high):
    """Return times between two, in whole halves. [s]"""
    return st.integers(round(low * 2), round(high * 2)).map(lambda tick: tick / 2)


LENGTHS = st.one_of(st.sampled_from([0.5, 1.0, 1.5, 2.0, 3.0, 10.0, 10.5, 20.0, 20.5]), halves(0.5, 70))


@st.composite
def started_and_stopped(draw, source, begin, stops=True):
    """Return one arrest's starts and stops of one source, and when they end. [s]"""
    found, at = [], begin
    for _ in range(draw(st.integers(1, 5))):
        device = draw(st.integers(0, 7)) == 0
        name = "mechanical" if device else "compressions"
        found.append(mark(at, f"{name}_start", source=source))
        at += draw(halves(0.5, 150))
        if not stops:
            continue
        gap = draw(LENGTHS)
        how = draw(st.sampled_from(["stop", "stop", "stop", "pause", "long pause"]))
        if how == "pause":
            found.append(mark(at, "pause", draw(st.sampled_from(CAUSES)), source=source, length=gap))
            at += gap + draw(halves(0.5, 100))
            found.append(mark(at, f"{name}_stop", source=source))
        elif how == "long pause":
            found.append(mark(at, "pause", draw(st.sampled_from(CAUSES)), source=source))
        else:
            found.append(mark(at, f"{name}_stop", source=source))
        at += gap
    if stops and draw(st.integers(0, 5)) == 0:
        found.pop()
    return found, found[-1]["time"]


@st.composite
def single(draw, begin):
    """Return one arrest's single compressions, two a second (one, where stamps are whole seconds)."""
    found, at = [], begin
    cycles = draw(st.sampled_from([0, 0, 15, 30]))
    unit, depths = draw(st.sampled_from([("mm", (38, 50, 60, 61)), ("cm", (4.5, 5, 6)), ("in", (2, 2.5))]))
    for _ in range(draw(st.integers(3 if cycles else 1, 5 if cycles else 4))):
        count = draw(st.integers(cycles - 2, cycles + 2) if cycles else st.integers(1, 60))
        recoil = draw(st.sampled_from(["released", "leaning", None]))
        depth, length = draw(st.sampled_from([None, *depths])), draw(st.sampled_from([None, 0.2, 0.3]))
        found += [
            mark(
                at + n / 2,
                "compression",
                recoil,
                source="puck",
                amount=depth,
                unit=depth and unit,
                length=length,
            )
            for n in range(count)
        ]
        at += count / 2 + draw(halves(3, 11) if cycles else st.one_of(LENGTHS, halves(100, 140)))
    return found, found[-1]["time"]


@st.composite
def around(draw, end):
    """Return what else was marked while an event went on: people, shocks, drugs, airway, rhythm."""
    source = draw(st.sampled_from(["monitor", "sheet"]))
    to_the_minute = draw(st.booleans())

    def when(low=0, high=end):
        at = draw(halves(low, high))
        return (at // MINUTE_S * MINUTE_S + MINUTE_S / 2, MINUTE_S) if to_the_minute else (at, FINE_S)

    found = []
    energy = draw(st.sampled_from([150, 200, 360]))
    for _ in range(draw(st.integers(0, 5))):
        at = draw(halves(1, end))
        found.append(mark(at, "shock", source=source, amount=energy, unit="J"))
    for _ in range(draw(st.integers(0, 5))):
        at, cell = when(1, end + 60)
        drug = draw(st.sampled_from(["epinephrine", "epinephrine", "amiodarone"]))
        route = draw(st.sampled_from([None, "iv", "io", "im", "infusion"]))
        unit = draw(st.sampled_from(["mg", "mg", "mg", "mg/min"]))
        if unit == "mg/min":
            route = "infusion"
        found.append(
            mark(
                at,
                "drug",
                drug,
                amount=1 if drug == "epinephrine" else 300,
                unit=unit,
                route=route,
                cell=cell,
            )
        )
    if found and draw(st.booleans()):
        again = draw(st.sampled_from(found))
        later = draw(halves(0, 12)) if again["cell"] == FINE_S else 0
        found.append(again | {"time": again["time"] + later})
    for _ in range(draw(st.integers(0, 4))):
        at, cell = when(-100)
        kind = draw(st.sampled_from(["rhythm", "rhythm_check", "pulse_check"]))
        rhythm = draw(
            st.sampled_from(["vf", "pvt", "pea", "asystole", "bradycardia", "perfusing", "unknown"])
        )
        found.append(mark(at, kind, rhythm, cell=cell))
    for _ in range(draw(st.integers(0, 3))):
        at, cell = when(-100)
        kind = draw(
            st.sampled_from(
                ["airway", "airway_attempt", "access", "team_arrival", "compressor_change", "transfer"]
            )
        )
        detail = {"airway": "tube", "airway_attempt": "tube", "access": "io"}.get(kind)
        if kind == "airway" and draw(st.booleans()):
            detail = draw(st.sampled_from(["bag_mask", "supraglottic"]))
        length = draw(halves(1, 60)) if kind == "airway_attempt" else None
        found.append(mark(at, kind, detail, length=length, cell=cell))
    return found


@st.composite
def breathed(draw, end):
    """Return airway, breaths, ETCO2 in any of its units, changes of compressor, analyses, other drugs."""
    found = []
    for _ in range(draw(st.integers(0, 2))):
        sort = draw(st.sampled_from(["tube", "supraglottic", "surgical", "bag_mask", None]))
        found.append(mark(draw(halves(-300, end)), "airway", sort))
    if draw(st.booleans()):
        found.append(mark(draw(halves(0, end)), "airway_confirmed", "capnography"))
    unit, values = draw(st.sampled_from([("mmHg", (4, 12, 35)), ("kPa", (1.2, 4.7)), ("percent", (1.5, 4))]))
    for about in draw(st.lists(st.sampled_from([0, 600, 1200, end]), max_size=6)):
        at = draw(halves(about, about + 120))
        found.append(mark(at, "etco2", source="monitor", amount=draw(st.sampled_from(values)), unit=unit))
    begin, step = draw(halves(0, end)), draw(halves(2, 40))
    for number in range(draw(st.sampled_from([0, 0, 3, 20]))):
        found.append(mark(begin + number * step, "ventilation", source="monitor"))
    for _ in range(draw(st.integers(0, 4))):
        found.append(mark(draw(halves(0, end)), "compressor_change"))
    for _ in range(draw(st.integers(0, 2))):
        said = draw(st.sampled_from(["advised", "not_advised"]))
        found.append(
            mark(draw(halves(0, end)), "analysis", said, source="monitor", length=draw(halves(1, 20)))
        )
    for _ in range(draw(st.integers(0, 1))):
        drug = draw(st.sampled_from(["lidocaine", "atropine"]))
        found.append(mark(draw(halves(0, end)), "drug", drug, amount=100, unit="mg", route="iv"))
    if draw(st.booleans()):
        found.append(mark(draw(halves(0, end)), "cardioversion", source="monitor", amount=100, unit="J"))
    return found


PEOPLE = st.fixed_dictionaries(
    {},
    optional={
        "population": st.sampled_from(["adult", "child", "infant", "newborn_at_birth"]),
        "age_years": st.sampled_from([0, 0.5, 1, 17.5, 18, 70]),
        "weight_kg": st.sampled_from([0.1, 3.5, 20, 80, 400]),
    },
)
"""What event.json says of the patient."""


@st.composite
def events(draw):
    """Return the marks of one event: up to three arrests, seen by one to three sources."""
    found = []
    opening = draw(st.sampled_from(["recognition", "pulseless", "both", "call", "none"]))
    if opening in ("recognition", "both"):
        found.append(mark(0, "recognition"))
    if opening in ("pulseless", "both"):
        found.append(mark(draw(halves(0, 30)), "pulseless"))
    if opening == "call" or draw(st.booleans()):
        found.append(mark(draw(halves(0, 20)), "call"))
    seen_by = draw(
        st.sampled_from(["monitor", "sheet", "puck", "monitor+sheet", "puck+sheet", "starts", "none"])
    )
    whole_seconds = draw(st.booleans())
    at = draw(halves(-10, 60))
    for number in range(draw(st.integers(1, 3))):
        ends = [at]
        for source in seen_by.split("+"):
            begin = at + draw(halves(0, 20))
            if source == "puck":
                some, end = draw(single(begin))
            elif source in ("monitor", "sheet"):
                some, end = draw(started_and_stopped(source, begin))
            elif source == "starts":
                some, end = draw(started_and_stopped("sheet", begin, stops=False))
            else:
                some, end = [mark(at + 60, "note")], at + 60
            found += some
            ends.append(end)
        at = max(ends)
        closing = draw(st.sampled_from(["rosc", "rosc", "rosc", "efforts_ended", "ecls_flow", None]))
        if closing:
            back = draw(st.sampled_from([0, 0, 0, -20, 30]))
            at = at + draw(halves(0, 60)) + back
            found.append(mark(at, closing, "died" if closing == "efforts_ended" else None))
        at += draw(st.one_of(halves(0.5, 80), halves(100, 1500)))
        again = number < 2 and closing and draw(st.booleans())
        if again:
            found.append(mark(at, "rearrest"))
        if closing in ("ecls_flow", "efforts_ended") and not again:
            break
    end = max(row["time"] for row in found) + 30
    found += draw(around(end))
    found += draw(breathed(end)) if draw(st.booleans()) else []
    if whole_seconds:
        found = [
            row | {"time": row["time"] // 1, "cell": 1.0} if row["kind"] == "compression" else row
            for row in found
        ]
    return apart(sorted(found, key=lambda row: row["time"]))


def apart(found):
    """Return the marks with each end of arrest in a half second of its own, and 90 s between two of them.

    Which of two marks of one instant came first is for their writer to say, and no two readings of one
    definition need agree on it; so a label goes that stands with a shock, an end or another label, and a
    device's start or stop that stands with another source's.
    """
    kept, latest = [], None
    taken = {row["time"] for row in found if row["kind"] in SHAPING}
    for row in found:
        if row["kind"] in ("rosc", "ecls_flow", "efforts_ended"):
            while row["time"] in taken:
                row = row | {"time": row["time"] + 0.5}
            if latest is not None and row["time"] - latest < 90:
                continue
            latest = row["time"]
        kept.append(row)
    kept.sort(key=lambda row: (row["time"], row["kind"] in (*LABELS, *SWITCHES[2:])))
    alone = {kind: ("shock", "rosc", "ecls_flow", "efforts_ended", *LABELS) for kind in LABELS}
    alone |= dict.fromkeys(SWITCHES[2:], SWITCHES)
    return [
        row
        for number, row in enumerate(kept)
        if not any(
            other["time"] == row["time"] and other["kind"] in alone.get(row["kind"], ())
            for other in kept[:number]
        )
    ]
