# SPDX-License-Identifier: GPL-3.0-or-later
"""The page for the bench in Firefox: what matters most of tests/browser/test_page.py."""
import oxtint
import pytest
from bench import Bench, clock_of, differences


@pytest.fixture
def in_firefox(firefox, page) -> Bench:
    return Bench(firefox, page).open()


def test_numbers(in_firefox, steels) -> None:
    times, chances = differences(in_firefox, steels[:1], [560.0, 588.7, 611.3])
    assert max(times) <= 0.5 and max(chances) <= 0.005


def test_dip_reload_and_record(in_firefox, steels) -> None:
    bench = in_firefox
    bench.run("""window.faults = []; addEventListener('error', (e) => faults.push(e.message));
        const warn = console.error; console.error = (...all) => { faults.push(String(all)); warn(...all); }""")
    bench.type("bath", "600 F")
    dip = steels[0].dip("blue", "600 F")
    assert clock_of(bench.text("lift")) == pytest.approx(dip.time_s, abs=1.0)
    bench.click("start")
    bench.clock(30)
    assert clock_of(bench.text("count")) == pytest.approx(dip.time_s - 30, abs=1.01)
    assert bench.run("return faults") == []
    bench.open(fresh=False, clock=dip.time_s + 1)
    assert bench.text("phase") == "Lift now"
    bench.click("lifted")
    bench.pick("seen", "blue")
    bench.click("keep")
    bench.open(fresh=False)
    log = oxtint.read_trials_text(bench.run("return bench.csv()"))
    assert log[0].colour == "blue" and log[0].time_s == pytest.approx(dip.time_s + 1, abs=0.1)
    assert bench.run("return performance.getEntriesByType('resource').map((one) => one.name)") in ([], ["data:,"])


def test_shows_the_caution_in_place_of_the_time(in_firefox) -> None:
    in_firefox.choose("part", 2)
    in_firefox.type("bath", "600 F")
    assert "soften" in in_firefox.text("forbids-text") and in_firefox.text("lift") == ""
    in_firefox.click("acknowledge")
    assert in_firefox.text("lift") != ""
