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
BREATHS_AFTER = (13, 14, 15, 16, 17, 27, 28, 29, 30, 31, 32, 33)
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


def write(marks, folder):
    """Write marks as an event folder, one file a source, all clocks known to agree; return the folder."""
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
    (folder / "event.json").write_text(json.dumps({"format": 1, "event_id": "made", "sources": sources}))
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
    for _ in range(draw(st.integers(1, 4))):
        count = draw(st.integers(1, 60).filter(lambda count: count not in BREATHS_AFTER))
        one = mark(at, "compression", "released", source="puck", amount=50, unit="mm")
        found += [one | {"time": at + n / 2} for n in range(count)]
        at += count / 2 + draw(st.one_of(LENGTHS, halves(100, 140)))
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
    found += draw(around(max(row["time"] for row in found) + 30))
    if whole_seconds:
        found = [
            row | {"time": row["time"] // 1, "cell": 1.0} if row["kind"] == "compression" else row
            for row in found
        ]
    return apart(sorted(found, key=lambda row: row["time"]))


def apart(found):
    """Return the marks with each end of arrest in a half second of its own, and 90 s between two of them.

    Which of two marks of one instant came first is for their writer to say, and no two readings of one
    definition need agree on it.
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
    return sorted(kept, key=lambda row: row["time"])
