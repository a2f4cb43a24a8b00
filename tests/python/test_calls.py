# SPDX-License-Identifier: GPL-3.0-or-later
"""How calls go from Python to C: the short way of plain numbers, and arrays that broadcast."""
import math
import threading
import tracemalloc
from collections.abc import Callable

import numpy as np
import oxtint
import pytest
from hypothesis import given
from hypothesis import strategies as some

BATHS = [500.0, 560.0, 588.7, 616.5, 700.0]
TIMES = [0.0, 1.0, 30.0, 333.3, 1e5]
ROOM = 500_000  # bytes beyond the result, for the pieces of an array that NumPy hands out


def long_way(call: Callable[..., object], *numbers: float) -> float:
    """The same call through arrays of one element."""
    return float(call(*(np.array([x]) for x in numbers))[0])


@pytest.mark.parametrize("bath", BATHS)
@pytest.mark.parametrize("second", TIMES)
def test_plain_numbers_give_what_arrays_give(steel, bath, second) -> None:
    assert steel.thickness(bath, second) == long_way(steel.thickness, bath, second)
    assert steel.time_for(second, bath) == long_way(steel.time_for, second, bath)


@pytest.mark.parametrize("kind", [float, int, np.float64, np.float32, np.int64])
def test_every_kind_of_number_gives_a_float(steel, kind) -> None:
    found = steel.thickness(kind(560), kind(30)), steel.time_for(kind(57), kind(560))
    assert found == (steel.thickness(560.0, 30.0), steel.time_for(57.0, 560.0))
    assert [type(x) for x in found] == [float, float]
    assert oxtint.Film().tint(kind(57)) == oxtint.Film().tint(57.0)
    assert oxtint.name_of(kind(57)) == "blue"


@pytest.mark.parametrize("numbers", [(math.nan, 30.0), (560.0, math.nan), (-1.0, 30.0), (560.0, -1.0),
                                     (math.inf, 30.0), (0.0, 30.0), (560.0, math.inf), (560, -30)])
def test_what_fails_the_short_way_says_the_same(steel, numbers) -> None:
    for call, arguments in ((steel.thickness, numbers), (steel.time_for, numbers[::-1])):
        with pytest.raises(oxtint.OxtintValueError) as short:
            call(*arguments)
        if math.isnan(sum(arguments)):  # in an array it is a missing value
            assert math.isnan(long_way(call, *arguments))
            continue
        with pytest.raises(oxtint.OxtintValueError) as long:
            long_way(call, *arguments)
        assert f"element 1: {short.value}" == str(long.value)
        assert (short.value.code, short.value.parameter) == (long.value.code, long.value.parameter)


@given(some.floats(0.0, 300.0))
def test_bands_are_those_of_the_long_way(thickness_nm) -> None:
    film = oxtint.Film(finish="satin")
    try:
        expected = film.tint(np.array(thickness_nm))  # no plain number: asks C for the whole band
    except oxtint.OxtintValueError as long:
        with pytest.raises(oxtint.OxtintValueError) as short:
            film.tint(thickness_nm)
        assert str(short.value) == str(long)
    else:
        assert film.tint(thickness_nm) == expected
        assert expected.low_nm <= thickness_nm <= expected.high_nm


