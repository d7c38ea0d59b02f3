"""An event changed as a folder, by one and by two; what a reviewer says of it; what a site names."""

import json
from contextlib import suppress
from hashlib import sha256

import pytest
import sqlalchemy as sa

from debrief.errors import BadSetting
from debrief.importers import corrections, read_event
from debrief.importers.corrections import Correction, writing
from debrief.importers.folder import EVENT_JSON, TALK
from debrief.importers.mapping import Mapping
from debrief.registry import listing, tables
from debrief.registry.incoming import identity_of
from tests.registry.made import add, sheets

TYPED_ROWS = b"time,mark\n10:00,pulseless\n10:01,shock\n"


@pytest.fixture
def event(registry, tmp_path):
    """The name of an event in the registry."""
    (added,) = add(registry, *sheets(tmp_path / "in", 1))
    return added.event


def told(folder):
    return json.loads((folder / EVENT_JSON).read_text(encoding="utf-8"))


def tell(folder, **settings):
    (folder / EVENT_JSON).write_text(json.dumps(told(folder) | settings), encoding="utf-8")


def test_what_is_written_into_the_folder_is_kept(registry, event):
    with registry.changing(event, role="nurse", why="the strip") as folder:
        corrections.append(folder, Correction("drop", "s1:3"))
        tell(folder, unit="Alder ward")
        (folder / "photo.png").write_bytes(b"\x89PNG")

    folder = registry.folder(event)
    assert [one.mark for one in corrections.read(folder)] == ["s1:3"]
    assert told(folder)["unit"] == "Alder ward"
    assert (folder / "photo.png").read_bytes() == b"\x89PNG"
    assert listing.events(registry)[0]["unit"] == "Alder ward"
    last = registry.history(event)[-1]
    assert (last["action"], last["role"], last["why"]) == ("change", "nurse", "the strip")


def test_two_who_change_an_event_at_once_both_find_their_change(registry, event):
    with registry.changing(event) as one:
        corrections.append(one, Correction("drop", "s1:3"))
        writing.add(one, read_event([one]), {"time": "14:07", "kind": "rosc"})
        tell(one, unit="Alder ward")
        with registry.changing(event) as other:
            corrections.append(other, Correction("drop", "s1:4"))
            writing.add(other, read_event([other]), {"time": "14:08", "kind": "shock"})
            tell(other, witnessed=True)

    folder = registry.folder(event)
    lines = corrections.read(folder)
    assert {each.mark for each in lines if each.action == "drop"} == {"s1:3", "s1:4"}
    assert [each.to["time"] for each in lines if each.action == "add"] == ["14:08", "14:07"]
    assert (told(folder)["unit"], told(folder)["witnessed"]) == ("Alder ward", True)


def test_nothing_is_kept_of_a_change_that_fails(registry, event):
    version = registry.version(event)
    with suppress(BadSetting), registry.changing(event) as folder:
        corrections.append(folder, Correction("drop", "s1:3"))
        raise BadSetting("what was corrected leaves nothing to measure")
    with pytest.raises(BadSetting, match="bytes were changed"), registry.changing(event) as folder:
        (folder / told(folder)["sources"][0]["file"]).write_bytes(b"other")
    with registry.changing(event):
        pass

    assert registry.version(event) == version


def test_each_change_gives_another_version(registry, event):
    seen = {registry.version(event)}
    registry.append(event, TALK, [b"{}"])
    seen.add(registry.version(event))
    registry.enter(event, "witnessed", True)
    seen.add(registry.version(event))
    registry.review(event, "reviewed")
    seen.add(registry.version(event))

    assert len(seen) == 4


def test_of_a_locked_event_only_the_talk_goes_on(registry, event):
    registry.review(event, "locked", role="nurse")

    for change in (
        lambda folder: corrections.append(folder, Correction("drop", "s1:3")),
        lambda folder: tell(folder, unit="Elsewhere"),
    ):
        with pytest.raises(BadSetting, match="locked"), registry.changing(event) as folder:
            change(folder)
    with pytest.raises(BadSetting, match="locked"):
        registry.enter(event, "witnessed", True)
    with registry.changing(event) as folder:
        (folder / TALK).write_bytes(b"{}\n")
    registry.review(event, None)
    registry.enter(event, "witnessed", True)


