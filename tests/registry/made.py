"""Short ways to add and read events in tests."""

from debrief.assess import Asked
from debrief.importers import Settings
from debrief.registry.adding import add_events, how_for
from debrief.registry.incoming import found_in

SHEET = "time,mark,detail,amount,unit\n14:00,recognition,,,\n14:02,drug,epinephrine,1,mg\n14:09,rosc,,,\n"


def add(registry, *paths, times=None):
    """Add what lies at paths, without draws, and return what became of it."""
    found = [event for path in paths for event in found_in(path, Settings())]
    how = how_for(registry, Asked(draws=0), Settings())
    return list(add_events(registry, found, how, times=times, role="tester"))


def sheets(folder, count, start=0):
    """Write event folders of three marks each, and return them."""
    made = []
    for number in range(start, start + count):
        one = folder / f"e{number:04}"
        one.mkdir(parents=True)
        (one / "event.json").write_text('{"unit": "Hazel ward"}', encoding="utf-8")
        (one / "sheet.csv").write_text(
            SHEET + f"14:1{number % 10},note,number {number},,\n", encoding="utf-8"
        )
        made.append(one)
    return made
