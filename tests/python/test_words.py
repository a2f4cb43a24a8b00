# SPDX-License-Identifier: GPL-3.0-or-later
"""A shop's own words on a card: every prediction and picture speaks them without being told again. Contract of
docs/reference/words.md."""
import pathlib
import pickle

import matplotlib
import oxtint
import pytest

matplotlib.use("Agg")

from oxtint import colour_chart, coupon_map, growth_curve

SHOP = {"lamp blue": "blue", "clock blue": (47.0, 55.0), "old gold": "dark straw"}
LOG = """steel,bath_F,time_s,colour
A,560,160,lamp blue
A,600,60,purple
A,600,95,lamp blue
A,650,50,lamp blue
A,650,30,purple
"""


@pytest.fixture(scope="module")
def fitted() -> oxtint.Fit:
    return oxtint.fit(oxtint.read_trials_text(LOG, words=SHOP))


@pytest.fixture(scope="module")
def worded(fitted: oxtint.Fit) -> oxtint.Steel:
    """From a card, not from the fit."""
    return oxtint.Steel.from_card(fitted.steel.to_card())


def test_a_card_keeps_them(fitted: oxtint.Fit, worded: oxtint.Steel, tmp_path: pathlib.Path) -> None:
    words = oxtint.Words(SHOP)
    worded.save(tmp_path / "card.json")
    for steel in (fitted.steel, worded, oxtint.load_steel(tmp_path / "card.json"),
                  pickle.loads(pickle.dumps(worded)), pickle.loads(pickle.dumps(fitted)).steel):
        assert steel.words == words and hash(steel.words) == hash(words)
        assert steel == worded
    assert worded.words is not None and worded.words[1] == oxtint.Word("clock blue", None, 47.0, 55.0)
    plain = worded.with_words(None)
    assert plain.words is None and plain != worded and plain.to_dict() == worded.to_dict()
    assert '"words"' not in plain.to_card()
    assert oxtint.Steel.from_card(plain.to_card()) == plain
    assert plain.with_words(SHOP) == worded
    assert oxtint.starting_steel("B", film=oxtint.Film(words=SHOP)).words == words
    log = oxtint.read_trials_text(LOG, words=SHOP)
    assert next(iter(oxtint.pool(log).steels.values())).words == words
    assert oxtint.fit_each(log)["A"].steel.words == words


def test_every_prediction_speaks_them(worded: oxtint.Steel) -> None:
    assert worded.film.tint(58.0).label == "lamp blue"
    assert worded.dip("blue", "600 F").target.text == "lamp blue"
    assert worded.dip("lamp blue", "600 F").time_s == worded.dip("blue", "600 F").time_s
    assert worded.dip_for_time("lamp blue", "1:30").bath_K == worded.bath_for("blue", "1:30")
    assert worded.most_forgiving("clock blue").target.text == "clock blue"
    assert "lamp blue" in str(worded.baths("blue"))
    assert "lamp blue" in str(oxtint.dip_table(worded, ["600 F"]))
    assert "lamp blue" in str(worded.advise("lamp blue"))
    assert "lamp blue" in str(oxtint.plan_set([("bezel", worded, "blue")], "600 F"))
    tracker = oxtint.Tracker(worded, "lamp blue")
    tracker.feed(0.0, 588.7)
    tracker.feed(1.0, 588.7)
    assert tracker.read().thickness_nm > 0.0
    # a film that is named speaks its own words
    with pytest.raises(oxtint.OxtintValueError, match="lamp blue"):
        worded.dip("lamp blue", "600 F", film=oxtint.Film())
    assert worded.dip("blue", "600 F", film=oxtint.Film(words={"cobalt": "blue"})).target.text == "cobalt"
    with pytest.raises(oxtint.OxtintValueError, match="lamp blue"):
        worded.with_words(None).dip("lamp blue", "600 F")


def test_new_coupons_are_read_in_them(worded: oxtint.Steel, tmp_path: pathlib.Path) -> None:
    path = tmp_path / "new.csv"
    path.write_text("steel,bath_F,time_s,colour\nA,600,95,lamp blue\n", encoding="utf-8")
    renewed = worded.anchor(path)
    assert renewed.words == worded.words and len(renewed.history) == 1
    others = oxtint.read_trials(path, words={"lamp blue": "dark blue"})
    assert worded.anchor(others).words == oxtint.Words({"lamp blue": "dark blue"})


def test_pictures_speak_them(worded: oxtint.Steel) -> None:
    from matplotlib import pyplot

    log = oxtint.read_trials_text(LOG, words=SHOP)
    for drawn in (colour_chart(worded, log).image, colour_chart(worded, list(log)).image,
                  coupon_map(worded, trials=log).cells,
                  growth_curve(worded, "blue", "600 F").line):
        texts = [text.get_text() for text in drawn.axes.findobj(matplotlib.text.Text)]
        assert any("lamp blue" in text for text in texts), texts
        pyplot.close(drawn.figure)


def test_odd_words_on_a_card_are_refused(worded: oxtint.Steel) -> None:
    for wrong, says in (('"band": "bleu"', "'band' of word 1 of the card"), ('"band": 7', "'band' of word 1"),
                        ('"low_nm": 47', "word 1 of the card lacks 'high_nm'")):
        with pytest.raises(oxtint.OxtintValueError, match=says):
            oxtint.Steel.from_card(worded.to_card().replace('"band": "blue"', wrong, 1))
