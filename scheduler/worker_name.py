"""A name for one run of one program, never used twice."""

import os
import socket
from uuid import uuid4


def worker_name() -> str:
    """Machine, process and a random part: who holds a message that is being sent."""
    return f"{socket.gethostname()}:{os.getpid()}:{uuid4().hex[:12]}"
