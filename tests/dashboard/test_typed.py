"""A typed sheet over HTTP: what is understood, kept, refused, and what event it becomes."""

import io
import json

import pytest

from debrief.assess import assess
from debrief.dashboard.app import create_app
from debrief.dashboard.event_folder import read_settings, write_settings
from debrief.dashboard.files import OWN_HEADER
from debrief.dashboard.shelf import Shelf
from debrief.dashboard.typed import drafts, pictures
from debrief.dashboard.typed.drafts import Draft
from debrief.dashboard.typed.understanding import understand
from debrief.dashboard.typed.vocabulary import words
from debrief.errors import BadSetting
from debrief.importers import labels
from debrief.importers.folder import plan
from debrief.words import KINDS

OURS = {OWN_HEADER: "1", "Host": "127.0.0.1"}
SHEET = "t0123456789"
PNG = b"\x89PNG\r\n\x1a\n" + b"picture"


@pytest.fixture
def shelf(tmp_path):
    return Shelf(tmp_path)


@pytest.fixture
def client(shelf):
    return create_app(shelf).server.test_client()


def row(text):
    cells = text.split(",")
    return [*cells, *[""] * (7 - len(cells))]


ROWS = [
    row("1403,arrest"),
    row("+1,CPR started"),
    row("+0,rhythm,VF"),
    row("+1,shock,,200,J"),
    row("+2,adr,,1,mg,iv"),
    row("+5,ROSC"),
]


def draft(rows=ROWS, about=None, elapsed=False):
    return {"rows": rows, "about": about or {}, "elapsed": elapsed}


def post(client, what, sent=None, version=0, sheet=SHEET, headers=OURS):
    body = {"draft": sent or draft(), "version": version, "width": 900}
    return client.post(f"/type/{sheet}/{what}", json=body, headers=headers)


def picture(client, content, name="scan.png"):
    data = {"picture": (io.BytesIO(content), name)}
    headers = OURS
    return client.post(
        f"/type/{SHEET}/picture", data=data, headers=headers, content_type="multipart/form-data"
    )


def page(client, sheet=SHEET):
    return client.get(f"/type/{sheet}/page", headers={"Host": "127.0.0.1"})


def understood(client, rows, **more):
    return post(client, "understood", draft(rows, **more)).json


def test_each_row_is_understood_as_the_importers_read_it(client):
    rows = understood(client, ROWS)["rows"]

    assert [rows[str(number)]["said"] for number in range(6)] == [
        "14:03 · recognition",
        "14:04 · compressions start",
        "14:04 · rhythm: VF",
        "14:05 · shock 200 J",
        "14:07 · epinephrine 1 mg, iv",
        "14:12 · ROSC",
    ]
    assert not any(one["odd"] for one in rows.values())


def test_the_timeline_and_the_figures_grow_with_the_rows(client):
    none = understood(client, [row("1403")])["parts"]
    assert "<svg" not in none["typed-timeline"]
    some = understood(client, ROWS[:2])["parts"]
    assert "<svg" in some["typed-timeline"]
    assert "first shock" not in some["typed-figures"]
    more = understood(client, ROWS)["parts"]
    assert "The first shock came <strong>2:00</strong> after recognition." in more["typed-figures"]


@pytest.mark.parametrize(
    ("rows", "at", "odd"),
    [
        (["1403,arrest", "1401,CPR started"], 1, "earlier than the row before"),
        (["1403,arrest", "half past,CPR started"], 1, "no time: write 1403"),
        (["+2,arrest"], 0, "no time to count from"),
        (["1403,arrest", "+0:30,CPR started"], 1, "counted from the full minute"),
        (["1403,arrest", "1404,wibbled"], 1, "not understood"),
        (["1403,arrest", "1404,note,,,,,given by Smithers"], 1, "looks like a name: Smithers"),
        (["1403,arrest", "1404,adr,,900,mg,iv"], 1, "900"),
    ],
)
def test_what_is_odd_is_said_beside_its_row_and_in_the_list(client, rows, at, odd):
    answer = understood(client, [row("") for _ in range(2)] + list(map(row, rows)))

    assert odd in answer["rows"][str(at + 2)]["odd"]
    assert f'data-row="{at + 2}"' in answer["parts"]["typed-problems"]


def test_midnight_passes_and_is_said(client):
    rows = understood(client, [row("2359,arrest"), row("+2,CPR started")])["rows"]

    assert rows["1"]["said"] == "00:01, the next day · compressions start"
    assert not rows["1"]["odd"]


def test_a_sheet_from_zero_is_read_so(client):
    rows = understood(client, [row("0:00,arrest"), row("3:10,CPR started"), row("+2,ROSC")], elapsed=True)[
        "rows"
    ]

    assert [rows[str(number)]["said"][:4] for number in range(3)] == ["0:00", "3:10", "5:10"]


def test_a_usual_dose_comes_with_its_source_and_only_where_none_is_written(client):
    rows = understood(
        client,
        [row("1403,adr"), row("1404,adr,,1,mg"), row("1405,shock")],
        about={"population": "child", "weight_kg": "18 kg"},
    )["rows"]

    assert rows["0"]["fill"] == {"amount": "0.18", "unit": "mg"}
    assert "Circulation 2010" in rows["0"]["usual"]
    assert rows["1"]["fill"] is None
    assert rows["2"]["fill"] == {"amount": "36", "unit": "J"}


