"""The team's page: from files to a talk in a minute; what is written survives; everything by keyboard."""

import json

import pytest
from playwright.sync_api import expect

from debrief.importers.folder import TALK
from debrief.talk.kept import merged, read_talk
from tests.browser.test_pages import barriers

EVENT = "vf_log_and_sheet"
TEAM = f"/event/{EVENT}/team"
LOG = (
    ("10:00:05", "recognition"),
    ("10:00:20", "VF"),
    ("10:00:40", "compressions start"),
    ("10:02:40", "compressions stop"),
    ("10:02:52", "shock 200 J"),
    ("10:02:58", "compressions start"),
    ("10:07:00", "epinephrine 1 mg IV"),
    ("10:09:00", "compressions stop"),
    ("10:09:05", "ROSC"),
)
SCRIPTS = "الأسماء لا تُكتب\nשלום\n早い 🙂"  # noqa: RUF001


@pytest.fixture(autouse=True)
def clean(shelf, window):
    """Begin without a talk, in the folder and in the browser."""
    path = shelf.folder(EVENT) / TALK
    path.unlink(missing_ok=True)
    window.goto("/guide")
    window.evaluate("localStorage.clear(); sessionStorage.clear()")
    yield
    path.unlink(missing_ok=True)


def opened(page, path=TEAM):
    page.goto(path)
    page.wait_for_selector("#team-timeline svg")
    page.wait_for_selector("ol.points > li")
    page.wait_for_selector("#team-here form")
    return page


def questions(page):
    return page.locator(".ask").all_inner_texts()


def kept(shelf, section="facts", meeting="hot"):
    return read_talk(shelf.folder(EVENT)).meeting(meeting).notes.get(section, "")


def write(page, text, section="facts"):
    page.locator(f"#note-{section}").fill(text)
    expect(page.locator("#team-status")).to_have_text("Written down.")


def test_from_files_to_the_sheet_by_way_of_the_talk(page):
    page.goto("/")
    text = "\n".join(["time,mark", *(",".join(row) for row in LOG)])
    log = {"name": "log.csv", "mimeType": "text/csv", "buffer": text.encode()}
    page.locator("#choose-files").set_input_files([log])
    page.wait_for_url("**/understood")
    page.get_by_role("link", name="Team", exact=True).click()
    page.wait_for_url("**/team")
    page.wait_for_selector("ol.points > li")
    expect(page.locator("ol.points > li").first).to_contain_text("What made this possible?")
    expect(page.locator("ol.points")).to_contain_text("What decided when the first shock came?")

    page.get_by_role("link", name="Sheet", exact=True).click()
    page.wait_for_url("**/sheet")
    expect(page.locator("main img")).to_be_visible()


@pytest.mark.parametrize("path", [TEAM, f"{TEAM}?cold=1", "/event/newborn_at_birth/team"])
def test_no_barrier_is_found_in_either_light(page, address, path):
    page.context.add_cookies([{"name": "theme", "value": "light", "url": address}])
    opened(page, path)
    page.locator(".ask").nth(1).click()
    for chapter in ("went_well", "change", "actions", "support", "facts"):
        page.locator(f".talk-spine [data-chapter={chapter}]").click()
        assert [] == barriers(page)
    page.get_by_role("button", name="Light or dim").click()
    assert [] == barriers(page, options={"runOnly": ["color-contrast"]})
    page.get_by_role("button", name="Light or dim").click()


@pytest.mark.parametrize("path", [TEAM, f"{TEAM}?cold=1"])
def test_on_a_tablet_nothing_is_cut_off_and_targets_are_large_enough(page, path):
    page.set_viewport_size({"width": 820, "height": 1180})
    opened(page, path)
    wide = page.evaluate("document.documentElement.scrollWidth")
    small = page.evaluate(
        """() => [...document.querySelectorAll("button, select, input:not([type=checkbox]), summary, nav a")]
            .filter((one) => one.offsetParent)
            .map((one) => [one.innerText || one.tagName, one.getBoundingClientRect()])
            .filter(([, box]) => box.height < 24 || box.width < 24).map(([name]) => name)"""
    )
    page.set_viewport_size({"width": 1440, "height": 1000})

    assert wide <= 820
    assert [] == small


def test_a_question_opens_its_evidence_and_its_stretch_of_the_timeline(page):
    opened(page)
    page.locator(".ask").nth(2).click()
    behind = page.locator("#behind-first_shock")

    expect(behind.locator("svg")).to_be_visible()
    expect(behind).to_contain_text("Who asks what")
    expect(behind.locator("ul.as-written li").first).to_be_visible()
    page.locator(".ask").nth(2).click()
    expect(behind).to_be_hidden()


