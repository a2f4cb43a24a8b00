# SPDX-License-Identifier: GPL-3.0-or-later
"""A small service that answers dips from the cards of a folder, over HTTP, by the standard library alone.

    mkdir -p cards
    oxtint fit trials.csv --steel "Alder 1" --finish satin --save cards/alder.json
    python service.py cards 8080
    curl 'http://127.0.0.1:8080/dip?card=alder&target=blue&bath=600+F&part=6+mm'

An answer is the dip as JSON (docs/reference/json.md); what was wrong is {"error": {...}} with 400, or 404 where there is no such
card. Cards are read once and never change, so that any number of threads may ask the same one. It listens on this
machine alone: put a server that knows users and limits before it.
"""
from __future__ import annotations

import json
import pathlib
import sys
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import parse_qs, urlsplit

import oxtint

MAY_BE_TOLD = {"part", "lift", "coupon", "coupon_lift", "initial", "time_wander_s", "bath_wander_K"}


class NotFound(Exception):
    """There is nothing of this name."""


def answer_dip(cards: dict[str, oxtint.Steel], asked: dict[str, str]) -> str:
    """The dip that was asked for, as JSON."""
    told = dict(asked)
    try:
        card, target, bath = told.pop("card"), told.pop("target"), told.pop("bath")
    except KeyError as error:
        raise ValueError(f"{error.args[0]} is missing, expected card, target and bath") from None
    if card not in cards:
        raise NotFound(f"there is no card {card!r}, expected one of {', '.join(sorted(cards))}")
    if unknown := set(told) - MAY_BE_TOLD:
        raise ValueError(f"unknown name {min(unknown)!r}, expected some of {', '.join(sorted(MAY_BE_TOLD))}")
    given: dict[str, Any] = told
    return cards[card].dip(target, bath, **given).to_json()


def as_error(error: Exception) -> str:
    """What was wrong; an error of oxtint has its numbers."""
    known = {name: getattr(error, name, None) for name in ("parameter", "value", "low", "high")}
    finite = {name: value for name, value in known.items() if value not in (None, "") and value == value}
    return json.dumps({"error": {"text": str(error), **finite}})


class Handler(BaseHTTPRequestHandler):
    """One request."""

    cards: dict[str, oxtint.Steel] = {}
    protocol_version = "HTTP/1.1"
    timeout = 10.0  #: s, for a client that says nothing

    def do_GET(self) -> None:
        """/dip?card=...&target=...&bath=..., and /cards."""
        url = urlsplit(self.path)
        try:
            if url.path == "/cards":
                self._send(200, json.dumps({name: steel.text for name, steel in self.cards.items()}))
            elif url.path == "/dip":
                asked = {name: values[-1] for name, values in parse_qs(url.query, keep_blank_values=True).items()}
                self._send(200, answer_dip(self.cards, asked))
            else:
                raise NotFound(f"there is no {url.path}, expected /dip or /cards")
        except NotFound as error:
            self._send(404, as_error(error))
        except (oxtint.OxtintError, ValueError, TypeError) as error:
            self._send(400, as_error(error))

    def _send(self, status: int, text: str) -> None:
        body = text.encode()
        self.send_response(status)
        self.send_header("Content-Type", "application/json; charset=utf-8")
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, format: str, *args: Any) -> None:
        """Nothing: a program that serves says where it writes."""


def server(folder: str | pathlib.Path, port: int = 0) -> ThreadingHTTPServer:
    """A server for the cards of a folder; port 0 takes a free one."""
    cards = {path.stem: oxtint.load_steel(path) for path in sorted(pathlib.Path(folder).glob("*.json"))}
    if not cards:
        raise FileNotFoundError(f"{folder} holds no card, expected files named NAME.json")
    handler = type("CardHandler", (Handler,), {"cards": cards})
    return ThreadingHTTPServer(("127.0.0.1", port), handler)


if __name__ == "__main__":
    if len(sys.argv) < 2:
        sys.exit("usage: service.py FOLDER_OF_CARDS [PORT]")
    with server(sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 8080) as running:
        print(f"http://127.0.0.1:{running.server_port}/dip?card=...&target=blue&bath=600+F")
        running.serve_forever()
