"""A case in the browser, from a file, with the network cut: played, hidden ahead, stopped, asked, printed."""

from itertools import pairwise

import pytest
from playwright.sync_api import expect

from debrief.assess import Asked
from debrief.importers import Settings
from debrief.reports.case import case_file
from debrief.reports.cases import copy_of
from debrief.resources import shipped
from debrief.teaching.case import Case
from debrief.teaching.questions import Question, suggested
from tests.browser.test_pages import barriers


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    copy, _ = copy_of([shipped("sample_events") / "vf_log_and_sheet"], Settings(), Asked(draws=0))
    asks = (
        *suggested(copy.report),
        Question(1000.0, "What now?", (), "Nothing.", "Wait."),
        Question(1000.0, "And who?"),
    )
    case = Case(copy.report, "A long search", ("Keep hands on",), asks, True)
    path = tmp_path_factory.mktemp("cases") / "case.html"
    path.write_bytes(case_file(case))
    return case, path


@pytest.fixture
def opened(browser, made):
    """A window in which the case is open; a test fails where anything but the file is asked for."""
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    asked, complaints = [], []
    context.route(
        "**/*",
        lambda route: route.abort() if not route.request.url.startswith("file:") else route.continue_(),
    )
    context.on(
        "request", lambda one: asked.append(one.url) if not one.url.startswith(("file:", "data:")) else None
    )
    context.on("console", lambda line: complaints.append(line.text) if line.type == "error" else None)
    page = context.new_page()
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.clock.install()
    page.goto(made[1].as_uri())
    page.wait_for_selector("html[data-ready]")
    yield page
    context.close()
    assert [] == asked
    assert [] == complaints


def seek(page, at):
    page.locator("#seek").evaluate(
        "(one, at) => { one.value = at; one.dispatchEvent(new Event('input')); }", at
    )


def seconds(page):
    minutes, _, rest = page.locator("#clock").inner_text().rpartition(":")
    return int(minutes) * 60 + int(rest)


def test_the_future_is_hidden_wherever_one_looks(opened, made):
    for at in (0, 90, 142, 143, 400, 409, 700, 1100, 142):
        seek(opened, at)
        shown = opened.locator("svg [data-id]:not(.future)").evaluate_all(
            "all => all.map(one => +one.dataset.id)"
        )
        hidden = opened.locator("svg .future").evaluate_all("all => all.map(one => +one.dataset.id)")
        edge, head = opened.evaluate(
            "['.cover', '.head'].map(one => document.querySelector('.now ' + one).getBoundingClientRect().x)"
        )

        assert max(shown, default=0) <= at < min(hidden, default=at + 1)
        assert edge == pytest.approx(head, abs=0.5)
        told = opened.locator("#told").inner_text()
        assert ("shock" in told) == (at >= 142)
    assert opened.locator(".future").first.is_hidden()


def test_the_clock_of_the_replay_is_exact_over_a_minute(opened):
    opened.clock.pause_at(opened.evaluate("Date.now()") / 1000 + 5)  # else it runs on between two calls
    seek(opened, 200)
    for _ in range(3):
        opened.keyboard.press("-")  # from 10 times to 1
    opened.keyboard.press(" ")
    opened.clock.run_for(60_000)
    opened.keyboard.press(" ")

    assert seconds(opened) == 260
    assert float(opened.locator("#seek").input_value()) == pytest.approx(260, abs=0.001)