def test_points_are_opened_ordered_dropped_and_added_by_keyboard(page):
    opened(page)
    before = questions(page)
    page.keyboard.press("2")
    expect(page.locator(".ask").nth(1)).to_have_attribute("aria-expanded", "true")
    page.keyboard.press("Alt+ArrowUp")
    expect(page.locator(".ask").first).to_have_text(before[1])
    expect(page.locator(".ask").first).to_be_focused()
    expect(page.locator(".ask").first).to_have_attribute("aria-expanded", "true")

    page.get_by_role("button", name=f"Leave out: {before[0]}").press("Enter")
    expect(page.locator(".ask")).to_have_count(len(before) - 1)
    page.get_by_label("Another question for the team").fill("How was the handover?")
    page.keyboard.press("Enter")
    expect(page.locator(".ask").last).to_have_text("How was the handover?")
    expect(page.get_by_label("Another question for the team")).to_be_focused()
    page.get_by_role("button", name=f"Also: {before[0]}").press("Enter")
    expect(page.locator(".ask").last).to_have_text(before[0])

    opened(page)
    assert questions(page) == [*before[1:2], *before[2:], "How was the handover?", before[0]]


def test_chapters_and_the_clock_work_by_keys_and_the_clock_goes_on_after_a_reload(page):
    opened(page)
    page.locator("h1").click()
    page.keyboard.press("n")
    expect(page.locator("#chapter-went_well h2")).to_be_focused()
    page.keyboard.press("b")
    expect(page.locator("#chapter-facts")).to_be_visible()
    page.keyboard.press("s")
    expect(page.locator("#team-clock")).to_have_text("Pause")
    expect(page.locator("#team-time")).to_have_text("0:02")
    expect(page.locator("#team-status")).to_have_text("Written down.")

    opened(page)
    expect(page.locator("#team-clock")).to_have_text("Pause")
    page.locator("#team-clock").click()
    expect(page.locator("#team-clock")).to_have_text("Go on")


def test_single_keys_do_nothing_while_somebody_writes(page):
    opened(page)
    page.locator("#note-facts").press_sequentially("n1s")

    expect(page.locator("#chapter-facts")).to_be_visible()
    expect(page.locator("#team-clock")).to_have_text("Start the talk")


def test_notes_of_any_script_are_written_down_and_names_pointed_out(page, shelf):
    opened(page)
    text = f"asked Smithers\n{SCRIPTS}"
    write(page, text)

    expect(page.locator("#team-names-facts")).to_contain_text("Smithers")
    assert kept(shelf) == text
    opened(page)
    expect(page.locator("#note-facts")).to_have_value(text)


def test_a_very_long_note_is_kept_whole(page, shelf):
    opened(page)
    text = "It went on and on. " * 1_500
    write(page, text)

    assert kept(shelf) == text


def test_what_is_written_while_the_program_is_gone_is_kept_and_sent_later(page, shelf):
    opened(page)
    page.route("**/talk?*", lambda route: route.abort())
    try:
        page.locator("#note-facts").fill("written offline")
        expect(page.locator("#team-status")).to_contain_text("stays in this browser")
        assert kept(shelf) == ""
    finally:
        page.unroute("**/talk?*")
    opened(page)

    expect(page.locator("#note-facts")).to_have_value("written offline")
    expect(page.locator("#team-status")).to_have_text("Written down.")
    assert kept(shelf) == "written offline"
    assert page.evaluate("Object.keys(localStorage).filter((name) => name.startsWith('debrief-talk'))") == []
    page.complaints.clear()


def test_what_a_tab_left_behind_is_sent_by_the_next_one(page, shelf):
    change = {
        "do": "note",
        "key": "left",
        "meeting": "hot",
        "section": "facts",
        "was": "",
        "text": "left behind",
    }
    left = json.dumps({"at": 0, "queue": [{"event": EVENT, "change": change}]})
    page.goto("/guide")
    page.evaluate("([name, text]) => localStorage.setItem(name, text)", [f"debrief-talk-{EVENT}-gone", left])
    opened(page)

    expect(page.locator("#note-facts")).to_have_value("left behind")
    assert kept(shelf) == "left behind"


