# SPDX-License-Identifier: GPL-3.0-or-later
"""Dips made by a card, recorded with it."""
from __future__ import annotations

import json
import math
import pickle
from pathlib import Path

import pytest
from scipy import stats

import oxtint
from oxtint.command import main


@pytest.fixture(name="steel")
def a_steel() -> oxtint.Steel:
    return oxtint.starting_steel("Dogwood 4", "satin")


def test_a_dip_is_kept_with_what_was_promised_and_what_came_out(steel: oxtint.Steel) -> None:
    dip = steel.dip("blue", "600 F", part="4 mm", lift="5 s")
    kept = steel.record(dip, "blue", label="2026-03-02").record(dip, "40 nm", time="4:00")
    first, last = kept.recorded
    assert steel.recorded == () and kept != steel
    assert first == oxtint.RecordedDip(
        bath_K=dip.bath_K, time_s=dip.time_s, low_nm=dip.target.low_nm, high_nm=dip.target.high_nm, chance=dip.chance,
        hit=True, k_ref_nm2_per_s=steel.k_ref_nm2_per_s, part_shape="plate", part_size_m=0.004, lift_s=5.0,
        target="blue", seen="blue", label="2026-03-02", coupon_time_s=dip.coupon_time_s)
    assert (last.chance, last.hit, last.time_s, last.seen) == (-1.0, False, 240.0, "40 nm")
    assert oxtint.Steel.from_card(kept.to_card()) == kept == pickle.loads(pickle.dumps(kept))
    log = oxtint.TrialLog()
    log.add_record(kept)
    trials = list(log)
    assert [one.colour for one in trials] == ["blue", None] and trials[1].thickness_nm == pytest.approx(40.0)
    assert trials[0].part_size_m is None and trials[0].lift_s is None and trials[0].steel == "Dogwood 4"
    assert trials[0].time_s == dip.coupon_time_s < 0.9 * dip.time_s  # that of the coupon, which is thin


# Parts that came out as promised say nothing against the card, alone or with the coupons that it was fitted to; their
# own times would (the first part of test_a_coupon_that_states_a_part below).
def test_parts_that_came_out_as_promised_are_the_coupons_that_were_promised(log: oxtint.TrialLog) -> None:
    fit = oxtint.fit(log, "Alder 1", "satin")
    card, both = fit.steel, oxtint.TrialLog()
    for one in log:
        if (one.steel, one.finish) == ("Alder 1", "satin"):
            both.add(one.steel, finish=one.finish, bath=one.bath_K, time=one.time_s, colour=one.colour)
    for bath in ("580 F", "600 F", "620 F"):
        dip = card.dip("blue", bath, part="6 mm", lift="4 s", coupon="2 mm", coupon_lift="2 s")
        assert dip.time_s > dip.coupon_time_s + 20.0
        card = card.record(dip, "blue")
    dips = oxtint.TrialLog()
    dips.add_record(card)
    moved = math.log(card.anchor(dips).k_ref_nm2_per_s / card.k_ref_nm2_per_s)
    assert abs(moved) < card.scatter
    both.add_record(card)
    again = oxtint.fit(both)
    assert again.used_count == fit.used_count + 3 and not again.warnings
    moved = again.steel.thickness(600.0, 60.0) / card.thickness(600.0, 60.0)
    assert abs(math.log(moved)) < card.scatter
    assert abs(again.steel.Q_J_per_mol / card.Q_J_per_mol - 1.0) < 0.05


def test_a_coupon_that_states_a_part_is_no_coupon_of_a_card_that_states_none(log: oxtint.TrialLog) -> None:
    card, other = oxtint.fit(log, "Alder 1", "satin").steel, oxtint.TrialLog()
    other.add("Alder 1", finish="satin", bath="600 F", time="2:08", colour="blue", part="6 mm")
    with pytest.raises(oxtint.OxtintValueError, match=r"\(6 mm plate\).*leave part and lift out"):
        card.anchor(other)


# The chance of so few hits by SciPy's binomial distribution, and Clopper and Pearson's limits by its binomtest.
def test_a_record_is_judged_as_by_scipy(steel: oxtint.Steel) -> None:
    dip = steel.dip("blue", "600 F")
    for place in range(16):
        steel = steel.record(dip, "blue" if place % 4 else "purple")
    record = steel.track_record()
    assert (record.dip_count, record.promised_count, record.hit_count) == (16, 16, 12)
    assert record.p_value == pytest.approx(stats.binom.cdf(12, 16, dip.chance), abs=1e-12)
    limits = stats.binomtest(12, 16).proportion_ci(0.95)
    assert record.hits_interval == pytest.approx((16 * limits.low, 16 * limits.high), abs=1e-8)
    assert sum(record.bin_count) == 16 and sum(record.bin_hits) == 12
    assert sum(record.bin_expected) == pytest.approx(16 * dip.chance) == record.expected_hits
    assert record.report().startswith("Dogwood 4, satin: 16 dips recorded, 16 lifted as predicted")
    assert pickle.loads(pickle.dumps(record)) == record


