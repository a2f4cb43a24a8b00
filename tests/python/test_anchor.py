# SPDX-License-Identifier: GPL-3.0-or-later
"""A card brought up to date: manners, and the way through copies, pickles and cards."""
import copy
import pickle

import oxtint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st


def coupon(steel: oxtint.Steel, bath: float, time: float, ratio: float) -> oxtint.TrialLog:
    """One coupon that grew by so many times the card's rate."""
    log = oxtint.TrialLog()
    log.add(steel=steel.name, finish=steel.finish, bath=bath, time=time,
            thickness_nm=float(steel.thickness(bath, time * ratio)))
    return log


# Bayes' rule: what is known after lies between what was known before and what was seen.
@settings(max_examples=60, deadline=None)
@given(st.floats(560.0, 620.0), st.floats(20.0, 200.0), st.floats(0.5, 2.0), st.floats(0.0, 3.0))
def test_rates_move_towards_the_coupon(steel, bath, time, ratio, shift) -> None:
    renewed = steel.anchor(coupon(steel, bath, time, ratio), shift_stderr=shift)
    moved = renewed.thickness(bath, time) ** 2 / steel.thickness(bath, time) ** 2
    assert min(1.0, ratio) - 1e-9 <= moved <= max(1.0, ratio) + 1e-9
    assert renewed.Q_J_per_mol == steel.Q_J_per_mol and renewed.T_ref_K == steel.T_ref_K


# A card is text of any kind, and comes back whole.
@settings(max_examples=60, deadline=None)
@given(st.text(st.characters(exclude_characters="\0", exclude_categories=["Cs"]), max_size=15))
def test_histories_come_back(steel, label) -> None:
    renewed = steel.anchor(coupon(steel, 600.0, 60.0, 0.9), label=label)
    again = renewed.anchor(coupon(steel, 580.0, 60.0, 0.8), label="second")
    assert [entry.label for entry in again.history] == [label, "second"]
    for twin in (copy.copy(again), pickle.loads(pickle.dumps(again)),
                 oxtint.Steel.from_card(again.to_card())):
        assert twin == again and twin.to_card() == again.to_card()
    assert oxtint.Steel.from_values(**again.to_dict()) != again  # it has no history


def test_an_entry_tells_what_was_done(steel) -> None:
    renewed = steel.anchor(coupon(steel, 600.0, 60.0, 0.6), shift_stderr=10.0, label="new salt")
    entry, = renewed.history
    assert steel.history == () and entry.trial_count == 1
    assert entry.k_ref_before_nm2_per_s == steel.k_ref_nm2_per_s
    assert entry.k_ref_after_nm2_per_s == renewed.k_ref_nm2_per_s
    assert entry.origin == steel.to_dict()["origin"]
    assert str(entry).startswith("new salt: 1 coupon: film grows 40.0 % slower than by the card")


def test_what_cannot_be_is_refused(steel) -> None:
    log = coupon(steel, 600.0, 60.0, 1.0)
    with pytest.raises(oxtint.OxtintValueError, match="shift_stderr"):
        steel.anchor(log, shift_stderr=-1.0)
    with pytest.raises(oxtint.OxtintValueError, match="longer than 63 bytes"):
        steel.anchor(log, label="x" * 64)
    with pytest.raises(oxtint.OxtintValueError):
        steel.anchor(oxtint.TrialLog())
    with pytest.raises(TypeError, match="log is float"):
        steel.anchor(3.5)
