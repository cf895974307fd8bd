"""A call to whoever watches over the worker from outside: silence tells them that it is gone."""

import threading
from urllib.parse import urlsplit

#: Longest the call may hold anything up [s], however slowly the other side answers.
LONGEST_S = 5.0


def ping(url: str, longest_s: float = LONGEST_S) -> str:
    """Call an address once; what went wrong, or "". Never raises and never takes longer.

    The address is a secret and is not in what is told.
    """
    told = [f"no answer within {longest_s:g} s"]
    thread = threading.Thread(target=_call, args=(url, longest_s, told), daemon=True)
    thread.start()
    thread.join(longest_s)
    return told[-1]


def _call(url: str, longest_s: float, told: list[str]) -> None:
    # Imported here because most commands call nobody.
    try:
        import requests

        if urlsplit(url).scheme not in ("http", "https"):
            told.append("the address is none of the web")
            return
        answer = requests.get(url, timeout=longest_s, allow_redirects=False, stream=True)
        answer.close()
    # Its words may hold the address.
    except Exception as error:
        told.append(type(error).__name__)
        return
    told.append("" if 200 <= answer.status_code < 300 else f"answered {answer.status_code}")
