"""How well clocks are put right: alignment and figures of invented events held against the truth.

Run ``python -m tests.benchmarks.clocks [--events N] [--write FILE]``, FILE that of the guide. Worlds: the two
that the guide shows, and others that break one assumption each (``--worlds``). ``--known`` states the
true offset, which shows how much of the rest is not the clocks'. Figures take ten times as long as clocks,
and a few hundred events hold thousands of them, so fewer events have them: half a minute a hundred.
"""

import argparse
import time
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import UTC, datetime
from multiprocessing import Pool
from pathlib import Path
from statistics import median

import numpy as np
from pyarrow import concat_tables
from scipy.stats import binomtest

from debrief.clocks.align import align
from debrief.model.contract import DEFINITIONS
from debrief.model.event import Offset
from debrief.model.times import to_us
from tests.clock_judge import Judged, judge
from tests.clock_world import LOG, MINUTE, SECOND, Made, made, two

WORLDS: dict[str, Callable[[int], Made]] = {
    "minute": lambda seed: two(seed, "minute"),
    "second": lambda seed: two(seed, "second"),
    "log to the nearest": lambda seed: two(seed, "minute", nearest=True),
    "log of 10 ms": lambda seed: two(seed, "second", cell_s=0.01),
    "written in turn": lambda seed: two(seed, replace(MINUTE, in_turn=True)),
    "late by exponential": lambda seed: two(seed, replace(MINUTE, lateness="exponential")),
    "late by triangle": lambda seed: two(seed, replace(MINUTE, lateness="triangular")),
    "second by exponential": lambda seed: two(seed, replace(SECOND, lateness="exponential")),
    "second by triangle": lambda seed: two(seed, replace(SECOND, lateness="triangular")),
    "seconds, a minute late": lambda seed: two(seed, replace(SECOND, late_s=60.0)),
    "elapsed sheet": lambda seed: two(seed, replace(SECOND, scale="elapsed")),
}
SHOWN = ("minute", "second")
"""The worlds that the guide shows; the targets are theirs."""


def known(event: Made) -> Made:
    """Return an event whose sheet's clock is stated to stand where it does."""
    log, sheet = event.event.sources
    off = to_us(event.offset_s["sheet"])
    return replace(
        event, event=replace(event.event, sources=(log, replace(sheet, clock=Offset(off, off, off))))
    )


def one(task: tuple[str, int, int, bool]) -> Judged:
    """Judge one event of a world."""
    world, seed, draws, stated = task
    event = WORLDS[world](seed)
    return judge(seed, known(event) if stated else event, draws=draws, figures=draws > 0)


def percent(part: int, whole: int) -> str:
    """Return a share with its exact binomial limits, 95 %."""
    if not whole:
        return "       none        "
    low, high = binomtest(part, whole).proportion_ci(0.95, "exact")
    return f"{100 * part / whole:5.1f} ({100 * low:4.1f}-{100 * high:5.1f})"


def told(world: str, judged: list[Judged]) -> dict[str, object]:
    """Print what came of one world, and return its line of the table."""
    on = [entry for entry in judged if entry.aligned]
    inside = sum(entry.inside for entry in on)
    widths, errors = (
        [entry.width_s for entry in on] or [np.nan],
        [abs(entry.error_s or 0) for entry in on] or [np.nan],
    )
    held = [figure for entry in judged for figure in entry.figures]
    same = [figure for figure in held if figure.same]
    pairs, wrong = sum(entry.pairs for entry in on), sum(entry.wrong for entry in on)
    print(f"\n{world}: {len(judged)} events")
    print(f"  left unaligned                 {percent(len(judged) - len(on), len(judged))} %")
    print(f"  aligned, other matches offered {percent(sum(entry.others > 0 for entry in on), len(on))} %")
    print(f"  true offset inside bounds      {percent(inside, len(on))} %")
    print(
        f"  width of bounds, 90th percentile {np.quantile(widths, 0.9):8.1f} s, middle {median(widths):.1f} s"
    )
    print(f"  error, middle                    {median(errors):8.1f} s")
    print(f"  off by more than 100 s         {percent(sum(error > 100 for error in errors), len(on))} %")
    print(f"  pairs of two happenings        {percent(wrong, pairs)} % of {pairs}")
    print(
        f"  figures inside, same marks     {percent(sum(f.inside for f in same), len(same))} % of {len(same)}"
    )
    print(
        f"  figures inside, all            {percent(sum(f.inside for f in held), len(held))} % of {len(held)}"
    )
    return {
        "kind": world,
        "events": len(judged),
        "unaligned_percent": round(100 * (1 - len(on) / len(judged)), 1),
        "inside_percent": round(100 * inside / max(len(on), 1), 1),
        "width_90_s": round(float(np.quantile(widths, 0.9)), 1),
        "error_median_s": round(float(median(errors)), 1),
        "wrong_pairs_percent": round(100 * wrong / max(pairs, 1), 1),
        "figures_events": sum(bool(entry.figures) for entry in judged),
        "figures_inside_percent": round(100 * sum(f.inside for f in same) / max(len(same), 1), 1),
    }


