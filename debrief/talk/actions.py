"""Actions beyond one talk: what equipment problems ask for, and what came of earlier talks' actions."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from debrief.model.contract import Report
from debrief.model.times import clock
from debrief.talk.changes import MEETINGS
from debrief.talk.kept import Action, Talk, in_order
from debrief.words import say

CLOSED_SHOWN_DAYS = 90
"""How long a closed action is shown at later talks, with what came of it."""


@dataclass(frozen=True)
class Offer:
    """An action that the event or the notes suggest; ``about`` keeps it from being offered twice."""

    about: str
    what: str


def offers(report: Report, talk: Talk) -> list[Offer]:
    """Return actions that could be set: one for each equipment problem marked, and for equipment ticked."""
    taken = {action.about for action in talk.actions.values() if action.what.strip()}
    found = []
    for one in report["occurrences"]:
        if one["kind"] == "equipment_problem":
            at = clock(one["time"])
            what = (
                say("talk.mend", what=one["detail"], time=at) if one["detail"] else say("talk.look", time=at)
            )
            found.append(Offer(one["lead"], what))
    ticked = (talk.meeting(name).themes.get("change", ()) for name in MEETINGS)
    if any("equipment" in themes for themes in ticked):
        found.append(Offer("theme:equipment", say("talk.mend_theme")))
    return [offer for offer in found if offer.about not in taken]


@dataclass(frozen=True)
class Earlier:
    """An action of another event's talk."""

    event_id: str
    action: Action


def earlier_actions(talks: Mapping[str, Talk], but: str, now: datetime | None = None) -> list[Earlier]:
    """Return the actions of other talks: all that are open, and those closed not long ago.

    Parameters
    ----------
    talks
        All of them, by their events.
    but
        The event that is being talked about.
    now
        When it is; null for this moment.
    """
    since = (now or datetime.now(UTC)) - timedelta(days=CLOSED_SHOWN_DAYS)
    found = [
        Earlier(event_id, action)
        for event_id, talk in talks.items()
        if event_id != but
        for action in in_order(talk.actions.values())
        if action.status == "open" or datetime.fromisoformat(action.closed_at) >= since
    ]
    return sorted(found, key=lambda one: (one.action.status != "open", one.action.set_at))
