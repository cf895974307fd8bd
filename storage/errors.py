"""The error of this room, and its one kind that is told apart."""


class StorageError(Exception):
    """What could not be read or kept, in one line.

    ``busy`` is True where trying again may help: another program holds the database.
    """

    def __init__(self, message: str, *, busy: bool = False) -> None:
        super().__init__(" ".join(message.split()))
        self.busy = busy


class DamagedFileError(StorageError):
    """The embedded database's file is a database, and pages of it are damaged."""
