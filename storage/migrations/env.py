"""How the migration tool runs our changes: on the connection, in the transaction it is given."""

from alembic import context

from storage.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    version_table=context.config.attributes["version_table"],
    render_as_batch=True,
)
context.run_migrations()