def test_what_cannot_be_of_the_event_is_refused_in_words_and_left_out(client, shelf):
    answer = understood(client, ROWS, about={"weight_kg": "heavy", "age_years": "400", "date": "2026-13-04"})
    assert "A weight of heavy is not read" in answer["refused"]["weight_kg"]
    assert "An age of 400 is not read" in answer["refused"]["age_years"]
    assert "A date of 2026-13-04 is not read" in answer["refused"]["date"]

    post(client, "event", draft(about={"weight_kg": "heavy", "age_years": "64", "date": "2026-13-04"}))
    assert read_settings(shelf.folder(SHEET))["age_years"] == 64
    assert not {"weight_kg", "date"} & read_settings(shelf.folder(SHEET)).keys()


def test_a_draft_is_kept_comes_back_and_is_no_event_yet(client, shelf):
    assert post(client, "draft", draft(about={"unit": "Alder"})).json["version"] == 1
    found = page(client).json

    assert found["draft"] == draft(about={"unit": "Alder"})
    assert found["version"] == 1
    assert shelf.names() == []
    assert [one[:2] for one in drafts.sheets(shelf)] == [(SHEET, "Alder, 1403 (6 rows)")]


def test_of_two_windows_the_second_is_told_and_nothing_is_overwritten(client):
    post(client, "draft")
    first = post(client, "draft", draft(ROWS[:3]), version=1)
    second = post(client, "draft", draft(ROWS[:2]), version=1)
    again = post(client, "draft", draft(ROWS[:3]), version=1)

    assert first.json["version"] == 2
    assert second.status_code == 409
    assert "changed in another window" in second.json["message"]
    assert again.json["version"] == 2, "what was kept just so is no conflict"
    assert page(client).json["draft"]["rows"] == ROWS[:3]


def test_a_sheet_becomes_an_event_and_can_be_typed_on(client, shelf):
    post(client, "event", draft(about={"unit": "Alder", "witnessed": "yes", "date": "2026-03-04"}))
    folder = shelf.folder(SHEET)
    assert (folder / "typed.csv").read_text().splitlines()[:3] == [
        "time,mark,detail,amount,unit,route,note",
        "1403,arrest,,,,,",
        "14:04,CPR started,,,,,",
    ]
    settings = read_settings(folder)
    assert (settings["unit"], settings["witnessed"], settings["date"]) == ("Alder", True, "2026-03-04")
    figures = {one["name"]: one["value"] for one in assess([folder]).to_dict()["figures"]}
    assert figures["time_to_first_shock"] == 120

    with shelf.changing(SHEET) as changed:
        write_settings(changed, {**settings, "time_zero": "14:03:10", "setting": "ward"})
    post(client, "event", draft([*ROWS, row("+1,transfer")], about={"unit": "Birch"}), version=1)
    folder = shelf.folder(SHEET)
    again = read_settings(folder)
    assert (again["unit"], again["time_zero"], again["setting"]) == ("Birch", "14:03:10", "ward")
    assert "witnessed" not in again
    assert len(again["sources"]) == 1
    assert (folder / "typed.csv").read_text().splitlines()[-1] == "14:13,transfer,,,,,"


def test_a_sheet_without_a_time_becomes_no_event(client, shelf):
    answer = post(client, "event", draft([row(",shock")]))

    assert answer.status_code == 400
    assert "Write at least one" in answer.json["message"]
    assert shelf.names() == []


def test_where_nothing_can_be_written_the_rows_can_be_taken_along(client, shelf):
    shelf.typing_folder.write_text("in the way")
    for what in ("draft", "event"):
        answer = post(client, what)

        assert answer.status_code == 507
        assert "stays in this browser" in answer.json["message"]
        assert answer.json["rows"].splitlines()[1] == "1403,arrest,,,,,"


def test_a_sheet_that_cannot_be_read_is_never_written_over(client, shelf):
    post(client, "draft")
    path = shelf.typing_folder / SHEET / "typing.json"
    path.write_text("{half")

    assert "cannot be read" in page(client).json["message"]
    assert post(client, "draft").status_code == 400
    assert path.read_text() == "{half"
    assert "cannot be read" in drafts.sheets(shelf)[0][1]


def test_a_sheet_is_thrown_away_only_while_it_is_no_event(client, shelf):
    post(client, "draft")
    post(client, "remove")
    assert page(client).json["version"] == 0

    post(client, "event")
    post(client, "remove")
    assert page(client).json["version"] == 1


@pytest.mark.parametrize(
    "sent",
    [
        {"rows": "x", "about": {}, "elapsed": False},
        {"rows": [["a"]], "about": {}, "elapsed": False},
        {"rows": [[1] * 7], "about": {}, "elapsed": False},
        {"rows": [], "about": {"population": "dog"}, "elapsed": False},
        draft([row("1403,arrest")] * (drafts.MOST_ROWS + 1)),
        draft([row("x" * (drafts.MOST_LETTERS + 1))]),
    ],
)
def test_what_is_no_sheet_is_refused(client, sent):
    for what in ("understood", "draft", "event"):
        assert post(client, what, sent).status_code == 400
    assert client.post(f"/type/{SHEET}/draft", data="{", headers=OURS).status_code == 400


