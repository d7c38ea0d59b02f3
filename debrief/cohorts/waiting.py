"""How long events wait for something: the first shock, the return of circulation."""

from debrief.cohorts.cohort import Cohort
from debrief.cohorts.survival import Curve, kaplan_meier
from debrief.errors import BadSetting
from debrief.words import say


def waiting(chosen: Cohort) -> Curve:
    """Return how many events of a cohort still wait, by time from time zero. [s]

    An event in which it was not seen waited for as long as it was watched (`Row.watched_s`) and is lost
    then; one of which that is not known is not in it. Efforts that ended without it are lost at their end
    as well, so that the curve is of those that go on.

    Parameters
    ----------
    chosen
        Chosen by `cohort` with ``waits``.

    Raises
    ------
    BadSetting
        Where the measure is no time to something.
    """
    if not chosen.measure.startswith("time_to_"):
        raise BadSetting(say("trends_page.no_curve", read=chosen.measure))
    watched = [
        (float(time), row.value is not None)
        for row in chosen.rows
        if (time := row.watched_s if row.value is None else row.value) is not None
    ]
    return kaplan_meier([time for time, _ in watched], [seen for _, seen in watched])
