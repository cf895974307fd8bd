"""A road table on this computer, in the form of OSRM's table service, with roads of its own."""

import json
import threading
from collections.abc import Callable
from http.server import BaseHTTPRequestHandler, HTTPServer
from typing import Any
from urllib.parse import parse_qs, urlsplit

#: Metres and seconds of the way from one (longitude, latitude) to another; None is no way.
Way = Callable[[tuple[float, float], tuple[float, float]], tuple[float, float] | None]


class RoadServer:
    """Answers tables of at most ``most`` places; keeps what it was asked."""

    def __init__(self, way: Way, most: int = 100) -> None:
        self.asked: list[list[tuple[float, float]]] = []
        #: Status and body that stand for the next answers, first in first out.
        self.instead: list[tuple[int, bytes]] = []
        self.off_road_m = 5.0
        outer = self

        class Answer(BaseHTTPRequestHandler):
            def do_GET(self) -> None:
                status, body = outer.answer(self.path, way, most)
                self.send_response(status)
                self.send_header("Content-Type", "application/json")
                self.send_header("Content-Length", str(len(body)))
                self.end_headers()
                self.wfile.write(body)

            def log_message(self, *_: Any) -> None:
                pass

        self.server = HTTPServer(("127.0.0.1", 0), Answer)
        self.address = f"http://127.0.0.1:{self.server.server_port}"
        threading.Thread(target=self.server.serve_forever, daemon=True).start()

    def answer(self, path: str, way: Way, most: int) -> tuple[int, bytes]:
        asked = urlsplit(path)
        assert asked.path.startswith("/table/v1/driving/")
        assert parse_qs(asked.query) == {"annotations": ["distance,duration"]}
        pairs = asked.path.rsplit("/", 1)[1].split(";")
        places = [(float(east), float(north)) for east, north in (one.split(",") for one in pairs)]
        self.asked.append(places)
        if self.instead:
            return self.instead.pop(0)
        if len(places) > most:
            told = {"code": "TooBig", "message": "Too many table coordinates"}
            return 400, json.dumps(told).encode()
        ways = [
            [(0.0, 0.0) if here == there else way(here, there) for there in places]
            for here in places
        ]
        points = [
            {"location": one, "distance": self.off_road_m, "name": "County Road"} for one in places
        ]
        told = {
            "code": "Ok",
            "distances": [[one and one[0] for one in row] for row in ways],
            "durations": [[one and one[1] for one in row] for row in ways],
            "sources": points,
            "destinations": points,
        }
        return 200, json.dumps(told).encode()

    def close(self) -> None:
        self.server.shutdown()
        self.server.server_close()
