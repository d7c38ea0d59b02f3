"""The tables of the registry, in SQL that SQLite and PostgreSQL both speak.

Made and changed by the migrations alone (``migrations/versions``); a test holds that they give these tables.
Times of the registry's own are ISO 8601 in UTC, as text; JSON is text as well.
"""

from sqlalchemy import (
    BigInteger,
    Boolean,
    Column,
    Double,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    Table,
    Text,
)

metadata = MetaData()

file = Table(
    "file",
    metadata,
    Column("sha256", Text, primary_key=True),
    Column("size", BigInteger, nullable=False),
    Column("content", LargeBinary, nullable=False),
)
"""Source files byte for byte, each once."""

event = Table(
    "event",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", Text, nullable=False, unique=True),
    Column("identity", Text, nullable=False, unique=True),
    Column("settings", Text, nullable=False),
    Column("digest", Text, nullable=False),
    Column("date", Text),
    Column("unit", Text),
    Column("population", Text),
    Column("setting", Text),
    Column("added_at", Text, nullable=False),
    Column("removed_at", Text),
    Column("review", Text),
    Column("review_why", Text),
    Index("event_by_date", "date"),
)
"""Events. ``name`` is what users call the event id; ``identity`` the digest of its sources, by which it is
known again; ``settings`` its event.json as it stands; ``digest`` that of all that it is measured from.
``date`` to ``setting`` repeat what the settings say, for lists; ``review``: what a reviewer said of the whole
event last (`reviewing.REVIEWS`), null for nothing."""

source = Table(
    "source",
    metadata,
    Column("event", Integer, ForeignKey("event.id"), primary_key=True),
    Column("position", Integer, primary_key=True),
    Column("file", Text, nullable=False),
    Column("sha256", Text, ForeignKey("file.sha256"), nullable=False),
    Column("only", Text),
    Column("read", Boolean, nullable=False),
    Index("source_by_sha256", "sha256"),
)
"""Which files an event has, under which names. ``only``: which event of a file that holds several; ``read``:
whether it tells what happened, unlike a picture of a sheet."""

entry = Table(
    "entry",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("event", Integer, ForeignKey("event.id"), nullable=False),
    Column("stream", Text, nullable=False),
    Column("content", LargeBinary, nullable=False),
    Column("at", Text, nullable=False),
    Column("role", Text, nullable=False),
    Index("entry_by_event", "event", "stream", "id"),
)
"""Lines that are only ever added: of corrections.jsonl, added.csv and talk.jsonl, without their line ends."""

mapping = Table(
    "mapping",
    metadata,
    Column("layout", Text, primary_key=True),
    Column("content", Text, nullable=False),
    Column("at", Text, nullable=False),
)
"""What was answered about a layout of file, in the form in which ``importers.mapping`` keeps it."""

measurement = Table(
    "measurement",
    metadata,
    Column("event", Integer, ForeignKey("event.id"), primary_key=True),
    Column("digest", Text, nullable=False),
    Column("definitions", Integer, nullable=False),
    Column("parameters", Text, nullable=False),
    Column("at", Text, nullable=False),
    Column("status", Text, nullable=False),
    Column("marks", Integer, nullable=False),
    Column("to_check", Integer, nullable=False),
    Column("problems", Text, nullable=False),
    Column("facts", Text, nullable=False, server_default="{}"),
)
"""What was measured of an event last, and from what; it stands as long as these are what they were.
``facts``: what cohorts choose events by (`Assessment.particulars`), JSON."""

figure = Table(
    "figure",
    metadata,
    Column("event", Integer, ForeignKey("event.id"), primary_key=True),
    Column("name", Text, primary_key=True),
    Column("value", Double),
    Column("unit", Text, nullable=False),
    Column("low", Double),
    Column("high", Double),
    Column("certainty", Text, nullable=False),
    Column("verdict", Text, nullable=False),
    Column("because", Text),
    Column("target", Text),
    Index("figure_by_name", "name"),
)
"""The figures of that measurement. A figure that is true or false is 1 or 0, its unit empty. ``target``: the
id of the target that the verdict is by."""

named = Table(
    "named",
    metadata,
    Column("kind", Text, primary_key=True),
    Column("name", Text, primary_key=True),
    Column("content", Text, nullable=False),
    Column("at", Text, nullable=False),
    Column("role", Text, nullable=False),
)
"""What a site names and keeps beside events, JSON each: cohorts, admissions, annotations, teaching cases."""

audit = Table(
    "audit",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("at", Text, nullable=False),
    Column("role", Text, nullable=False),
    Column("action", Text, nullable=False),
    Column("event", Integer, ForeignKey("event.id")),
    Column("detail", Text, nullable=False),
    Column("why", Text, nullable=False),
    Index("audit_by_event", "event"),
)
"""What was done, by which role, when and why; only ever added."""
