"""What all events of a cohort come to: the share met with its range, the middle half, what is not known."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from debrief.cohorts.cohort import Row
from debrief.cohorts.proportions import Tally, tally


@dataclass(frozen=True)
class Summary:
    """What events come to.

    ``counts``: verdicts, null where nobody judges them; ``judged``: by a target, else yes or no;
    ``quartiles``: lower quartile, median and upper quartile by interpolation, null where there are no
    numbers; ``missing``: how many have no value.
    """

    events: int
    counts: Tally | None
    judged: bool
    quartiles: tuple[float, float, float] | None
    missing: int

    def to_dict(self, fewest: int | None = None) -> dict[str, Any]:
        """Return it for other programs, all null but the limit where there are fewer events than that."""
        counts = self.counts or Tally()
        lower, median, upper = self.quartiles or (None, None, None)
        told = {
            "events": self.events,
            **(asdict(counts) if self.counts else dict.fromkeys(asdict(counts))),
            "share": counts.share.value,
            "low": counts.share.low,
            "high": counts.share.high,
            "worst": counts.worst.value,
            "best": counts.best.value,
            "lower_quartile": lower,
            "median": median,
            "upper_quartile": upper,
            "missing": self.missing,
        }
        return dict.fromkeys(told) if is_few(self.events, fewest) else told


def summary_of(rows: Sequence[Row]) -> Summary:
    """Return what rows of one measure come to."""
    judged = any(row.target is not None for row in rows)
    shares = judged or any(isinstance(row.value, bool) for row in rows)
    values = [float(row.value) for row in rows if row.value is not None and not isinstance(row.value, bool)]
    quartiles = None
    if values:
        low, middle, high = np.percentile(values, (25, 50, 75)).tolist()
        quartiles = (low, middle, high)
    return Summary(
        events=len(rows),
        counts=tally(row.outcome for row in rows) if shares else None,
        judged=judged,
        quartiles=quartiles,
        missing=sum(row.value is None for row in rows),
    )


def is_few(events: int, fewest: int | None) -> bool:
    """Return whether so many events are some, but too few to be shown."""
    return fewest is not None and 0 < events < fewest
