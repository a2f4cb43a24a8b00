# SPDX-License-Identifier: GPL-3.0-or-later
"""The documentation as a browser shows it from a folder: no request to anywhere, narrow screens, search, dark and light,
print, keyboard."""
import base64
import json
import pathlib
import subprocess
import sys
import time
from collections.abc import Iterator

import pytest
from axe_core_python.selenium import Axe
from conftest import ROOT, resize
from selenium import webdriver
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.support.wait import WebDriverWait

WIDE, PHONE = (1280, 900), (360, 740)
LOOKED_AT = ("index.html", "start/five_minutes.html", "start/tutorial.html", "howto/log.html", "reference/fit.html",
             "api/c/dip.html")


@pytest.fixture(scope="module")
def docs() -> pathlib.Path:
    """The pages that tests/python/test_docs.py has built; what is new since is built again."""
    folder = ROOT / "build/docs"
    subprocess.run([sys.executable, "-m", "sphinx", "-q", "-b", "html", "-d", ROOT / "build/doctrees", ROOT / "docs", folder],
                   check=True, capture_output=True)
    return folder


@pytest.fixture
def browser(chromium) -> Iterator[webdriver.Chrome]:
    resize(chromium, *WIDE)
    chromium.get_log("performance"), chromium.get_log("browser")
    yield chromium
    chromium.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "", "features": []})


def requested(driver: webdriver.Chrome) -> list[str]:
    """The addresses that were asked for since it was last looked."""
    messages = [json.loads(entry["message"])["message"] for entry in driver.get_log("performance")]
    return [message["params"]["request"]["url"] for message in messages if message["method"] == "Network.requestWillBeSent"]


def scheme(driver: webdriver.Chrome, name: str) -> None:
    driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": [{"name": "prefers-color-scheme", "value": name}]})


def test_every_page_fits_a_phone_and_asks_for_nothing(browser, docs) -> None:
    resize(browser, *PHONE)
    pages = sorted(docs.rglob("*.html"))
    assert len(pages) > 80
    asked = set()
    for page in pages:
        browser.get(page.as_uri())
        wide, unseen, unsaid = browser.execute_script("""
            const images = [...document.querySelectorAll('article img:not(.sphx-glr-thumbcontainer img)')];
            return [Math.max(document.documentElement.scrollWidth, document.querySelector('.content').scrollWidth),
                    images.filter((one) => one.complete && !one.naturalWidth).length,
                    images.filter((one) => !one.alt.trim() || /^(\\.\\.|http|_images)/.test(one.alt)).length]""")
        name = page.relative_to(docs)
        assert wide <= PHONE[0], f"{name} is {wide} wide"
        assert (unseen, unsaid) == (0, 0), f"{name}: pictures missing, pictures without a text"
        asked |= set(requested(browser))
    assert {url.split(":")[0] for url in asked} <= {"file", "data"}
    assert browser.get_log("browser") == []


@pytest.mark.parametrize(("words", "page"), [("bezel", "start/five_minutes.html"), ("oxt_dip_predict", "api/c/dip.html"),
                                             ("most forgiving bath", "reference/plan.html")])
def test_search_finds(browser, docs, words, page) -> None:
    browser.get((docs / "index.html").as_uri())
    browser.find_element(By.CSS_SELECTOR, "input[name=q]").send_keys(words, Keys.ENTER)
    WebDriverWait(browser, 20).until(lambda driver: driver.find_elements(By.CSS_SELECTOR, "ul.search li a"))
    WebDriverWait(browser, 20).until(lambda driver: any(
        page in str(link.get_attribute("href")) for link in driver.find_elements(By.CSS_SELECTOR, "ul.search li a")))
    assert {url.split(":")[0] for url in requested(browser)} <= {"file", "data"}


@pytest.mark.parametrize("name", ["light", "dark"])
def test_text_can_be_read(browser, docs, name) -> None:
    scheme(browser, name)
    for page in LOOKED_AT:
        browser.get((docs / page).as_uri())
        ground = browser.execute_script("return getComputedStyle(document.body).backgroundColor")
        red = int(ground.split("(")[1].split(",")[0])
        assert (red > 200) if name == "light" else (red < 60), ground
        found = Axe().run(browser, options={"runOnly": ["color-contrast"]})
        worst = [node["failureSummary"] for violation in found["violations"] for node in violation["nodes"]]
        assert not worst, f"{page}: {worst[0]}"


def test_rules_of_access(browser, docs) -> None:
    for page in LOOKED_AT:
        browser.get((docs / page).as_uri())
        found = Axe().run(browser, options={"runOnly": ["wcag2a", "wcag2aa"]})
        worst = [f"{one['id']}: {one['nodes'][0]['html']}" for one in found["violations"]]
        assert not worst, f"{page}: {worst}"


def test_paper_has_the_text_alone_and_all_of_it(browser, docs) -> None:
    browser.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    for page in LOOKED_AT:
        browser.get((docs / page).as_uri())
        shown, cut = browser.execute_script("""
            return [[...document.querySelectorAll('.sidebar-drawer, .toc-drawer, .copybtn, .skip-to-content')].filter(
                        (one) => one.getClientRects().length).length,
                    [...document.querySelectorAll('article pre')].filter((one) => one.scrollWidth > one.clientWidth + 1).length]""")
        assert (shown, cut) == (0, 0), page
        tabs = browser.execute_script("""
            return [...document.querySelectorAll('.sd-tab-set')].map((set) => [...set.children].filter((one) =>
                one.matches('label, .sd-tab-content')).map((one) => one.getBoundingClientRect().top))""")
        assert all(tops == sorted(tops) and len(set(tops)) == len(tops) for tops in tabs), "each tab stands below its name"
    printed = browser.execute_cdp_cmd("Page.printToPDF", {"paperWidth": 8.27, "paperHeight": 11.69})
    assert base64.b64decode(printed["data"]).startswith(b"%PDF")


@pytest.mark.parametrize("size", [WIDE, PHONE], ids=["wide", "phone"])
def test_navigation_by_keyboard(browser, docs, size) -> None:
    resize(browser, *size)
    browser.get((docs / "index.html").as_uri())
    seen = []
    for _ in range(15):
        browser.switch_to.active_element.send_keys(Keys.TAB)
        time.sleep(0.3 if size == PHONE else 0.0)  # the navigation slides in
        one = browser.switch_to.active_element
        left, right = browser.execute_script(
            "const box = arguments[0].getBoundingClientRect(); return [box.left, box.right]", one)
        seen.append(one.get_attribute("name") or str(one.get_attribute("href")).rpartition("docs/")[2])
        assert seen[-1] not in ("q", "howto/index.html") or left >= 0 and right <= size[0], "out of view"
        if seen[-1] == "howto/index.html":
            break
    assert seen[0] == "index.html#furo-main-content" and "q" in seen, seen
    browser.switch_to.active_element.send_keys(Keys.ENTER)
    assert browser.title.startswith("How to")


def test_a_choice_of_tab_holds_for_the_page(browser, docs) -> None:
    browser.get((docs / "start/five_minutes.html").as_uri())
    browser.find_elements(By.XPATH, "//label[normalize-space()='Lua']")[0].click()
    shown = [one.text for one in browser.find_elements(By.CSS_SELECTOR, ".sd-tab-content") if one.is_displayed()]
    assert len(shown) == 3 and all("oxtint" in one and "local" in one for one in shown)
