"""All pages: nobody meets a barrier, on a tablet nothing is cut off, events are listed, languages chosen."""

import shutil

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from debrief.resources import shipped

EVENT = "/event/vf_log_and_sheet"
PAGES = (
    "/",
    "/events",
    "/checks",
    EVENT,
    f"{EVENT}/understood",
    "/event/newborn_at_birth",
    "/guide",
    "/guide/longest_pause",
    "/guide/files",
    "/nowhere",
)


def shown(page, path):
    page.goto(path)
    page.wait_for_selector("footer .caution")
    page.wait_for_load_state("networkidle")


def barriers(page, **options):
    """What axe finds; of tables that go on alike it looks at the first rows."""
    alike = {"exclude": [["#marks tr:nth-child(n+8)"], ["#twin tr:nth-child(n+8)"]]}
    found = Axe().run(page, context=alike, **options).response["violations"]
    return [(one["id"], [node["target"] for node in one["nodes"]][:3]) for one in found]


@pytest.mark.parametrize("path", PAGES)
def test_no_barrier_is_found_in_either_light(page, address, path):
    page.context.add_cookies([{"name": "theme", "value": "light", "url": address}])
    shown(page, path)
    if path == EVENT:
        page.locator("button.sentence").nth(1).click()
        page.wait_for_selector(".evidence dl")
        page.locator("details.twin summary").click()
        page.keyboard.press(".")
    assert [] == barriers(page)

    page.get_by_role("button", name="Light or dim").click()
    assert page.evaluate("document.documentElement.dataset.theme") == "dim"
    assert [] == barriers(page, options={"runOnly": ["color-contrast"]})


@pytest.mark.parametrize("path", ["/", "/events", "/checks", EVENT, f"{EVENT}/understood"])
def test_on_a_tablet_nothing_is_cut_off_and_targets_are_large_enough(page, path):
    page.set_viewport_size({"width": 820, "height": 1180})
    shown(page, path)
    wide = page.evaluate("document.documentElement.scrollWidth")
    small = page.evaluate(
        """() => [...document.querySelectorAll("button, select, input, summary, nav a, li > a, td a, a.main")]
            .filter((one) => one.offsetParent && one.type !== "file")
            .map((one) => [one.innerText || one.tagName, one.getBoundingClientRect().height])
            .filter(([, height]) => height < 24)"""
    )
    timeline, figures = (
        (page.locator(name).bounding_box() for name in ("#timeline", "#figures"))
        if path == EVENT
        else (None, None)
    )
    page.set_viewport_size({"width": 1440, "height": 1000})

    assert wide <= 820
    assert [] == small
    if timeline:
        assert figures["y"] > timeline["y"] + timeline["height"]


@pytest.fixture
def kept(shelf, tmp_path):
    """Three events on the shelf, whatever else is there; the names they go by."""
    names = []
    for sample in ("child_by_weight", "newborn_at_birth", "extracorporeal"):
        folder = shutil.copytree(shipped("sample_events") / sample, tmp_path / f"z-{sample}")
        names += shelf.open(folder)
    yield names
    for name in names:
        shelf.remove(name)


def column(page, number):
    return page.locator(f"#events tbody tr:visible td:nth-child({number})").all_inner_texts()


def test_events_are_listed_sorted_filtered_and_walked_through(page, kept):
    shown(page, "/events")
    expect(page.locator("#events [data-waiting]")).to_have_count(0)
    names = page.locator("#events tbody th a").all_inner_texts()
    assert {"Hazel children's ward", "Willow birth centre", "Cedar heart unit"} <= set(names)
    fractions = page.get_by_role("link", name="hands on")
    fractions.click()
    expect(page.locator("#events thead th").nth(5)).to_have_attribute("aria-sort", "ascending")
    rising = [int(text.partition("\u202f")[0]) for text in column(page, 5) if "%" in text]
    assert rising == sorted(rising)
    assert "%" not in column(page, 5)[-1], "what is not known stands last"
    fractions.click()
    expect(page.locator("#events thead th").nth(5)).to_have_attribute("aria-sort", "descending")
    falling = [int(text.partition("\u202f")[0]) for text in column(page, 5) if "%" in text]
    assert falling == sorted(rising, reverse=True)
    assert "%" not in column(page, 5)[-1]

    page.get_by_role("searchbox", name="Find").fill("hazel child")
    expect(page.locator("#events-shown")).to_contain_text(f"1 to 1 of 1 that fit, of {len(names)} events")
    page.wait_for_url("**/events?*q=hazel+child*")
    page.reload()
    expect(page.get_by_role("searchbox", name="Find")).to_have_value("hazel child")

    page.get_by_role("link", name="Hazel children's ward").last.click()
    page.wait_for_url(f"**/event/{kept[0]}")
    page.get_by_role("link", name="Event after").click()
    page.wait_for_url(f"**/event/{kept[1]}")
    page.get_by_role("link", name="Event before").click()
    page.wait_for_url(f"**/event/{kept[0]}")


def test_another_language_can_be_chosen_and_is_kept(page):
    shown(page, "/events")
    page.get_by_label("Language").select_option("german")
    expect(page.get_by_role("heading", name="Alle Ereignisse")).to_be_visible()
    assert page.evaluate("document.documentElement.lang") == "de"
    shown(page, EVENT)
    expect(page.locator("#head")).to_contain_text("Nicht zu sehen:")
    expect(page.locator("#figures")).to_contain_text("Die längste Pause dauerte")
    page.get_by_label("Sprache").select_option("english")
    expect(page.locator("#head")).to_contain_text("Could not be seen:")
    page.context.clear_cookies()


def test_a_page_that_is_not_there_says_so(page):
    page.goto("/event/nothing")

    expect(page.get_by_role("heading", name="No such event here")).to_be_visible()
