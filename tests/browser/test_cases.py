"""From an event to a case in class: made, approved, replayed beside another, without a barrier."""

from playwright.sync_api import expect

from tests.browser.test_pages import barriers, shown

EVENTS = (("vf_log_and_sheet", "A long search"), ("rosc_and_rearrest", "It came back"))


def test_a_case_is_made_of_an_event_approved_and_replayed_beside_another(page):
    for event, title in EVENTS:
        shown(page, f"/event/{event}/case")
        form = page.locator("form.making")
        form.get_by_label("Name in the list").fill(title.lower())
        form.get_by_label("Title").fill(title)
        form.get_by_label("Lessons").fill("pauses")
        form.locator("summary").first.click()
        form.get_by_role("button", name="Keep the case").click()
        expect(page.locator("#case-status")).to_contain_text("a draft until it is approved")
    assert [] == barriers(page)

    shown(page, "/cases?rhythm=vf")
    item = page.locator("ul.cases > li", has_text=EVENTS[0][1])
    item.get_by_label("Approved by role").select_option("educator")
    item.get_by_role("button", name="Approve").click()
    expect(item).to_contain_text("Approved. resuscitation educator")
    expect(item.get_by_role("link", name="For another site")).to_be_visible()
    assert [] == barriers(page)
    page.locator("#light").click()
    assert [] == barriers(page, options={"runOnly": ["color-contrast"]})

    page.get_by_role("button", name="Open both").click()
    for number, frame in enumerate(page.locator("iframe").all()):
        inside = frame.content_frame
        expect(inside.locator("#title")).to_have_text(sorted(title for _, title in EVENTS)[number])
        inside.get_by_role("button", name="Play").click()
        expect(inside.locator("#clock")).not_to_have_text("-0:07")
