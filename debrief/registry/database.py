"""Open the registry's database: an SQLite file of the user's, or a PostgreSQL server by its address.

A file that cannot be written can be read. One writer at a time on both: SQLite by ``BEGIN IMMEDIATE``,
PostgreSQL by a lock that goes with the transaction. A change is told to be kept once the disk has it.
"""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import sqlalchemy as sa
from sqlalchemy.exc import DatabaseError, InterfaceError, NoSuchModuleError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from debrief.errors import BadSetting, NotKept
from debrief.registry.drives import network_kind
from debrief.resources import REGISTRY_FILE, home
from debrief.words import say

HEAD = "0002"
"""The newest migration."""
WAIT_S = 30.0
"""How long a writer waits for another. [s]"""
_LOCK = 0x6465627269656620
"""The number by which writers on PostgreSQL wait for each other."""
REFUSALS = (DatabaseError, InterfaceError, PoolTimeout, sqlite3.Error)
_REASONS = {
    "SQLITE_BUSY": "locked",
    "SQLITE_LOCKED": "locked",
    "SQLITE_READONLY": "read_only",
    "SQLITE_CANTOPEN": "read_only",
    "SQLITE_PERM": "read_only",
    "SQLITE_FULL": "full",
    "SQLITE_NOTADB": "no_registry",
    "SQLITE_CORRUPT": "damaged",
    "53100": "full",
    "25006": "read_only",
    "55P03": "locked",
    "42501": "read_only",
}
"""What error codes of SQLite and PostgreSQL mean to a user."""


class Database:
    """An open registry database, brought up to date.

    Parameters
    ----------
    where
        A folder, or an address ``postgresql://...``; null: the user's data folder.
    create
        Make it where there is none.

    Raises
    ------
    BadSetting
        Where there is none, on a network drive, made by a newer version, or where the address cannot be.
    NotKept
        Where it cannot be opened: read-only, locked, damaged, out of reach.
    """

    def __init__(self, where: str | Path | None = None, *, create: bool = False) -> None:
        text = str(where or home())
        self.read_only = False
        self.file = None if "://" in text else Path(text) / REGISTRY_FILE
        if self.file is None:
            self.engine, self.shown = _server(text)
        else:
            self.shown = str(self.file)
            self.engine = self._local(self.file, create)
        self._inode: tuple[int, int] | None = None
        try:
            self._bring_up_to_date()
            self._inode = self._now()
        except BaseException:
            self.close()
            raise

    def close(self) -> None:
        """Let go of it."""
        self.engine.dispose()

    @contextmanager
    def reading(self) -> Iterator[sa.Connection]:
        """Give a connection that sees one state of the registry throughout."""
        self._still_here()
        with self._told(), self.engine.connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def writing(self) -> Iterator[sa.Connection]:
        """Give a connection that alone writes; all is kept once this ends, or nothing.

        Raises
        ------
        NotKept
            Where it cannot be kept, with the reason. Nothing of it is kept then.
        """
        self._still_here()
        if self.read_only:
            raise NotKept(say("registry.read_only", where=self.shown, reason=say("registry.no_right")))
        with self._told(), self.engine.connect() as connection:
            connection = connection.execution_options(alone=True)
            with connection.begin():
                if self.file is None:
                    connection.execute(sa.select(sa.func.pg_advisory_xact_lock(_LOCK)))
                yield connection
        self._still_here()

    def _local(self, path: Path, create: bool) -> sa.Engine:
        """Return an engine for a file; a new one is made in WAL."""
        if not path.is_file() and not create:
            raise BadSetting(say("registry.none_here", folder=path.parent))
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise NotKept(say("registry.read_only", where=path, reason=error.strerror)) from error
        if kind := network_kind(path.parent):
            raise BadSetting(say("registry.network_drive", folder=path.parent, kind=kind))
        # An address that makes no file: one that was removed meanwhile must not come back empty.
        mode = "rwc" if create else "rw"
        if path.is_file() and not (os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)):
            self.read_only, mode = True, "ro&immutable=1"  # no lock or log can be written beside it
        address = f"{path.resolve().as_uri()}?mode={mode}"

        def connect() -> sqlite3.Connection:
            made = sqlite3.connect(
                address, uri=True, timeout=WAIT_S, isolation_level=None, check_same_thread=False
            )
            settings = ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON")
            for line in () if self.read_only else settings:
                made.execute(f"PRAGMA {line}")
            return made

        engine = sa.create_engine("sqlite://", creator=connect, poolclass=sa.pool.QueuePool)

        @sa.event.listens_for(engine, "begin")
        def begin(connection: sa.Connection) -> None:
            alone = connection.get_execution_options().get("alone")
            connection.exec_driver_sql("BEGIN IMMEDIATE" if alone else "BEGIN")

        return engine

    def _bring_up_to_date(self) -> None:
        """Make the tables, or bring them to the newest form; those of a newer version are refused."""
        with self.reading() as connection:
            found = _version(connection)
        if found is None or found < HEAD:
            with self.writing() as connection:
                _migrate(connection)
        elif found > HEAD:
            raise BadSetting(say("registry.newer", where=self.shown, found=found, known=HEAD))

    def _now(self) -> tuple[int, int] | None:
        """Return by what the file is known; null where there is none."""
        with suppress(OSError):
            if self.file:
                about = self.file.stat()
                return about.st_dev, about.st_ino
        return None

    def _still_here(self) -> None:
        """Refuse where the file is gone or another took its place: what is written would be lost."""
        if self._inode and self._now() != self._inode:
            raise NotKept(say("registry.gone", where=self.shown))

    @contextmanager
    def _told(self) -> Iterator[None]:
        """Turn what the database refuses into an error that a user can mend."""
        try:
            yield
        except REFUSALS as error:
            raise self._error(error) from error

    def _error(self, error: Exception) -> NotKept:
        original = getattr(error, "orig", None) or error
        code = str(getattr(original, "sqlite_errorname", None) or getattr(original, "sqlstate", None) or "")
        key = next((key for start, key in _REASONS.items() if code.startswith(start)), "not_kept")
        return NotKept(say(f"registry.{key}", where=self.shown, reason=str(original).strip()))


def _server(address: str) -> tuple[sa.Engine, str]:
    """Return an engine for a server, and its address without a password."""
    try:
        url = sa.make_url(address)
        if url.get_backend_name() != "postgresql":
            raise BadSetting(say("registry.bad_address", read=url.render_as_string(hide_password=True)))
        url = url.set(drivername="postgresql+psycopg")
        return sa.create_engine(url, pool_pre_ping=True), url.render_as_string(hide_password=True)
    except ImportError as error:
        raise BadSetting(say("registry.no_driver")) from error
    except (sa.exc.ArgumentError, NoSuchModuleError) as error:
        raise BadSetting(say("registry.bad_address", read=address.partition("@")[2] or address)) from error


def _version(connection: sa.Connection) -> str | None:
    """Return the newest migration that the tables went through, null where there are none."""
    if not sa.inspect(connection).has_table("alembic_version"):
        return None
    return connection.execute(sa.text("select version_num from alembic_version")).scalar()


def _migrate(connection: sa.Connection) -> None:
    """Bring tables to their newest form, within the transaction."""
    from alembic import command  # noqa: PLC0415 - takes long to import, and is seldom needed
    from alembic.config import Config  # noqa: PLC0415

    config = Config(attributes={"connection": connection})
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    command.upgrade(config, "head")
