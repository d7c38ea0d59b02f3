"""Cases that a site keeps, with their approvals: named things of its registry; nothing of their events."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime

from debrief import targets
from debrief.errors import BadSetting
from debrief.registry.store import Registry
from debrief.teaching import approval
from debrief.teaching.approval import Approval, Standing
from debrief.teaching.case import Case, case_of, content
from debrief.words import say

KIND = "case"


def today() -> date:
    """Return the day it is, in UTC."""
    return datetime.now(UTC).date()


@dataclass(frozen=True)
class KeptCase:
    """A case under its name, and who approved it."""

    name: str
    case: Case
    approval: Approval | None = None

    def stands(self, edition_now: str | None = None) -> Standing:
        """Return where it stands today; null is the usual edition."""
        now = targets.load(edition_now, None).name
        return approval.standing(self.case, self.approval, today(), now)

    @property
    def role(self) -> str:
        """Who approved it, in words; empty for nobody."""
        return approval.roles().get(self.approval.by_role, "") if self.approval else ""


def keep(registry: Registry, name: str, case: Case, role: str = "") -> None:
    """Keep a case under a name, in place of what had it; an approval holds while nothing changed."""
    held = registry.named(KIND).get(name)
    before = held["approval"] if held else None
    registry.name(KIND, name, {"case": content(case), "approval": before}, role)


def approve(registry: Registry, name: str, by_role: str, expires: date | None = None) -> KeptCase:
    """Approve a case as it stands.

    Raises
    ------
    BadSetting
        Where there is no such case, or the role is not one that may.
    """
    one = find(registry, name)
    given = approval.approve(one.case, by_role, today(), expires)
    held = {"case": content(one.case), "approval": approval.as_kept(given)}
    registry.name(KIND, name, held, by_role)
    return KeptCase(name, one.case, given)


def remove(registry: Registry, name: str, role: str = "") -> None:
    """Take a case out.

    Raises
    ------
    BadSetting
        Where there is none of that name.
    """
    find(registry, name)
    registry.name(KIND, name, None, role)


def find(registry: Registry, name: str) -> KeptCase:
    """Return a case by its name.

    Raises
    ------
    BadSetting
        Where there is none of that name.
    """
    held = registry.named(KIND).get(name)
    if held is None:
        raise BadSetting(say("case.no_such_case", read=name))
    return KeptCase(name, case_of(held["case"]), approval.from_kept(held["approval"]))


def kept(registry: Registry) -> Iterator[KeptCase]:
    """Yield all cases, in order of their names; one that cannot be read any more is left out."""
    for name, held in registry.named(KIND).items():
        try:
            yield KeptCase(name, case_of(held["case"]), approval.from_kept(held["approval"]))
        except (BadSetting, KeyError, TypeError):
            continue
