"""Approval of a teaching copy: a draft until somebody in a known role lets it go, and only as it was then.

The record stays with the site. It names a day, so that it never goes into what is handed on.
"""

import hashlib
import json
from dataclasses import dataclass
from datetime import date
from typing import Literal

from debrief import words
from debrief.errors import BadSetting
from debrief.model import contract
from debrief.teaching.copy import TeachingCopy
from debrief.words import say

Standing = Literal["draft", "approved", "copy_changed", "edition_changed", "expired"]
"""Where a copy stands; ``teaching.standing_<name>`` says it. Only ``approved`` may be handed on."""


@dataclass(frozen=True)
class Approval:
    """That a copy may be handed on.

    ``by_role``: one of `roles`; ``at`` and ``expires`` ISO days, the last on which it holds, null for no
    end; ``edition`` and ``definitions``: by which it was measured; ``copy_sha256``: of the copy itself, which
    holds nothing of anybody.
    """

    by_role: str
    at: str
    edition: str
    definitions: int
    copy_sha256: str
    expires: str | None = None


def roles() -> dict[str, str]:
    """Return the roles that may approve a copy, and what they are called."""
    said = words.sentences()
    return {key.rpartition(".")[2]: text for key, text in said.items() if key.startswith("teaching.role.")}


def approve(copy: TeachingCopy, by_role: str, on: date, expires: date | None = None) -> Approval:
    """Return the approval of a copy.

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
        edition=copy.report["edition"],
        definitions=copy.report["definitions"],
        copy_sha256=digest(copy),
        expires=None if expires is None else expires.isoformat(),
    )


def standing(copy: TeachingCopy, approval: Approval | None, on: date, edition_now: str) -> Standing:
    """Return where a copy stands on a day.

    ``edition_now``: by which events are judged there today; an approval ends with the edition it was
    given for, and with the definitions of the figures.
    """
    if approval is None:
        return "draft"
    if approval.edition != edition_now or approval.definitions != contract.DEFINITIONS:
        return "edition_changed"
    if approval.copy_sha256 != digest(copy):
        return "copy_changed"
    if approval.expires is not None and on > date.fromisoformat(approval.expires):
        return "expired"
    return "approved"


def digest(copy: TeachingCopy) -> str:
    """Return the SHA-256 of what is handed on: the report of the copy and the notes that were passed.

    Which version of the program wrote it does not count.
    """
    report = {key: value for key, value in copy.report.items() if key != "software"}
    notes = [[note.mark, note.time, note.text] for note in copy.notes]
    text = json.dumps([report, notes], sort_keys=True, ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()
