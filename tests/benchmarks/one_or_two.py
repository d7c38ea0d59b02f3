"""How long it takes to tell which marks of three sources are one.

Run ``python -m tests.benchmarks.one_or_two``. Prints medians; a reading of a busy machine is no verdict.
"""

import time
from statistics import median

import numpy as np

from debrief.clocks.reconcile import reconcile
from tests.made import occurrences, row

RUNS = 9
ARREST = [(kind, None) for kind in ("shock", "rhythm_check", "compressor_change", "charge", "etco2", "vital")]
ARREST += [("drug", name) for name in ("epinephrine", "amiodarone")]
ARREST += [("rhythm", name) for name in ("vf", "pea", "asystole")]
ALIKE = [("rhythm", "vf")]


def rows(kinds: list[tuple[str, str | None]], marks: int, gap_s: float) -> list[dict[str, object]]:
    """Return marks of three sources, each with nine in ten of what happened, two up to a minute late."""
    rng = np.random.default_rng(7)
    times = rng.uniform(0.5, 1.5, marks).cumsum() * gap_s
    went = [(float(at), *kinds[int(rng.integers(len(kinds)))]) for at in times]
    made = []
    for source in ("log", "sheet", "tablet"):
        wrote = [
            row(round(at + (source != "log") * rng.uniform(0, 60), 2), kind, detail, source=source, cell_s=1)
            for at, kind, detail in went
            if rng.random() < 0.9
        ]
        made += sorted(wrote, key=lambda entry: entry["time"])
    return made


def main() -> None:
    """Print how long each takes."""
    for title, kinds, gap_s in (("as in an arrest", ARREST, 8.0), ("all alike, 6 s apart", ALIKE, 6.0)):
        made = rows(kinds, 333, gap_s)
        occ = occurrences(made, {"tablet": "person"})
        names = [f"{entry['source_id']}:{entry['place']}" for entry in made]
        took = []
        for _ in range(RUNS):
            begun = time.perf_counter()
            found = reconcile(occ, names)
            took.append(time.perf_counter() - begun)
        print(f"{title}: {len(made)} marks, {len(found.marks)} occurrences, {1000 * median(took):.0f} ms")


if __name__ == "__main__":
    main()