def by_figure(judged: Iterable[Judged]) -> None:
    """Print how often each figure's true value lies inside its bounds, and on which side it does not."""
    judged = [entry for entry in judged if entry.figures]
    counted: dict[str, Counter[str]] = {}
    for figure in (figure for entry in judged for figure in entry.figures):
        count = counted.setdefault(figure.name, Counter())
        count["all"] += 1
        count["all inside"] += figure.inside
        count["same"] += figure.same
        count["same inside"] += figure.same and figure.inside
        if figure.same and not figure.inside:
            count["below" if figure.low is not None and figure.true < figure.low else "above"] += 1
    print(f"  in {len(judged)} events\n  {'figure':43} {'same marks':>27}   truth below, above   {'all':>20}")
    for name, count in sorted(
        counted.items(), key=lambda item: item[1]["same inside"] / (item[1]["same"] or 1)
    ):
        print(
            f"  {name:43} {percent(count['same inside'], count['same'])} of {count['same']:5}"
            f"   {count['below']:5} {count['above']:5}   {percent(count['all inside'], count['all'])}"
        )


def worst(judged: list[Judged], how_many: int) -> None:
    """Print the events that were furthest outside their bounds."""
    outside = [entry for entry in judged if entry.aligned and not entry.inside]
    outside.sort(key=lambda entry: max(entry.low_s or 0, -(entry.high_s or 0)), reverse=True)
    for entry in outside[:how_many]:
        print(
            f"  seed {entry.seed}: off {entry.error_s:.1f} s, "
            f"bounds from {entry.low_s:.1f} to {entry.high_s:.1f}; "
            f"{entry.pairs} pairs, {entry.wrong} wrong, {entry.shared} shared; lag {entry.lag_s}; "
            f"{entry.others} others"
        )


def long_event() -> Made:
    """Return three sources of 300 marks each."""
    everything = LOG.knows | MINUTE.knows
    pens = [
        replace(pen, name=name, knows=everything, forgets=0.02)
        for name, pen in (("log", LOG), ("sheet", MINUTE), ("second", SECOND))
    ]
    event = made(1, *pens, minutes=200)
    kept = [
        event.event.marks.filter(
            [name == source.source_id for name in event.event.marks["source_id"].to_pylist()]
        )
        for source in event.event.sources
    ]
    return replace(
        event, event=replace(event.event, marks=concat_tables([table.slice(0, 300) for table in kept]))
    )


def speed() -> None:
    """Print how long three sources of 300 marks take to align."""
    event = long_event().event
    counts = Counter(event.marks["source_id"].to_pylist())
    align(event)
    times = []
    for _ in range(9):
        start = time.perf_counter()
        align(event)
        times.append(time.perf_counter() - start)
    print(f"\naligning {dict(counts)} marks: {median(times) * 1e3:.1f} ms (to reach: 100 ms)")


def write(path: Path, rows: list[dict[str, object]]) -> None:
    """Write the table as TOML."""
    lines = [
        "# How well clocks are put right on invented events; written by tests/benchmarks/clocks.py.",
        f'date = "{datetime.now(UTC):%Y-%m-%d}"',
        f"definitions = {DEFINITIONS}",
    ]
    for row in rows:
        lines += ["", "[[rows]]"]
        lines += [
            f'{key} = "{value}"' if isinstance(value, str) else f"{key} = {value}"
            for key, value in row.items()
        ]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def main() -> None:
    """Print the table, and write it where asked to."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--events", type=int, default=2000)
    parser.add_argument("--first", type=int, default=0, help="the first seed")
    parser.add_argument("--worlds", nargs="+", choices=[*WORLDS, "all"], default=SHOWN)
    parser.add_argument("--figures", type=int, default=500, help="how many events have figures, too")
    parser.add_argument("--draws", type=int, default=500)
    parser.add_argument("--known", action="store_true", help="state the true offset")
    parser.add_argument("--worst", type=int, default=10)
    parser.add_argument("--write", type=Path)
    asked = parser.parse_args()
    rows = []
    for world in WORLDS if "all" in asked.worlds else asked.worlds:
        draws = [asked.draws if n < asked.figures else 0 for n in range(asked.events)]
        tasks = [(world, asked.first + n, draws[n], asked.known) for n in range(asked.events)]
        with Pool(2) as pool:
            judged = pool.map(one, tasks, chunksize=10)
        rows.append(told(world, judged))
        by_figure(judged)
        worst(judged, 0 if asked.known else asked.worst)
    speed()
    if asked.write:
        write(asked.write, rows)


if __name__ == "__main__":
    main()
