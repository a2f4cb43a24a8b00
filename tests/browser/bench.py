# SPDX-License-Identifier: GPL-3.0-or-later
"""The page as a hand uses it, whichever the browser."""
import time
from collections.abc import Iterator
from typing import Any

import oxtint
from selenium import webdriver
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys

LIFT = "4 s"
HARD = ("400 F", "2 h")
# Parts of an invented shop of lamp and clock fittings.
PARTS: dict[str, Any] = {"Bezel, 6 mm": {"part": "6 mm", "lift": LIFT},
                         "Spring, hard": {"part": "1 mm", "lift": LIFT, "last_temper": HARD}}

# A clock that the tests set; it stands still between.
CLOCK = """
window.at = arguments[0];
window.Date.now = () => window.at;
"""


class Bench:
    """The page as a hand uses it."""

    def __init__(self, driver, address: str) -> None:
        self.driver, self.address = driver, address

    def open(self, *, fresh: bool = True, clock: float = 0.0) -> "Bench":
        self.driver.get(self.address)
        if fresh:
            self.start_ms = round(1000 * time.time())  # the page sees the true clock until it is set
        if fresh:
            self.run("localStorage.clear()")
            self.driver.get(self.address)
        self.clock(clock)
        return self

    def run(self, script: str, *arguments: Any) -> Any:
        return self.driver.execute_script(script, *arguments)

    def clock(self, seconds: float) -> None:
        """Let the wall clock show so many seconds since the start of the test; the page looks at it by itself."""
        self.run(CLOCK, self.start_ms + round(1000 * seconds))
        self.run("document.dispatchEvent(new Event('visibilitychange'))")

    def find(self, name: str):
        return self.driver.find_element(By.ID, name)

    def click(self, name: str) -> None:
        self.find(name).click()

    def text(self, name: str) -> str:
        return self.run("const b = document.getElementById(arguments[0]); return b.offsetParent ? b.innerText : ''", name)

    def pick(self, group: str, label: str) -> None:
        self.run("""[...document.querySelectorAll(`input[name=${arguments[0]}]`)]
            .find((one) => one.parentElement.innerText.trim() === arguments[1]).click()""", group, label)

    def type(self, name: str, text: str) -> None:
        box = self.find(name)
        box.clear()
        box.send_keys(text + Keys.TAB)

    def choose(self, name: str, index: int) -> None:
        self.run("""const box = document.getElementById(arguments[0]); box.value = arguments[1];
            box.dispatchEvent(new Event('change', {bubbles: true}))""", name, str(index))

    def dip(self, seconds: float, bath: str = "600 F") -> None:
        """From the choice to the record."""
        self.type("bath", bath)
        self.click("start")
        self.clock(seconds)
        self.click("lifted")


def clock_of(text: str) -> float:
    """Seconds of "1:30" or "45 s"."""
    return oxtint.parse_duration(text)


def differences(bench: Bench, steels, baths) -> tuple[list[float], list[float]]:
    """How far times are off (s, beyond 0.3 %), and chances, over all targets and parts."""
    asked, wanted = [], []
    told = [{}, *PARTS.values()]
    for number, steel in enumerate(steels):
        for part, options in enumerate(told):
            for index, target in enumerate(bench.run("return bench.data.steels[arguments[0]].targets", number)):
                for bath_K in baths:
                    asked.append((number, part, index, bath_K))
                    wanted.append(steel.dip(target["name"], bath_K, **options))
    found = bench.run("return arguments[0].map((one) => bench.forecast(...one))", asked)
    times = [max(0.0, abs(one[name] - getattr(dip, name + "_s")) - 0.003 * getattr(dip, name + "_s"))
             for one, dip in zip(found, wanted) for name in ("time", "earliest", "latest")]
    ends = [max(0.0, abs(one[name] - end) - 0.003 * end) for one, dip in zip(found, wanted)
            for name, end in zip(("early", "late"), dip.next_interval_s)]
    chances = [abs(one["chance"] - dip.chance) for one, dip in zip(found, wanted)]
    for one, dip in zip(found, wanted):
        assert one["cautions"] == [caution.name for caution in dip.cautions]
    return times + ends, chances


def views(bench: Bench) -> Iterator[str]:
    """Each of the page's views, by name."""
    bench.type("bath", "600 F")
    yield "choose"
    bench.choose("part", 2)
    yield "caution"
    bench.choose("part", 0)
    bench.click("start")
    bench.clock(50)
    yield "growing"
    bench.clock(93)
    yield "lift"
    bench.clock(96)
    bench.click("lifted")
    yield "record"
    bench.pick("seen", "blue")
    bench.click("keep")
    yield "coupons"
    bench.click("tab-choose")
    bench.click("start")
    bench.clock(240)
    yield "late"
    bench.click("abandon")
    bench.click("confirm-yes")
    bench.click("tab-set")
    bench.run("window.scrollTo(0, 0)")
    yield "set"
