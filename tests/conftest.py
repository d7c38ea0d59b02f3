"""What all tests share: expected files that ``pytest --update-golden`` writes anew."""

from pathlib import Path

import pytest
from hypothesis import settings

# Machines are noisy, so no deadlines: speed is for the benchmarks. A run repeats the same examples, so that a
# change is what turns it red; ``--hypothesis-profile explore`` looks for new ones.
settings.register_profile("shared", deadline=None, derandomize=True)
settings.register_profile("explore", deadline=None, max_examples=1000)
settings.load_profile("shared")


def pytest_addoption(parser):
    parser.addoption("--update-golden", action="store_true", help="write the expected files anew")


@pytest.fixture(scope="session", autouse=True)
def home(tmp_path_factory):
    """Keep whoever runs the tests out of them: their events, their log of clock checks."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("DEBRIEF_HOME", str(tmp_path_factory.mktemp("home")))
        yield


@pytest.fixture
def golden(request):
    """Compare a text with its expected file, or write that file where ``--update-golden`` is given."""

    def check(path: Path, text: str) -> None:
        if request.config.getoption("--update-golden"):
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        assert path.is_file(), f"{path.name} is missing; run pytest --update-golden, then read what it wrote"
        assert text == path.read_text(encoding="utf-8")

    return check
