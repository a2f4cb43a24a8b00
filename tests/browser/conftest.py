# SPDX-License-Identifier: GPL-3.0-or-later
"""Browsers for the tests of the page: Chromium by its driver, Firefox by its own remote protocol."""
import pathlib
import socket
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from typing import Any

import oxtint
import pytest
from marionette_driver.transport import TcpTransport
from bench import LIFT, PARTS
from selenium import webdriver
from selenium.common.exceptions import WebDriverException
from selenium.webdriver.remote.client_config import ClientConfig
from selenium.webdriver.remote.remote_connection import RemoteConnection, remote_commands

ROOT = pathlib.Path(__file__).resolve().parents[2]
TRIALS = ROOT / "examples/demo/trials.csv"

# Commands of Selenium under the names that Firefox has for them.
_NAMES = {
    "newSession": "NewSession", "get": "Navigate", "refresh": "Refresh", "w3cExecuteScript": "ExecuteScript",
    "w3cExecuteScriptAsync": "ExecuteAsyncScript", "findElement": "FindElement", "findElements": "FindElements",
    "clickElement": "ElementClick", "clearElement": "ElementClear", "sendKeysToElement": "ElementSendKeys",
    "getElementText": "GetElementText", "screenshot": "TakeScreenshot", "setWindowRect": "SetWindowRect",
    "setTimeouts": "SetTimeouts", "w3cGetActiveElement": "GetActiveElement", "isElementEnabled": "IsElementEnabled",
    "getCurrentUrl": "GetCurrentURL"}


class Marionette(RemoteConnection):
    """What Selenium asks of a driver, asked of Firefox itself: Debian has no driver for it."""

    def __init__(self, port: int) -> None:
        super().__init__(client_config=ClientConfig(f"http://127.0.0.1:{port}"))
        self._transport = TcpTransport("127.0.0.1", port)
        self._transport.connect()

    def execute(self, command: str, params: dict[str, Any]) -> dict[str, Any]:
        if command == "quit":
            return {"value": None}
        assert command in remote_commands
        given = {name: value for name, value in params.items() if name not in ("sessionId", "capabilities")}
        if command == "screenshot":
            given = {"full": False}
        answer = self._transport.request(f"WebDriver:{_NAMES[command]}", given)
        if answer.error:
            raise WebDriverException(f"{command}: {answer.error}")
        found = answer.result
        return {"value": found["value"] if isinstance(found, dict) and "value" in found else found}


def _free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


@pytest.fixture(scope="session")
def firefox() -> Iterator[webdriver.Remote]:
    port = _free_port()
    with tempfile.TemporaryDirectory() as profile:
        (pathlib.Path(profile) / "user.js").write_text("".join(
            f'user_pref("{name}", {value});\n' for name, value in (
                ("marionette.port", port), ("browser.shell.checkDefaultBrowser", "false"),
                ("network.captive-portal-service.enabled", "false"), ("network.connectivity-service.enabled", "false"),
                ("app.update.enabled", "false"), ("datareporting.policy.dataSubmissionEnabled", "false"),
                ("toolkit.telemetry.enabled", "false"), ("browser.startup.page", "0"))), encoding="utf-8")
        process = subprocess.Popen(["firefox-esr", "--headless", "--marionette", "--no-remote", "--profile", profile],
                                   stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        try:
            driver = _connected(port, process)
            driver.set_script_timeout(20)
            yield driver
        finally:
            process.terminate()
            process.wait(30)


def _connected(port: int, process: Any) -> webdriver.Remote:
    for _ in range(300):
        assert process.poll() is None, "Firefox has ended"
        try:
            socket.create_connection(("127.0.0.1", port), 1).close()
            break
        except OSError:
            time.sleep(0.1)
    return webdriver.Remote(command_executor=Marionette(port), options=webdriver.FirefoxOptions())


@pytest.fixture(scope="session")
def chromium(tmp_path_factory: pytest.TempPathFactory) -> Iterator[webdriver.Chrome]:
    options = webdriver.ChromeOptions()
    options.binary_location = "/usr/bin/chromium"
    downloads = tmp_path_factory.mktemp("downloads")
    for one in ("--headless=new", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--force-device-scale-factor=1",
                "--font-render-hinting=none"):
        options.add_argument(one)
    options.add_experimental_option("prefs", {"download.default_directory": str(downloads)})
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    driver = webdriver.Chrome(options=options, service=webdriver.ChromeService("/usr/bin/chromedriver"))
    driver.set_script_timeout(20)
    driver.downloads = downloads  # type: ignore[attr-defined]
    yield driver
    driver.quit()


def resize(driver: webdriver.Remote, width: int, height: int) -> None:
    """Give the page itself this size, as a phone of it has."""
    if isinstance(driver, webdriver.Chrome):
        driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride",
                               {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False})
    else:
        driver.set_window_size(width, height)


@pytest.fixture(scope="session")
def steels() -> list[oxtint.Steel]:
    log = oxtint.read_trials(TRIALS)
    return [oxtint.fit(log, "Alder 1", "satin").steel, oxtint.fit(log, "Cedar 3").steel]


@pytest.fixture(scope="session")
def page(steels, tmp_path_factory) -> str:
    path = tmp_path_factory.mktemp("page") / "bench.html"
    common = {"lift": LIFT, "coupon": "2 mm", "coupon_lift": "2 s"}
    plan = oxtint.plan_set([("bezel", steels[0], "blue", {"part": "6 mm", **common}),
                            ("ring", steels[0], "blue", {"part": "2 mm", **common})], "600 F", spacing="15 s")
    oxtint.bench_page(steels, path, parts=PARTS, plan=plan)
    return path.as_uri()
