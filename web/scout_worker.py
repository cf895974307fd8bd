"""The service worker of the scouts: keeps their pages for fields without signal.

It is served anew whenever a file it keeps has changed, and browsers then replace the old one.
"""

import hashlib
import json
from functools import cache
from pathlib import Path

from fastapi import APIRouter, Response

router = APIRouter()

_HERE = Path(__file__).parent
_STATIC = _HERE / "static"
_WORKER = _STATIC / "scout-worker.js"
#: What the pages of the scouts are made with. Those named with a version are asked for with it.
PLAIN = ("board.css", "mark.svg")
VERSIONED = (
    "scout.css",
    *("scout-queue.js", "scout-count.js", "scout.js", "scout-photo.js", "scout-form.js"),
)
SPRITE = "bolls.svg"


@cache
def version() -> str:
    """Changes with every file the pages of the scouts are made with."""
    digest = hashlib.sha256(_WORKER.read_bytes())
    for name in (*PLAIN, *VERSIONED, SPRITE):
        digest.update((_STATIC / name).read_bytes())
    for template in sorted((_HERE / "templates").glob("scout*.html")):
        digest.update(template.read_bytes())
    digest.update((_HERE / "templates" / "frame.html").read_bytes())
    return digest.hexdigest()[:12]


@router.get("/sw.js", include_in_schema=False)
def worker() -> Response:
    """The worker, with what it keeps."""
    kept = [f"/static/{name}" for name in PLAIN]
    kept += [f"/static/{name}?v={version()}" for name in (*VERSIONED, SPRITE)]
    told = f"const VERSION = {json.dumps(version())};\nconst SHELL_FILES = {json.dumps(kept)};\n"
    return Response(told + _WORKER.read_text("utf-8"), media_type="text/javascript")
