"""Approval of a case: a draft until somebody in a known role lets it go, and only as it was then.

The record stays with the site. It names a day, so that it never goes into what is handed on.
"""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from datetime import date
from typing import Any, Literal

from debrief import words
from debrief.errors import BadSetting
from debrief.model import contract
from debrief.teaching.case import Case
from debrief.words import say

Standing = Literal["draft", "approved", "copy_changed", "edition_changed", "expired"]
"""Where a case stands; ``teaching.standing_<name>`` says it. Only ``approved`` may be handed on."""


@dataclass(frozen=True)
class Approval:
    """That a case may be handed on.

    ``by_role``: one of `roles`; ``at`` and ``expires`` ISO days, the last on which it holds, null for no
    end; ``edition`` and ``definitions``: by which it was measured; ``case_sha256``: of the case itself, which
    holds nothing of anybody.
    """

    by_role: str
    at: str
    edition: str
    definitions: int
    case_sha256: str
    expires: str | None = None


def roles() -> dict[str, str]:
    """Return the roles that may approve a case, and what they are called."""
    said = words.sentences()
    return {key.rpartition(".")[2]: text for key, text in said.items() if key.startswith("teaching.role.")}


def approve(case: Case, by_role: str, on: date, expires: date | None = None) -> Approval:
    """Return the approval of a case.

    Raises
    ------
    BadSetting
        Where the role is none of `roles`, or the approval would have ended before it was given.
    """
    if by_role not in roles():
        raise BadSetting(say("teaching.bad_role", read=by_role, roles=", ".join(roles())))
    if expires is not None and expires < on:
        raise BadSetting(say("teaching.bad_expiry", read=expires.isoformat(), on=on.isoformat()))
    return Approval(
        by_role=by_role,
        at=on.isoformat(),
        edition=case.report["edition"],
        definitions=case.report["definitions"],
        case_sha256=case.digest,
        expires=None if expires is None else expires.isoformat(),
    )


def standing(case: Case, approval: Approval | None, on: date, edition_now: str) -> Standing:
    """Return where a case stands on a day.

    ``edition_now``: by which events are judged there today; an approval ends with the edition it was
    given for, and with the definitions of the figures.
    """
    if approval is None:
        return "draft"
    if approval.edition != edition_now or approval.definitions != contract.DEFINITIONS:
        return "edition_changed"
    if approval.case_sha256 != case.digest:
        return "copy_changed"
    if approval.expires is not None and on > date.fromisoformat(approval.expires):
        return "expired"
    return "approved"


def as_kept(approval: Approval | None) -> dict[str, Any] | None:
    """Return an approval as JSON can hold it."""
    return None if approval is None else asdict(approval)


def from_kept(held: Mapping[str, Any] | None) -> Approval | None:
    """Return an approval from what `as_kept` gave."""
    return None if held is None else Approval(**{one.name: held[one.name] for one in fields(Approval)})
