"""A copy is a draft until a role lets it go, and again when anything changed."""

from dataclasses import replace
from datetime import date

import pytest

from debrief.errors import BadSetting
from debrief.teaching.approval import approve, as_kept, from_kept, roles, standing
from debrief.teaching.case import Case
from debrief.teaching.copy import teaching_copy
from tests.made import assessed, row

TODAY = date(2031, 7, 19)


def made(note="pads on"):
    rows = [row(0, "recognition"), row(5, "note", "x"), row(20, "rosc")]
    copy = teaching_copy(assessed(rows).to_dict(), passed_notes={"log:5": note})
    return Case(copy.report, notes=copy.notes)


def test_a_copy_is_a_draft_until_it_is_approved():
    """And then approved for the edition that it was judged by."""
    case = made()
    approval = approve(case, "educator", TODAY)

    assert standing(case, None, TODAY, "AHA 2020") == "draft"
    assert standing(case, approval, TODAY, "AHA 2020") == "approved"
    assert (approval.by_role, approval.at, approval.expires) == ("educator", "2031-07-19", None)


def test_an_approval_ends_with_its_edition_its_definitions_its_copy_and_its_day():
    """Each alone ends it."""
    case = made()
    approval = approve(case, "privacy", TODAY, expires=date(2032, 7, 19))

    assert standing(case, approval, TODAY, "AHA 2025") == "edition_changed"
    assert standing(case, replace(approval, definitions=0), TODAY, "AHA 2020") == "edition_changed"
    assert standing(made("pads off"), approval, TODAY, "AHA 2020") == "copy_changed"
    assert standing(case, approval, date(2032, 7, 19), "AHA 2020") == "approved"
    assert standing(case, approval, date(2032, 7, 20), "AHA 2020") == "expired"


def test_a_name_approves_nothing():
    """Only a role of the list, and no approval that ended before it was given."""
    assert "educator" in roles()
    with pytest.raises(BadSetting, match="educator"):
        approve(made(), "Jane Roe", TODAY)
    with pytest.raises(BadSetting, match="2031-07-18"):
        approve(made(), "educator", TODAY, expires=date(2031, 7, 18))


def test_the_digest_is_of_the_case_alone():
    """Events that differ in what the copy leaves out have one digest: it leads back to neither."""
    rows = [row(0, "recognition"), row(5, "note", "x"), row(20, "rosc")]
    other = [row(0, "recognition", place="7"), row(5, "note", "y", place="8"), row(20, "rosc", place="9")]
    one = Case(teaching_copy(assessed(rows, unit="Alder ward", date="2031-07-19").to_dict()).report)

    assert (
        one.digest
        == Case(teaching_copy(assessed(other, local_reference="H-4471920").to_dict()).report).digest
    )
    assert one.digest != made().digest
    assert one.digest != replace(one, title="A long search").digest


def test_an_approval_is_kept_as_it_is():
    approval = approve(made(), "educator", TODAY, expires=date(2032, 7, 19))

    assert from_kept(as_kept(approval)) == approval
    assert from_kept(as_kept(None)) is None
