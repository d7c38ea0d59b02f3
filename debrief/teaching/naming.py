"""New names of sources and marks: by kind and number, and by plain counting."""

from collections import Counter
from collections.abc import Iterable, Iterator

from debrief.model.contract import Report
from debrief.words import say

_KINDS = ("device", "person", "sensor")


def with_apart(report: Report) -> Iterator[Report]:
    """Yield a report and those that stand apart from it."""
    yield report
    for each in report["apart"]:
        yield from with_apart(each)


class Names:
    """What sources and marks are called in the copy. Nothing of an old name is in a new one."""

    def __init__(self, report: Report) -> None:
        self._sources: dict[str, str] = {}
        self._marks: dict[str, str] = {}
        self._numbers: Counter[str] = Counter()
        for each in with_apart(report):
            for source in each["sources"]:
                self._add_source(source["source_id"], source["kind"])
        for each in with_apart(report):
            for occurrence in each["occurrences"]:
                for name in occurrence["marks"]:
                    self._add_mark(name)

    def _add_source(self, source_id: str, kind: str) -> None:
        if source_id not in self._sources:
            kind = kind if kind in _KINDS else "person"
            self._numbers[kind] += 1
            self._sources[source_id] = say(f"teaching.source_{kind}", number=self._numbers[kind])

    def _add_mark(self, name: str) -> None:
        if name not in self._marks:
            source_id = name.partition(":")[0]
            self._add_source(source_id, "")
            source = self._sources[source_id]
            self._numbers[source] += 1
            self._marks[name] = f"{source}:{self._numbers[source]}"

    def source(self, source_id: str | None) -> str | None:
        """Return the new name of a source; null where there is none."""
        return self._sources.get(source_id or "")

    def mark(self, name: str) -> str | None:
        """Return the new name of a mark or of a run of them; null where the event has no such mark."""
        if name in self._marks:
            return self._marks[name]
        source_id, colon, places = name.partition(":")
        for at, letter in enumerate(places):
            if letter != "-":
                continue
            first = self._marks.get(f"{source_id}:{places[:at]}")
            last = self._marks.get(f"{source_id}{colon}{places[at + 1 :]}")
            if first and last:
                return f"{first}-{last.partition(':')[2]}"
        return None

    def is_run(self, name: str) -> bool:
        """Return whether a name stands for a run of marks."""
        return name not in self._marks and self.mark(name) is not None

    def marks(self, names: Iterable[str]) -> list[str]:
        """Return the new names of marks, those left out that the event does not have."""
        return [new for name in names if (new := self.mark(name))]