def test_it_stops_at_a_question_takes_an_answer_and_shows_what_happened(opened, made):
    first = made[0].questions[0]
    opened.keyboard.press(" ")
    opened.clock.run_for(30_000)

    expect(opened.locator("#prompt")).to_have_text(first.prompt)
    assert float(opened.locator("#seek").input_value()) == pytest.approx(first.at, abs=0.01)
    expect(opened.locator("#revealed")).to_be_hidden()
    opened.keyboard.press("2")
    expect(opened.get_by_role("button", name=first.choices[1])).to_have_attribute("aria-pressed", "true")
    opened.keyboard.press("r")
    expect(opened.locator("#said")).to_have_text(first.choices[1])
    expect(opened.locator("#happened")).to_have_text(first.reveal)
    assert [] == barriers(opened)
    opened.keyboard.press("d")
    assert [] == barriers(opened, options={"runOnly": ["color-contrast"]})
    opened.keyboard.press(" ")
    opened.clock.run_for(1000)
    expect(opened.locator("#question")).to_be_hidden()


def test_two_questions_at_one_moment_are_asked_one_after_the_other(opened):
    seek(opened, 999)
    for prompt in ("What now?", "And who?"):
        opened.keyboard.press("n")
        expect(opened.locator("#prompt")).to_have_text(prompt)
    opened.keyboard.press(" ")
    expect(opened.locator("#question")).to_be_hidden()


def test_the_keyboard_walks_forward_and_back_from_end_to_end(opened):
    opened.keyboard.press("Home")
    walked = []
    for _ in range(8):
        opened.keyboard.press("n")
        walked.append(float(opened.locator("#seek").input_value()))
    assert all(before < after for before, after in pairwise(walked))
    opened.keyboard.press("p")
    assert float(opened.locator("#seek").input_value()) < walked[-1]
    opened.keyboard.press("End")
    assert not opened.locator(".now .future").count()
    opened.locator("#play").focus()
    for name in ("previous", "back", "forward", "next"):
        opened.keyboard.press("Tab")
        assert opened.evaluate("document.activeElement.id") == name


def test_no_barrier_is_found_before_anything_is_asked(opened):
    seek(opened, 500)
    assert [] == barriers(opened)


def test_the_presenter_sees_notes_and_steers_the_class_s_window(opened, made):
    with opened.context.expect_page() as waiting:
        opened.get_by_role("button", name="Presenter's window").click()
    second = waiting.value
    second.wait_for_selector("html[data-ready]")
    expect(second.locator("#stops-list")).to_contain_text(made[0].questions[0].note)
    expect(opened.locator("#stops")).to_be_hidden()
    second.locator("#stops-list button").nth(1).click()
    expect(opened.locator("#prompt")).to_have_text(made[0].questions[1].prompt)
    opened.keyboard.press("r")
    expect(second.locator("#happened")).to_have_text(made[0].questions[1].reveal)


def test_on_paper_answers_stand_after_the_questions_on_another_page(opened, made):
    opened.emulate_media(media="print")
    question = made[0].questions[0]
    expect(opened.locator("#asked-list")).to_contain_text(question.prompt)
    assert question.reveal not in opened.locator("#asked-list").inner_text()
    expect(opened.locator("#answered-list")).to_contain_text(question.reveal)
    assert opened.locator("main").evaluate("(one) => getComputedStyle(one).breakBefore") == "page"
    assert not opened.locator("svg .future").evaluate_all(
        "all => all.filter(one => getComputedStyle(one).visibility === 'hidden').length"
    )


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [("A long search", "A short search", "was changed"), ('{"format":1', '{"format":2', "newer version")],
)
def test_a_changed_or_newer_file_says_so(browser, made, tmp_path, old, new, said):
    path = tmp_path / "other.html"
    path.write_text(made[1].read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
    page = browser.new_page()
    page.goto(path.as_uri())
    expect(page.locator("#warned")).to_contain_text(said)
    page.close()


def test_a_file_whose_script_was_changed_does_nothing_and_says_so(browser, made, tmp_path):
    path = tmp_path / "other.html"
    path.write_text(
        made[1].read_text(encoding="utf-8").replace('"use strict"', '"use strict" '), encoding="utf-8"
    )
    page = browser.new_page()
    page.goto(path.as_uri())
    expect(page.locator("#stopped")).to_be_visible()
    page.close()
