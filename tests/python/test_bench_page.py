# SPDX-License-Identifier: GPL-3.0-or-later
"""The page for the bench as a file: what it holds, what it refuses. tests/browser uses it."""
import json
import re
import subprocess
import sys

import oxtint
import pytest
from oxtint.command import main


def data_of(path) -> dict:
    found = re.search(r'<script type="application/json" id="data">(.*?)</script>', path.read_text(encoding="utf-8"),
                      re.DOTALL)
    return json.loads(found[1])


@pytest.fixture(scope="module")
def three(tmp_path_factory, log):
    """A page of three steels with two parts beside the coupons."""
    steels = [oxtint.fit(log, "Alder 1", "satin").steel, oxtint.fit(log, "Birch 2").steel,
              oxtint.fit(log, "Cedar 3").steel]
    path = tmp_path_factory.mktemp("three") / "bench.html"
    done: list[float] = []
    oxtint.bench_page(steels, path, parts={"bezel": "6 mm", "ring": {"part": "2 mm", "lift": "4 s"}},
                      progress=done.append)
    return steels, path, done


def test_three_steels_take_less_than_400_kB_and_ask_for_nothing(three) -> None:
    _, path, done = three
    text = path.read_text(encoding="utf-8")
    assert path.stat().st_size < 400_000
    assert not re.search(r"https?:|@import|url\(", text) and "default-src 'none'" in text
    assert done == sorted(done) and done[-1] == 1.0 and len(done) == 9


def test_the_tables_hold_what_the_library_predicts(three) -> None:
    steels, path, _ = three
    data = data_of(path)
    assert [one["text"] for one in data["steels"]] == [steel.text for steel in steels]
    names = [target["name"] for target in data["steels"][0]["targets"]]
    assert names == [tint.label for tint in oxtint.Film().tints() if tint.index]
    place, bath_K = len(data["baths"]) // 2, data["baths"][len(data["baths"]) // 2]
    for steel, table in zip(steels, data["steels"]):
        target = table["targets"][names.index("blue")]
        for part, told in zip(table["parts"], ({}, {"part": "6 mm"}, {"part": "2 mm", "lift": "4 s"})):
            dip = steel.dip("blue", bath_K, **told)
            row = part["targets"][names.index("blue")]
            times = [part["times"][node][place] for node in target["at"]]
            assert times == pytest.approx([dip.earliest_s, dip.time_s, dip.latest_s], rel=1e-3)
            assert row["chance"][place] == pytest.approx(dip.chance, abs=1e-3)
            assert (row["early"][place], row["late"][place]) == pytest.approx(dip.next_interval_s, rel=1e-3)
            found = [number for start, number in row["cautions"] if start <= bath_K][-1]
            assert [data["cautions"][one]["name"] for one in data["sets"][found]] == [one.name for one in dip.cautions]
    assert all(caution.brief.partition(":")[2].strip() in path.read_text(encoding="utf-8").replace("&#39;", "'")
               for caution in steels[0].dip("blue", "600 F").cautions)


def test_a_caution_begins_where_it_does_in_the_library(three) -> None:
    steels, path, _ = three
    data = data_of(path)
    spans = data["steels"][0]["parts"][0]["targets"][6]["cautions"]
    # The working limit of an unstated nitrate salt is 538 C (811.15 K): common practice, no source.
    hot = [start for start, number in spans
           if any(data["cautions"][one]["name"] == "ABOVE_WORKING" for one in data["sets"][number])]
    assert hot[0] == pytest.approx(811.15, abs=0.02)


def test_names_cannot_break_the_page(tmp_path, steel) -> None:
    values = steel.to_dict() | {"steel": '</script><b>"Alder" & Co', "finish": "<i>"}
    path = tmp_path / "bench.html"
    oxtint.bench_page(oxtint.Steel.from_values(**values), path, targets=["blue"],
                      parts={"</script><img src=x>": "2 mm"})
    assert data_of(path)["steels"][0]["name"] == values["steel"]
    text = path.read_text(encoding="utf-8")
    assert text.count("</script>") == 2 and "<img" not in text and "<b>" not in text


def test_targets_baths_words_and_scale(tmp_path, steel) -> None:
    path, shop = tmp_path / "bench.html", steel.with_words({"lamp blue": "blue", "clock blue": (47.0, 55.0)})
    oxtint.bench_page(shop, path, low="560 F", high="650 F", unit="C")
    data = data_of(path)
    names = [target["name"] for target in data["steels"][0]["targets"]]
    assert "lamp blue" in names and names[-1] == "clock blue" and data["unit"] == "C"
    assert [tint["label"] for tint in data["steels"][0]["tints"] if tint["name"] == "lamp blue"] == ["blue"]
    assert (data["baths"][0], data["baths"][-1]) == pytest.approx(
        (oxtint.parse_temperature("560 F"), oxtint.parse_temperature("650 F")))
    oxtint.bench_page(shop, path, targets=["57 nm", "second order blue"])
    assert [one["name"] for one in data_of(path)["steels"][0]["targets"]] == ["57 nm", "second-order blue"]


