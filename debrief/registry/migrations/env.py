"""Run migrations on the connection that the registry gives, within its transaction."""

from alembic import context

context.configure(connection=context.config.attributes["connection"])
context.run_migrations()
