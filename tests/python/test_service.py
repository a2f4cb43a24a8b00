# SPDX-License-Identifier: GPL-3.0-or-later
"""The service of the examples: eight clients at once against the loopback address, bounded in number and time."""
import concurrent.futures
import http.client
import importlib.util
import json
import pathlib
import threading
from urllib.parse import urlencode

import oxtint
import pytest

ROOT = pathlib.Path(__file__).resolve().parents[2]
CLIENTS, REQUESTS, TIMEOUT_S = 8, 25, 30.0


def example():
    spec = importlib.util.spec_from_file_location("service", ROOT / "examples/service.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def cards(tmp_path_factory):
    folder = tmp_path_factory.mktemp("cards")
    log = oxtint.read_trials(ROOT / "examples/demo/trials.csv")
    for name, steel, finish in [("alder", "Alder 1", "satin"), ("birch", "Birch 2", None)]:
        oxtint.fit(log, steel, finish).steel.save(folder / f"{name}.json")
    return folder


@pytest.fixture(scope="module")
def port(cards):
    with example().server(cards) as running:
        thread = threading.Thread(target=running.serve_forever, daemon=True)
        thread.start()
        yield running.server_port
        running.shutdown()
        thread.join(TIMEOUT_S)


def ask(port: int, path: str, asked: dict[str, str], line: http.client.HTTPConnection | None = None):
    line = line or http.client.HTTPConnection("127.0.0.1", port, timeout=TIMEOUT_S)
    line.request("GET", f"{path}?{urlencode(asked)}")
    reply = line.getresponse()
    assert reply.getheader("Content-Type") == "application/json; charset=utf-8"
    return reply.status, json.loads(reply.read())


def test_a_dip_is_that_of_the_card(port, cards) -> None:
    status, told = ask(port, "/dip", {"card": "alder", "target": "blue", "bath": "600 F", "part": "6 mm", "lift": "4 s"})
    dip = oxtint.load_steel(cards / "alder.json").dip("blue", "600 F", part="6 mm", lift="4 s")
    assert status == 200 and told == json.loads(dip.to_json())
    assert ask(port, "/cards", {}) == (200, {"alder": "Alder 1, satin", "birch": oxtint.load_steel(
        cards / "birch.json").text})


@pytest.mark.parametrize(("status", "said", "path", "asked"), [
    (400, "bath is missing", "/dip", {"card": "alder", "target": "blue"}),
    (400, "out of range", "/dip", {"card": "alder", "target": "blue", "bath": "6500 F"}),
    (400, "no trade name", "/dip", {"card": "alder", "target": "mauve", "bath": "600 F"}),
    (400, "unknown name 'wander'", "/dip", {"card": "alder", "target": "blue", "bath": "600 F", "wander": "1"}),
    (404, "no card '../alder'", "/dip", {"card": "../alder", "target": "blue", "bath": "600 F"}),
    (404, "expected /dip or /cards", "/dips", {})])
def test_what_is_wrong_is_told(port, status, said, path, asked) -> None:
    found, told = ask(port, path, asked)
    assert found == status and said in told["error"]["text"]
    if "6500" in asked.get("bath", ""):
        assert told["error"]["parameter"] == "bath_K" and told["error"]["high"] == pytest.approx(973.15)


def test_eight_clients_at_once_get_their_own_answers(port, cards) -> None:
    steels = {name: oxtint.load_steel(cards / f"{name}.json") for name in ("alder", "birch")}

    def client(number: int) -> int:
        line = http.client.HTTPConnection("127.0.0.1", port, timeout=TIMEOUT_S)
        for request in range(REQUESTS):
            card, bath = ("alder", "birch")[(number + request) % 2], f"{560 + 2 * number + request} F"
            status, told = ask(port, "/dip", {"card": card, "target": "blue", "bath": bath}, line)
            assert status == 200 and told["time_s"] == steels[card].dip("blue", bath).time_s
        line.close()
        return REQUESTS

    with concurrent.futures.ThreadPoolExecutor(CLIENTS) as clients:
        assert sum(clients.map(client, range(CLIENTS), timeout=TIMEOUT_S)) == CLIENTS * REQUESTS