def test_what_is_out_of_reach_has_no_time(tmp_path, steel) -> None:
    path = tmp_path / "bench.html"
    oxtint.bench_page(steel, path, targets=["straw", "blue"], initial="brown", low="580 F", high="600 F")
    straw, blue = data_of(path)["steels"][0]["parts"][0]["targets"]
    assert set(straw["chance"]) == {None} and None not in blue["chance"]  # a film only grows


@pytest.mark.parametrize(("options", "words"), [
    ({"unit": "K"}, "unit is 'K', expected 'F' or 'C'"),
    ({"low": "640 F", "high": "560 F"}, r"low \(640 F\) must be below high \(560 F\)"),
    ({"parts": {"As the coupons": "6 mm"}}, "has the name 'As the coupons', expected another"),
    ({"parts": {" ": "6 mm"}}, "has the name ' '"),
    ({"parts": {"bezel": "6 parsecs"}}, "6 parsecs"),
    ({"targets": ["mauve"]}, "mauve")])
def test_what_cannot_be_is_refused(tmp_path, steel, options, words) -> None:
    path = tmp_path / "bench.html"
    with pytest.raises(oxtint.OxtintValueError, match=words):
        oxtint.bench_page(steel, path, **options)
    assert not path.exists()


def test_a_misspelt_argument_and_a_wrong_kind(tmp_path, steel) -> None:
    path = tmp_path / "bench.html"
    with pytest.raises(TypeError, match="did you mean 'lift'"):
        oxtint.bench_page(steel, path, liftt=1)
    with pytest.raises(TypeError, match="parts is list"):
        oxtint.bench_page(steel, path, parts=["6 mm"])
    with pytest.raises(oxtint.OxtintValueError, match="steels is empty"):
        oxtint.bench_page([], path)
    with pytest.raises(TypeError, match="Steel"):
        oxtint.bench_page(["card.json"], path)


def test_a_page_replaces_a_page_only(tmp_path, steel) -> None:
    path = tmp_path / "bench.html"
    path.write_text("<!doctype html>\n<title>another page</title>\n")
    with pytest.raises(oxtint.OxtintFileExistsError, match="something else than a page"):
        oxtint.bench_page(steel, path, targets=["blue"])
    assert "another page" in path.read_text()
    oxtint.bench_page(steel, path, targets=["blue"], overwrite=True)
    before = path.read_bytes()
    oxtint.bench_page(steel, path, targets=["blue"])
    assert path.read_bytes() == before  # the same page gives the same bytes


def test_progress_may_stop_it(tmp_path, steel) -> None:
    def stop(done: float) -> None:
        raise KeyboardInterrupt
    with pytest.raises(KeyboardInterrupt):
        oxtint.bench_page(steel, tmp_path / "bench.html", targets=["blue"], progress=stop)
    assert not (tmp_path / "bench.html").exists()


def test_without_jinja_it_says_what_to_install(tmp_path, steel) -> None:
    steel.save(tmp_path / "card.json")
    code = ("import sys; sys.modules['jinja2'] = None; import oxtint\n"
            "try: oxtint.bench_page(oxtint.load_steel('card.json'), 'bench.html')\n"
            "except oxtint.OxtintValueError as error: print(error)")
    ran = subprocess.run([sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=True)
    assert "a page needs Jinja2: pip install Jinja2" in ran.stdout


def test_a_card_that_cannot_be_loaded_is_named_on_the_page(tmp_path, steel, capsys) -> None:
    good, newer, path = tmp_path / "card.json", tmp_path / "newer.json", tmp_path / "bench.html"
    steel.save(good)
    newer.write_text(steel.to_card().replace('"major": 1', '"major": 2'))
    assert main(["page", str(good), str(newer), "--target", "blue", "--save", str(path)]) == 1
    said = capsys.readouterr()
    assert "Saved" in said.out and "newer.json: the card has format 2" in said.err
    note, = data_of(path)["notes"]
    assert note.startswith("Not on this page: ") and "newer.json: the card has format 2" in note
    assert len(data_of(path)["steels"]) == 1
    assert main(["page", str(newer), "--save", str(tmp_path / "none.html")]) == 1
    assert not (tmp_path / "none.html").exists()