def test_threads_do_not_mix_up_plain_numbers(steel) -> None:
    times = np.linspace(1.0, 200.0, 8)
    expected = steel.thickness(588.7, times)
    wrong: list[float] = []

    def work(second: float, thickness_nm: float) -> None:
        wrong.extend(x for x in (steel.thickness(588.7, second) for _ in range(5000))
                     if x != thickness_nm)

    workers = [threading.Thread(target=work, args=pair) for pair in zip(times.tolist(), expected)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
    assert not wrong


def packed(values: np.ndarray) -> np.ndarray:
    """The same numbers at odd addresses."""
    table = np.zeros(values.size, dtype=[("mark", "i1"), ("value", "f8")])
    table["value"] = values
    return table["value"]


COLUMN = np.linspace(540.0, 640.0, 6)


@pytest.mark.parametrize(("bath", "second"), [
    (COLUMN, 30.0), (560.0, COLUMN), (COLUMN[:, None], COLUMN), (COLUMN, COLUMN[:, None]),
    (COLUMN[::-2], 30.0), (packed(COLUMN), COLUMN), (COLUMN.astype(int), 30),
    (COLUMN.reshape(2, 3).T, COLUMN[:2]), (np.asfortranarray(COLUMN.reshape(2, 3)), COLUMN[:3]),
    (COLUMN.reshape(2, 1, 3, 1), COLUMN.reshape(3, 1, 2)), (COLUMN[:0], 30.0), ([[]], COLUMN[:, None]),
    (np.broadcast_to(560.0, (2, 3)), [30, 60, 90])])
def test_arrays_broadcast_as_numpy_does(steel, bath, second) -> None:
    baths, times = np.broadcast_arrays(bath, second)
    expected = [steel.thickness(float(T), float(t)) for T, t in zip(baths.ravel(), times.ravel())]
    found = steel.thickness(bath, second)
    assert found.shape == baths.shape and found.dtype == np.float64
    assert found.ravel().tolist() == expected


def test_shapes_that_do_not_broadcast_are_refused(steel) -> None:
    with pytest.raises(ValueError, match="broadcast"):
        steel.thickness(COLUMN, COLUMN[:4])


def test_a_long_array_is_the_same_piece_by_piece(steel) -> None:
    baths, times = np.linspace(540.0, 640.0, 301), np.linspace(1.0, 400.0, 307)
    found = steel.thickness(baths[:, None], times)
    for row in (0, 150, 300):
        assert found[row].tolist() == steel.thickness(baths[row], times).tolist()


def test_a_fault_is_named_by_its_place_in_the_whole(steel) -> None:
    times = np.ones(301)
    times[7] = -1.0
    with pytest.raises(oxtint.OxtintValueError, match=r"^element 8: time_s is -1") as caught:
        steel.thickness(np.linspace(540.0, 640.0, 307)[:, None], times)
    assert caught.value.row == 8
    baths = np.full((307, 1), 560.0)
    baths[300] = -2.0
    with pytest.raises(oxtint.OxtintValueError, match=rf"^element {300 * 301 + 1}: bath_K is -2"):
        steel.thickness(baths, np.ones(301))


def beyond_the_result(call: Callable[[], np.ndarray]) -> int:
    """Bytes that a call takes at its peak, less those of its result."""
    call()
    tracemalloc.start()
    try:
        result = call()
        return tracemalloc.get_traced_memory()[1] - result.nbytes
    finally:
        tracemalloc.stop()


def test_broadcasting_a_million_copies_no_input(steel) -> None:
    long, edge = np.linspace(540.0, 640.0, 1_000_000), np.linspace(540.0, 640.0, 1000)
    twice = np.linspace(540.0, 640.0, 2_000_000)[::2]
    for bath, second in ((long, 30.0), (560.0, long), (long, long), (edge[:, None], edge),
                         (twice, edge[:1]), (long.reshape(1000, 1000).T, edge)):
        assert 0 <= beyond_the_result(lambda: steel.thickness(bath, second)) < ROOM
        assert 0 <= beyond_the_result(lambda: steel.time_for(second, bath)) < ROOM


def test_broadcasting_colours_copies_none() -> None:
    lab = np.random.default_rng(3).uniform(-60.0, 60.0, (500, 3)) + [60.0, 0.0, 0.0]
    found = oxtint.delta_e2000(lab[:, None], lab)
    assert found.shape == (500, 500) and np.all(np.diag(found) == 0.0)
    assert found[3, 7] == oxtint.delta_e2000(lab[3], lab[7])
    assert 0 <= beyond_the_result(lambda: oxtint.delta_e2000(lab[:, None], lab)) < ROOM