def test_another_site_and_another_name_get_nothing(client):
    for what in ("understood", "draft", "event", "picture"):
        assert post(client, what, headers={"Host": "127.0.0.1"}).status_code == 403
        assert post(client, what, sheet="elsewhere").status_code == 404
    assert page(client, "e0123456789").status_code == 404


@pytest.mark.parametrize(
    ("content", "kept"),
    [
        (PNG, "image/png"),
        (b"\xff\xd8\xff\xe0jfif", "image/jpeg"),
        (b"RIFF\0\0\0\0WEBPVP8 ", "image/webp"),
        (b"%PDF-1.7", "application/pdf"),
    ],
)
def test_a_picture_is_kept_by_its_content_and_shown(client, content, kept):
    assert picture(client, content, "nothing.exe").json["picture"] == kept
    shown = client.get(f"/type/{SHEET}/picture", headers={"Host": "127.0.0.1"})
    assert (shown.mimetype, shown.data) == (kept, content)
    assert shown.headers["X-Content-Type-Options"] == "nosniff"


def test_another_picture_takes_the_place_of_the_first_and_none_is_none(client, shelf):
    picture(client, PNG)
    picture(client, b"%PDF-1.7")
    assert [path.name for path in (shelf.typing_folder / SHEET).iterdir()] == ["sheet.pdf"]
    client.post(f"/type/{SHEET}/picture", headers=OURS)
    assert page(client).json["picture"] is None
    assert client.get(f"/type/{SHEET}/picture", headers={"Host": "127.0.0.1"}).status_code == 404


@pytest.mark.parametrize("content", [b"<svg onload=alert(1)>", b"MZ", b"GIF89a", b"RIFF....WAVE"])
def test_what_only_calls_itself_a_picture_is_refused(client, content):
    answer = picture(client, content)

    assert answer.status_code == 400
    assert "what counts is the content" in answer.json["message"]


def test_a_picture_that_is_too_large_is_refused(shelf):
    with pytest.raises(BadSetting, match="larger than 20 MB"):
        pictures.keep_picture(shelf, SHEET, PNG + bytes(pictures.MOST_PICTURE_BYTES))


def test_picture_and_rows_as_typed_are_never_read_and_measure_nothing_anew(client, shelf):
    picture(client, PNG)
    post(client, "event")
    before = shelf.state(SHEET)
    post(client, "draft", draft(ROWS[:2]), version=1)
    picture(client, b"%PDF-1.7")
    assert shelf.state(SHEET) == before

    with shelf.changing(SHEET) as folder:
        (folder / "event.json").rename(folder / ".aside")
        assert [one.file for one in plan(folder).sittings] == ["typed.csv"]
        (folder / ".aside").rename(folder / "event.json")
    post(client, "event", draft(ROWS[:2]), version=2)
    assert sorted(path.name for path in shelf.folder(SHEET).iterdir()) == [
        "event.json",
        "sheet.pdf",
        "typed.csv",
        "typing.json",
    ]


def test_a_sheet_that_two_type_again_from_different_computers_is_written_by_one(client, shelf, tmp_path):
    post(client, "event")
    elsewhere = create_app(Shelf(tmp_path / "elsewhere", tmp_path)).server.test_client()
    post(client, "draft", draft(ROWS[:5]), version=1)
    post(elsewhere, "draft", draft(ROWS[:4]), version=1)

    assert post(elsewhere, "event", draft(ROWS[:4]), version=2).status_code == 200
    late = post(client, "event", draft(ROWS[:5]), version=2)
    assert late.status_code == 409
    assert page(client).json["draft"]["rows"] == ROWS[:5], "what was typed is still there"
    assert page(elsewhere).json["draft"]["rows"] == ROWS[:4]


def test_every_word_that_completes_a_mark_is_read_as_that_mark():
    for one in words()["mark"]:
        for text in (one["take"], *one["also"]):
            meant = labels.understand(text)
            assert meant.known, text
            assert KINDS[meant.kind].detail == one["family"] or meant.detail, text


def test_every_word_that_completes_a_detail_is_read_as_that_detail():
    for kind in KINDS.values():
        for one in words()["detail"].get(kind.detail, ()):
            assert labels.read_detail(kind.name, one["take"])[0] == one["name"]


def test_notes_from_right_to_left_and_three_hundred_rows_are_read(client):
    rows = [row("1403,arrest,,,,,הערה בעברית"), *[row("+0:10,shock,,200,J") for _ in range(299)]]
    found = understand(Draft(tuple(map(tuple, rows))), None)

    assert len(found.rows) == 300
    assert found.rows[299].at == "14:52:50"
    assert post(client, "draft", draft(rows)).status_code == 200
    assert json.loads(page(client).data)["draft"]["rows"][0][6] == "הערה בעברית"
