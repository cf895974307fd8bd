"""Several messages of a channel under way at once."""

import threading
from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor

from notify.ledger import DueMessage


def in_lanes(
    one: Callable[[DueMessage], None], rows: Iterable[DueMessage], lanes: Mapping[str, int]
) -> None:
    """Give every row to ``one``, each channel's rows in order, in as many threads as it has."""
    if all(count <= 1 for count in lanes.values()):
        for row in rows:
            one(row)
        return
    by_channel: dict[str, list[DueMessage]] = {}
    for row in rows:
        by_channel.setdefault(row.channel, []).append(row)
    queues = {name: _Shared(of_channel) for name, of_channel in by_channel.items()}
    work = [queue for name, queue in queues.items() for _ in range(max(1, lanes.get(name, 1)))]

    def walk(queue: _Shared) -> None:
        for row in queue:
            one(row)

    if not work:
        return
    with ThreadPoolExecutor(max_workers=len(work), thread_name_prefix="lane") as pool:
        for done in [pool.submit(walk, queue) for queue in work]:
            done.result()


class _Shared:
    """Rows that several threads take from, each row once."""

    def __init__(self, rows: Iterable[DueMessage]) -> None:
        self._rows, self._lock = iter(rows), threading.Lock()

    def __iter__(self) -> Iterator[DueMessage]:
        while True:
            with self._lock:
                row = next(self._rows, None)
            if row is None:
                return
            yield row
