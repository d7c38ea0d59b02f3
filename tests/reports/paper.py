"""Reading a sheet back as others do: poppler's programs, which see pages, text and typefaces of a PDF."""

import os
import re
import shutil
import subprocess
from copy import deepcopy
from functools import cache

import pytest

from debrief.assess import assess
from debrief.resources import shipped

poppler = pytest.mark.skipif(
    shutil.which("pdftotext") is None and not os.environ.get("CI"),
    reason="poppler's pdftotext is not here (Debian: apt install poppler-utils)",
)
SAMPLES = sorted(path.name for path in shipped("sample_events").iterdir() if path.name[0] != ".")


def report_of(path, **asked):
    return assess([path], **asked).to_dict()


@cache
def _sample(name):
    return report_of(shipped("sample_events") / name)


def sample(name):
    """The report of a sample event, to be changed at will."""
    return deepcopy(_sample(name))


def run(program, pdf, *arguments):
    done = subprocess.run(
        [program, *arguments, "-", "-"] if program == "pdftotext" else [program, *arguments, "-"],
        input=pdf,
        capture_output=True,
        check=True,
    )
    return done.stdout.decode()


def about(pdf):
    """What pdfinfo says: ``Pages``, ``Page size``, ``Title``, ``Tagged``."""
    lines = run("pdfinfo", pdf).splitlines()
    return {key.strip(): value.strip() for key, _, value in (line.partition(":") for line in lines)}


def text_of(pdf):
    """The text in the order in which it is read out, with single spaces."""
    return flat(run("pdftotext", pdf, "-raw"))


def flat(text):
    """A text with every kind of space, and every break of a line, as one space."""
    return re.sub(r"\s+", " ", text)
