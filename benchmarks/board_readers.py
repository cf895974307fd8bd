"""People at a board, over real connections: how long each waits for what they ask."""

import http.client
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from urllib.parse import urlsplit

#: What somebody asks next: method, path, body and headers.
Asked = tuple[str, str, bytes | None, dict[str, str]]


@dataclass(frozen=True)
class Answers:
    """Seconds to the first byte of each answer, largest answer [bytes], and what went wrong."""

    waited_s: tuple[float, ...]
    most_bytes: int
    faults: tuple[str, ...]

    def share_s(self, percent: int) -> float:
        """The wait that so many in a hundred do not pass [s], by the nearest rank."""
        ordered = sorted(self.waited_s)
        return ordered[max(0, -(-len(ordered) * percent // 100) - 1)]


def all_at_once(
    address: str, people: Sequence[Callable[[int], Asked]], each: int, pause_s: float
) -> Answers:
    """Everybody asks ``each`` times, resting ``pause_s`` in between, all of them at once."""
    host, begin = urlsplit(address).netloc, threading.Barrier(len(people))
    waited: list[float] = []
    sizes, faults = [0], []

    def person(number: int) -> None:
        line = http.client.HTTPConnection(host, timeout=300)
        begin.wait()
        time.sleep(pause_s * number / len(people))
        for turn in range(each):
            method, path, body, headers = people[number](turn)
            began = time.perf_counter()
            line.request(method, path, body, headers)
            answer = line.getresponse()
            waited.append(time.perf_counter() - began)
            sizes.append(len(answer.read()))
            if answer.status != 200:
                faults.append(f"{method} {path}: {answer.status}")
            time.sleep(pause_s)
        line.close()

    threads = [threading.Thread(target=person, args=(number,)) for number in range(len(people))]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    return Answers(tuple(waited), max(sizes), tuple(faults))
