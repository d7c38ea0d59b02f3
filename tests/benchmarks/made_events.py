"""Make realistic events by the thousand, as one marks table on Parquet.

Run ``python -m tests.benchmarks.made_events 100000 FILE.parquet``. Each event has about 50 marks:
recognition, call, cycles of compressions with pauses, rhythm labels, shocks where they are due, epinephrine
every 3 to 5 min, an airway, and ROSC or the end of efforts. Everything is invented.
"""

import sys
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq

from debrief.model.marks import SCHEMA
from debrief.model.times import US

CYCLES = 12


def made(events: int, seed: int = 1) -> pa.Table:
    """Return a marks table of so many events, sorted by event, then time."""
    rng = np.random.default_rng(seed)
    cycles = rng.integers(6, CYCLES + 1, events)
    shockable = rng.random(events) < 0.25
    alive = rng.random(events) < 0.5
    columns: list[tuple[np.ndarray, np.ndarray, str, str | None, float, str | None, str | None]] = []
    everyone = np.arange(events)

    def add(who, at, kind, detail=None, amount=np.nan, unit=None, route=None):
        columns.append((who, at, kind, detail, amount, unit, route))

    zero = np.zeros(events)
    add(everyone, zero, "recognition")
    add(everyone, zero + rng.uniform(5, 40, events), "call")
    add(everyone, zero + rng.uniform(60, 240, events), "team_arrival")
    begin = rng.uniform(10, 90, events)
    at = begin.copy()
    for cycle in range(CYCLES):
        on = everyone[cycle < cycles]
        length = rng.normal(120, 12, len(on)).clip(60, 180)
        pause = rng.lognormal(2.1, 0.5, len(on)).clip(1.5, 90)
        add(on, at[on], "compressions_start")
        at[on] += length
        add(on, at[on], "compressions_stop")
        add(on, at[on] + pause * 0.3, "rhythm_check", None)
        vf = on[shockable[on]]
        at_vf = at[vf] + pause[shockable[on]] * 0.6
        add(vf, at_vf - 1, "rhythm", "vf")
        add(vf, at_vf, "shock", None, 200.0, "J")
        other = on[~shockable[on]]
        add(other, at[other] + pause[~shockable[on]] * 0.5, "rhythm", "pea")
        at[on] += pause
    dose = begin + rng.uniform(60, 400, events)
    for _ in range(6):
        given = everyone[dose < at]
        add(given, dose[given], "drug", "epinephrine", 1.0, "mg", "iv")
        dose = dose + rng.normal(240, 50, events).clip(120, 500)
    tube = everyone[rng.random(events) < 0.6]
    add(tube, begin[tube] + rng.uniform(200, 600, len(tube)), "airway", "tube")
    back = everyone[alive]
    add(back, at[back], "rosc")
    add(everyone[~alive], at[~alive], "efforts_ended", "died")
    return _table(columns)


def _table(columns) -> pa.Table:
    sizes = [len(who) for who, *_ in columns]
    who = np.concatenate([entry[0] for entry in columns])
    time = np.rint(np.concatenate([entry[1] for entry in columns]) * 10).astype(np.int64) * (US // 10)
    order = np.lexsort((time, who))
    event = pa.DictionaryArray.from_arrays(
        pa.array(who[order]), pa.array([f"e{i:07}" for i in range(who.max() + 1)])
    )

    def text(index):
        names = list(dict.fromkeys(entry[index] for entry in columns))
        codes = np.repeat([names.index(entry[index]) for entry in columns], sizes)[order]
        return pa.DictionaryArray.from_arrays(pa.array(codes), pa.array(names, pa.string())).cast(pa.string())

    rows = len(order)
    amount = np.repeat([entry[4] for entry in columns], sizes)[order]
    whole = pa.array(time[order])
    made = {
        "event_id": event.cast(pa.string()),
        "source_id": pa.repeat("log", rows),
        "place": pa.array(np.arange(rows)).cast(pa.string()),
        "time_text": whole.cast(pa.string()),
        "source_time": whole,
        "cell": pa.repeat(US // 10, rows).cast(pa.int64()),
        "time": whole,
        "kind": text(2),
        "detail": text(3),
        "amount": pa.array(amount, mask=np.isnan(amount)),
        "unit": text(5),
        "route": text(6),
        "length": pa.nulls(rows, pa.int64()),
        "role": pa.nulls(rows, pa.string()),
        "note": pa.nulls(rows, pa.string()),
        "origin": pa.repeat("device", rows),
        "label": text(2),
    }
    return pa.table({name: made[name] for name in SCHEMA.names}).cast(SCHEMA)


def main() -> None:
    """Write the table that was asked for."""
    events, path = int(sys.argv[1]), Path(sys.argv[2])
    table = made(events)
    pq.write_table(table, path, row_group_size=500_000)
    print(f"{events} events, {len(table)} marks, {path.stat().st_size / 1e6:.1f} MB")


if __name__ == "__main__":
    main()