def test_a_card_that_does_not_keep_its_promises_is_said_not_to(steel: oxtint.Steel) -> None:
    none = steel.track_record()
    assert none.kept and none.p_value == 1.0 and math.isnan(none.hits_interval[0])
    dip = steel.dip("40 nm", "600 F", confidence=0.9)
    wide = steel.dip("blue", "600 F")
    for _ in range(60):
        steel = steel.record(wide, "silver")
    assert not steel.track_record().kept and "no longer keeps its promises" in str(steel.track_record())
    assert dip.time_s > 0


def test_what_is_no_record_is_refused(steel: oxtint.Steel) -> None:
    dip = steel.dip("blue", "600 F")
    with pytest.raises(oxtint.OxtintValueError, match="'blu' is no trade name"):
        steel.record(dip, "blu")
    with pytest.raises(oxtint.OxtintValueError, match="false_alarm"):
        steel.track_record(false_alarm=0.5)
    for nothing in ("0 s", 0.0):
        with pytest.raises(oxtint.OxtintValueError, match="time is 0 s, expected when it was lifted"):
            steel.record(dip, "blue", time=nothing)
    with pytest.raises(TypeError, match="dip is str, expected Dip"):
        steel.record("blue", "blue")  # type: ignore[arg-type]


def test_the_command_records_shows_and_writes_coupons(
        steel: oxtint.Steel, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    card, log = tmp_path / "card.json", tmp_path / "dips.csv"
    steel.save(card)
    dip = ["--target", "blue", "--bath", "600 F"]
    assert not main(["record", str(card), *dip, "--seen", "blue", "--label", "first"])
    assert not main(["record", str(card), *dip, "--seen", "dark blue", "--save", str(log)])
    assert "2 dips recorded, 2 lifted as predicted" in capsys.readouterr().out
    assert [one.label for one in oxtint.load_steel(card).recorded] == ["first", ""]
    assert [one.colour for one in oxtint.read_trials(log)] == ["blue", "dark blue"]
    assert not main(["card", str(card)])
    row = next(line for line in capsys.readouterr().out.splitlines() if line.startswith("dips of the colour promised"))
    assert row.split()[5:8] == ["1", "of", "2"] and row.endswith(" expected)")
    assert not main(["record", str(card), "--json"])
    said = json.loads(capsys.readouterr().out)
    assert said["dip_count"] == 2 and said["dips"][1]["seen"] == "dark blue"
    assert main(["record", str(card), "--target", "blue"])
    assert "--bath and --seen not given" in capsys.readouterr().err


# The dips were typed in F and C: so is their log, and both are fitted together with the coupons of the card.
def test_the_log_of_dips_is_in_the_scale_asked_for_and_fits_beside_the_trials(
        log: oxtint.TrialLog, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    card, trials, dips = (str(tmp_path / name) for name in ("card.json", "trials.csv", "dips.csv"))
    fit = oxtint.fit(log, "Alder 1", "satin")
    fit.steel.save(card)
    log.save(trials)
    assert Path(trials).read_text("utf-8").splitlines()[1].startswith("Alder 1,mirror,540,45,straw")
    for colour in ("blue", "purple"):
        assert not main(["record", card, "--target", "blue", "--bath", "600 F", "--seen", colour])
    for units, bath in ((["--units", "F"], "bath_F,600"), (["--units", "C"], "bath_C,315.5555555"), ([], "bath_F,600")):
        assert not main(["record", card, "--save", dips, "--force", *units])
        header, first, _ = Path(dips).read_text("utf-8").splitlines()
        name, start = bath.split(",")
        assert header.split(",")[2] == name and first.split(",")[2].startswith(start)
        assert oxtint.read_trials(dips)[0].bath_K == fit.steel.dip("blue", "600 F").bath_K
    capsys.readouterr()
    found = ["--steel", "Alder 1", "--finish", "satin"]
    assert not main(["fit", trials, dips, *found])
    assert f"{fit.used_count + 2} of " in capsys.readouterr().out
    for verb in ("drift", "laws", "check"):
        assert not main([verb, trials, dips, *(found if verb != "check" else [])])
    assert f"trials.csv and {dips}: 42 trials, no error" in capsys.readouterr().out
    assert not main(["anchor", card, dips, dips, "--save", str(tmp_path / "new.json")])
    assert "4 coupons: film grows" in capsys.readouterr().out
    assert main(["fit", "-", "-"]) and "read already" in capsys.readouterr().err
