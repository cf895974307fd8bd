"""What transactions are in every database we know: how long they wait, and which will write."""

#: How long a writer waits for another one [s].
BUSY_TIMEOUT_S = 10.0

#: Execution option that marks a transaction as one that will write.
WRITES = {"warmspell_writes": True}
