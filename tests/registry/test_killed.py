"""Programs that are killed, and programs that write at once: what was said to be kept is there."""

import os
import random
import signal
import subprocess
import sys
import time

import pytest

from debrief.importers import corrections
from debrief.importers.folder import TALK
from debrief.registry import listing
from debrief.registry.store import Registry
from tests.registry.made import add, sheets

WRITER = """
import random, sys
from debrief.importers import corrections
from debrief.registry.store import Registry
kept = Registry(sys.argv[1])
dice = random.Random(int(sys.argv[2]))
print("begun", flush=True)
for number in range(200):
    way = dice.randrange(5)
    if way == 0:
        with kept.changing("e0000", role="writer") as folder:
            key = f"{sys.argv[2]}-{number}"
            corrections.append(folder, corrections.Correction("drop", "s1:3", key=key))
        print("corrected", key, flush=True)
    elif way == 1:
        kept.name("case", f"{sys.argv[2]}-{number}", {"number": number})
        print("named", f"{sys.argv[2]}-{number}", flush=True)
    elif way == 2:
        kept.review("e0000", "reviewed", why=f"{sys.argv[2]}-{number}")
        print("reviewed", f"{sys.argv[2]}-{number}", flush=True)
    elif way == 3:
        line = f'"{sys.argv[2]}-{number}"'
        kept.append("e0000", "talk.jsonl", [line.encode()])
        print("line", line, flush=True)
    else:
        kept.enter("e0000", "outcome", f"{sys.argv[2]}-{number}", role="writer")
        print("entered", f"{sys.argv[2]}-{number}", flush=True)
"""


WAYS = ("line", "entered", "corrected", "named", "reviewed")


def writer(where, seed):
    """Begin a program that writes 200 times, and says so after each."""
    command = [sys.executable, "-c", WRITER, where, str(seed)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True)


def told(lines):
    """Return the lines and the entries that a writer said were kept."""
    pairs = [line.strip().partition(" ") for line in lines]
    return {about: {text for said, _, text in pairs if said == about} for about in WAYS}


def check(registry, said):
    """Check that everything that was said is in the registry."""
    lines = {line.decode() for line in registry.contents("e0000").lines[TALK]}
    done = registry.history("e0000")
    entered = {row["detail"]["to"] for row in done if row["action"] == "enter"}
    reviewed = {row["why"] for row in done if row["action"] == "review"}
    corrected = {one.key for one in corrections.read(registry.folder("e0000"))}
    assert said["corrected"] <= corrected
    assert said["named"] <= registry.named("case").keys()
    assert said["line"] <= lines
    assert said["entered"] <= entered
    assert said["reviewed"] <= reviewed


@pytest.mark.skipif(os.name == "nt", reason="no kill -9 there")
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_what_a_killed_writer_said_is_kept_is_there(registry, where, tmp_path, seed):
    add(registry, *sheets(tmp_path / "in", 1))
    begun = writer(where, seed)
    assert begun.stdout.readline() == "begun\n"
    upto = random.Random(seed).randrange(5, 60)
    lines = [begun.stdout.readline() for _ in range(upto)]
    time.sleep(random.Random(seed).random() / 50)
    begun.send_signal(signal.SIGKILL)
    lines += begun.communicate()[0].splitlines()

    assert begun.returncode == -signal.SIGKILL
    assert len(lines) < 200
    registry.close()
    with Registry(where) as again:
        check(again, told(lines))
        again.append("e0000", TALK, [b"it goes on"])


def test_two_programs_that_write_at_once_lose_nothing(registry, where, tmp_path):
    add(registry, *sheets(tmp_path / "in", 1))
    begun = [writer(where, seed) for seed in (1, 2)]
    said = [told(each.communicate()[0].splitlines()) for each in begun]

    assert [each.returncode for each in begun] == [0, 0]
    assert sum(len(texts) for each in said for texts in each.values()) == 400
    for each in said:
        check(registry, each)


def adding(where, folder):
    """Begin ``debrief add``."""
    command = [sys.executable, "-m", "debrief", "add", "--registry", where, str(folder)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


@pytest.mark.skipif(os.name == "nt", reason="no kill -9 there")
def test_every_event_that_a_killed_add_told_of_is_there_and_the_rest_can_be_added(registry, where, tmp_path):
    sheets(tmp_path / "in", 150)
    begun = adding(where, tmp_path / "in")
    lines = [begun.stdout.readline()]
    begun.send_signal(signal.SIGKILL)
    lines += begun.communicate()[0].splitlines()
    added = {line.partition(":")[0] for line in lines if ": added" in line}

    assert begun.returncode == -signal.SIGKILL
    assert 0 < len(added) < 150
    assert added <= {row["event_id"] for row in listing.events(registry)}
    assert {one.did for one in add(registry, tmp_path / "in")} <= {"added", "known"}
    assert len(listing.events(registry)) == 150


def test_two_programs_that_add_the_same_add_it_once(registry, where, tmp_path):
    sheets(tmp_path / "in", 20)
    begun = [adding(where, tmp_path / "in") for _ in range(2)]
    out = [each.communicate()[0] for each in begun]

    assert [each.returncode for each in begun] == [0, 0]
    assert len(listing.events(registry)) == 20
    assert sum(text.count(": added") for text in out) == 20
    assert sum(text.count("kept already;") for text in out) == 20