def test_where_the_folder_cannot_be_written_nothing_on_the_screen_is_lost(page, shelf):
    opened(page)
    path = shelf.folder(EVENT) / TALK
    path.mkdir()
    try:
        page.locator("#note-facts").fill("not lost")
        expect(page.locator("#team-status")).to_contain_text("make the folder writable")
        page.get_by_role("button", name="Leave out: What made this possible?").click()
        expect(page.locator(".ask").first).not_to_have_text("What made this possible?")
        with page.expect_download() as saved:
            page.get_by_role("button", name="Save the talk as a file").click()
        held = json.loads(saved.value.path().read_text(encoding="utf-8"))
    finally:
        path.rmdir()
    page.get_by_role("button", name="Try again").click()
    expect(page.locator("#team-status")).to_have_text("Written down.")

    assert held["notes"]["facts"] == "not lost"
    assert kept(shelf) == "not lost"
    page.complaints.clear()


def test_two_browsers_at_once_lose_nothing(page, browser, address, shelf):
    opened(page)
    write(page, "We began.")
    other = browser.new_context(base_url=address).new_page()
    opened(other)
    expect(other.locator("#note-facts")).to_have_value("We began.")
    page.locator("#note-facts").fill("We began. One thing.")
    other.locator("#note-facts").fill("First of all: We began.")
    both = "First of all: We began. One thing."
    expect(page.locator("#note-facts")).to_have_value(both, timeout=15_000)
    expect(other.locator("#note-facts")).to_have_value(both, timeout=15_000)
    other.context.close()

    assert kept(shelf) == both


def test_equipment_becomes_an_action_and_its_outcome_is_kept(page, shelf):
    opened(page)
    page.locator(".talk-spine [data-chapter=change]").click()
    page.locator("#chapter-change").get_by_label("Equipment").check()
    page.locator(".talk-spine [data-chapter=actions]").click()
    page.get_by_role("button", name="Make it an action: Equipment").click()
    what = page.locator("ul.actions [data-field=what]")
    expect(what).to_be_focused()
    what.press_sequentially("check the suction")
    page.keyboard.press("Tab")
    page.locator("ul.actions [data-field=owner]").fill("charge nurse")
    page.keyboard.press("Tab")
    page.locator("ul.actions select").select_option("done")
    page.locator("ul.actions [data-field=outcome]").fill("new tubing")
    page.keyboard.press("Tab")
    expect(page.locator("#team-status")).to_have_text("Written down.")
    page.wait_for_timeout(300)
    [action] = read_talk(shelf.folder(EVENT)).actions.values()

    assert (action.what, action.owner) == ("Equipment: check the suction", "charge nurse")
    assert (action.status, action.outcome) == ("done", "new tubing")


def test_the_talk_days_later_shows_what_was_written_at_once_and_two_editions(page, shelf):
    opened(page)
    write(page, "what was said at once")
    page.get_by_role("link", name="Days later").click()
    page.wait_for_url("**/team?cold=1")
    expect(page.locator("#team-before")).to_contain_text("what was said at once")
    write(page, "what was said later")
    assert kept(shelf) == "what was said at once"
    assert kept(shelf, meeting="cold") == "what was said later"

    page.get_by_label("and beside it").select_option("ERC 2021")
    expect(page.locator("#figures .beside").first).to_contain_text("ERC 2021")
    page.locator("#figures button.sentence").first.click()
    expect(page.locator("#figures .evidence dl").first).to_be_visible()

    expect(page.locator("#hand-over")).to_have_attribute("href", f"/event/{EVENT}/handover.zip")
    page.get_by_label("With the source files").check()
    expect(page.locator("#hand-over")).to_have_attribute(
        "href", f"{page.url.split('/event')[0]}/event/{EVENT}/handover.zip?sources=yes"
    )


def test_the_timeline_follows_the_light(page):
    opened(page)
    colour = "getComputedStyle(document.querySelector('#team-timeline svg > text')).fill"
    light = page.evaluate(colour)
    page.get_by_role("button", name="Light or dim").click()

    assert page.evaluate(colour) != light
    page.get_by_role("button", name="Light or dim").click()


def test_what_if_works_here_too(page):
    opened(page)
    page.locator("#what-if").focus()
    page.keyboard.press("ArrowLeft")

    expect(page.locator(".what-if .said")).to_contain_text("at most 9")


def test_the_script_joins_notes_as_python_does(page):
    """Both keep what two people wrote at once; the browser shows what the file will hold."""
    opened(page)
    texts = ["", "a", "a b", "b a", "a b\nc", "c", "ab", "a b c", "x"]
    triples = [(was, mine, theirs) for was in texts for mine in texts for theirs in texts]
    joined = page.evaluate("(triples) => triples.map((one) => window.debrief.talk.merged(...one))", triples)

    assert joined == [merged(*one) for one in triples]