def test_a_review_stands_before_what_was_found_and_can_be_taken_back(registry, event):
    with pytest.raises(BadSetting, match="needs a reason"):
        registry.review(event, "excluded")
    registry.review(event, "excluded", why="a drill")
    (row,) = listing.events(registry, status="excluded")
    assert (row["status"], row["why"]) == ("excluded", "a drill")

    registry.review(event, None)
    assert listing.events(registry, status="excluded") == []
    assert listing.events(registry)[0]["status"] != "excluded"


def test_what_a_site_names_is_kept_replaced_and_taken_out(registry):
    registry.name("cohort", "night", {"shift": "night"}, role="nurse")
    registry.name("cohort", "adults", {"population": "adult"})
    registry.name("admissions", "2026-03", 412)
    registry.name("cohort", "night", {"shift": "night", "weekend": "yes"})
    registry.name("cohort", "adults", None)

    assert registry.named("cohort") == {"night": {"shift": "night", "weekend": "yes"}}
    assert registry.named("admissions") == {"2026-03": 412}


def test_what_was_typed_may_be_typed_again_and_the_old_rows_stay_in_the_table_of_files(registry, tmp_path):
    folder = tmp_path / "typed"
    folder.mkdir()
    (folder / "typed.csv").write_bytes(TYPED_ROWS)
    (folder / "sheet.png").write_bytes(b"\x89PNG\r\n\x1a\n")
    (folder / EVENT_JSON).write_text('{"sources": [{"file": "typed.csv"}]}')
    (added,) = add(registry, folder)
    before = registry.digest(added.event)
    with registry.changing(added.event) as one:
        (one / "typed.csv").write_bytes(TYPED_ROWS + b"10:09,rosc\n")
        (one / "sheet.png").unlink()

    folder = registry.folder(added.event)
    assert (folder / "typed.csv").read_bytes() == TYPED_ROWS + b"10:09,rosc\n"
    assert not (folder / "sheet.png").exists()
    assert registry.digest(added.event) != before
    assert registry.known([identity_of([(sha256(TYPED_ROWS + b"10:09,rosc\n").hexdigest(), None)])])
    with registry.database.reading() as connection:
        assert sha256(TYPED_ROWS).hexdigest() in set(connection.scalars(sa.select(tables.file.c.sha256)))


def test_of_two_who_type_one_sheet_again_the_second_is_told(registry, tmp_path):
    folder = tmp_path / "typed"
    folder.mkdir()
    (folder / "typed.csv").write_bytes(TYPED_ROWS)
    (folder / EVENT_JSON).write_text('{"sources": [{"file": "typed.csv"}]}')
    (added,) = add(registry, folder)

    def type_again(meanwhile):
        with registry.changing(added.event) as one:
            (one / "typed.csv").write_bytes(TYPED_ROWS + b"10:09,rosc\n")
            meanwhile()

    def somebody_else():
        with registry.changing(added.event) as other:
            (other / "typed.csv").write_bytes(TYPED_ROWS + b"10:11,rosc\n")

    with pytest.raises(BadSetting, match="somebody else has written it anew"):
        type_again(somebody_else)
    assert (registry.folder(added.event) / "typed.csv").read_bytes() == TYPED_ROWS + b"10:11,rosc\n"


def test_the_folder_to_read_is_the_same_while_only_the_talk_goes_on(registry, event):
    folder = registry.folder(event)
    registry.append(event, TALK, [b'{"said": 1}'])

    assert registry.folder(event) == folder
    assert (folder / TALK).read_bytes() == b'{"said": 1}\n'
    assert registry.talks() == {event: [b'{"said": 1}']}
    with registry.changing(event) as one:
        tell(one, unit="Alder ward")
    assert registry.folder(event) != folder


def test_the_same_answers_lie_in_the_same_folder(registry):
    before = registry.layouts()
    registry.remember(Mapping(layout="abc", columns={"t": "time"}))

    assert registry.layouts() == registry.layouts() != before
