"""The compression fraction and the epinephrine gaps, written by hand in SQL and as a function for each event.

They know only what the events of ``made_events`` hold: one source of starts and stops, one episode. What
they must agree with knows all the rest.
"""

import pandas as pd

MIN_PAUSE_US = 1_000_000

SQL = """
with marks as (select event_id, time, kind, detail, route from read_parquet('{path}')),
hands as (
    select event_id, kind, time,
           lead(time) over (partition by event_id order by time) as next_time,
           lead(kind) over (partition by event_id order by time) as next_kind
    from marks where kind in ('compressions_start', 'compressions_stop')),
bounds as (
    select event_id,
           min(time) filter (where kind = 'compressions_start') as first_on,
           max(time) filter (where kind = 'compressions_stop') as last_stop,
           max(time) filter (where kind in ('compressions_stop', 'shock')) as last_work
    from marks group by event_id),
pauses as (
    select event_id, sum(next_time - time) as off
    from hands
    where kind = 'compressions_stop' and next_kind = 'compressions_start' and next_time - time >= {min_pause}
    group by event_id),
doses as (
    select event_id, time - lag(time) over (partition by event_id order by time) as gap
    from marks where kind = 'drug' and detail = 'epinephrine' and coalesce(route, 'iv') in ('iv', 'io')),
gaps as (select event_id, median(gap) as gap from doses where gap is not null group by event_id)
select event_id,
       1 - (coalesce(off, 0) + if(last_work - last_stop >= {min_pause}, last_work - last_stop, 0))
           / (last_work - first_on) as chest_compression_fraction,
       gap / 1e6 as epinephrine_interval_median
from bounds left join pauses using (event_id) left join gaps using (event_id)
order by event_id
"""


def sql(path: str) -> str:
    """Return the query over a Parquet file of marks."""
    return SQL.format(path=path, min_pause=MIN_PAUSE_US)


def one_event(marks: pd.DataFrame) -> pd.Series:
    """Return both figures of one event's marks, in time order; for ``groupby.apply``."""
    hands = marks[marks["kind"].isin(["compressions_start", "compressions_stop"])]
    following = hands["time"].shift(-1) - hands["time"]
    off = following[(hands["kind"] == "compressions_stop") & (following >= MIN_PAUSE_US)].sum()
    first = hands.loc[hands["kind"] == "compressions_start", "time"].min()
    last_stop = hands.loc[hands["kind"] == "compressions_stop", "time"].max()
    last = marks.loc[marks["kind"].isin(["compressions_stop", "shock"]), "time"].max()
    off += last - last_stop if last - last_stop >= MIN_PAUSE_US else 0
    doses = marks.loc[(marks["kind"] == "drug") & (marks["detail"] == "epinephrine"), "time"]
    return pd.Series(
        {
            "chest_compression_fraction": 1 - off / (last - first),
            "epinephrine_interval_median": doses.diff().median() / 1e6,
        }
    )
