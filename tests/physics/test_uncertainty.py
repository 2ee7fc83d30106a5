"""Combined uncertainty, degrees of freedom, Student's factor, and the efficiency they are for."""

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import stats

import hydrofunc
from hydrofunc.physics import uncertainty

SIZES = st.lists(st.tuples(st.floats(0, 100), st.floats(-10, 10)), min_size=1, max_size=8)


@given(SIZES)
def test_independent_contributions_add_as_squares(pairs):
    doubts, effects = zip(*pairs)
    assert hydrofunc.combined_uncertainty(doubts, effects) == pytest.approx(
        math.hypot(*(u * c for u, c in pairs)), rel=1e-12, abs=1e-12
    )


@given(SIZES)
def test_what_errs_together_adds_in_full(pairs):
    """Correlation 1 throughout: the sum itself."""
    doubts, effects = zip(*pairs)
    count = len(pairs)
    together = [1.0] * (count * (count - 1) // 2) or [0.0]
    total = abs(sum(u * c for u, c in pairs))
    assert hydrofunc.combined_uncertainty(doubts, effects, together) == pytest.approx(total, rel=1e-6, abs=1e-5)


@settings(deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(2, 6))
def test_correlated_inputs_spread_the_result_as_a_sample_of_them_does(seed, count):
    """The variance of c·x over a finite sample is exactly c' C c with the sample's own covariance."""
    rng = np.random.default_rng(seed)
    sample = rng.normal(size=(20, count)) @ rng.normal(size=(count, count))
    effects = rng.normal(size=count)
    pairs = np.corrcoef(sample, rowvar=False)[np.triu_indices(count, 1)]
    got = hydrofunc.combined_uncertainty(sample.std(axis=0, ddof=1), effects, np.clip(pairs, -1, 1))
    assert got == pytest.approx((sample @ effects).std(ddof=1), rel=1e-6)


def test_errors_that_cancel_leave_nothing():
    assert hydrofunc.combined_uncertainty([2, 2], [1, -1], [1]) == pytest.approx(0, abs=1e-12)


@pytest.mark.parametrize(
    ("call", "blamed"),
    [
        (lambda: hydrofunc.combined_uncertainty([1, 2, 3], [1, 1]), "sensitivities"),
        (lambda: hydrofunc.combined_uncertainty([1, 2, 3], [1]), "sensitivities"),
        (lambda: hydrofunc.combined_uncertainty([1, 2, 3], [1, 1, 1], [0.5]), "correlations"),
        (lambda: hydrofunc.combined_uncertainty([1, 2, 3], [1, 1, 1], [0.9, 0.9, -0.9]), "correlations"),
        (lambda: hydrofunc.effective_degrees([1, 2, 3], [4]), "degrees_each"),
        (lambda: hydrofunc.effective_degrees([1, 2, 3], [4, 5]), "degrees_each"),
        (lambda: hydrofunc.effective_degrees([0, 0], [4, 5]), "effective_degrees"),
        (lambda: hydrofunc.combined_uncertainty([-1, 2], [1, 1]), "uncertainties"),
    ],
)
def test_lists_that_do_not_fit_are_refused_never_stretched(call, blamed):
    """A blank cell shortens a list in a worksheet: one number left over must not stand for all."""
    with pytest.raises(hydrofunc.InputError, match=blamed):
        call()


def test_one_row_of_lists_for_each_case():
    """Lists on the last axis; a bad one spoils its own case."""
    got = hydrofunc.combined_uncertainty([[3.0, 4.0], [6.0, 8.0], [1.0, -1.0]], [1.0, 1.0])
    assert got[:2] == pytest.approx([5, 10]) and np.isnan(got[2])
    assert hydrofunc.effective_degrees([[3.0, 4.0], [4.0, 3.0]], [2, 5]) == pytest.approx(
        [625 / (81 / 2 + 256 / 5), 625 / (256 / 2 + 81 / 5)]
    )


@given(st.lists(st.floats(0.01, 100), min_size=1, max_size=8), st.integers(1, 50))
def test_effective_degrees_lie_between_the_fewest_and_the_sum(contributions, each):
    """Equal contributions reach the sum; one that rules alone gives its own."""
    got = hydrofunc.effective_degrees(contributions, [each] * len(contributions))
    assert each * (1 - 1e-9) <= got <= each * len(contributions) * (1 + 1e-9)
    assert hydrofunc.effective_degrees([1.0] * 4, [each] * 4) == pytest.approx(4 * each)
    assert hydrofunc.effective_degrees([1.0, 0.0], [each, 1]) == pytest.approx(each)


def test_no_repeated_readings_count_as_infinitely_many():
    assert hydrofunc.effective_degrees([3, 4]) == uncertainty.MOST_DEGREES
    assert hydrofunc.effective_degrees([3, 4], [0, 5]) == pytest.approx(625 / (256 / 5))


def test_students_factor_is_that_of_another_library():
    """scipy 1.17.1, stats.t.isf: 4000 pairs from 1 to a million degrees of freedom, whole or not."""
    rng = np.random.default_rng(7)
    degrees = np.concatenate([10 ** rng.uniform(0, 6, 3000), np.arange(1.0, 1001.0)])
    percent = rng.uniform(1, 99.9999, degrees.size)
    expected = stats.t.isf((1 - percent / 100) / 2, degrees)
    np.testing.assert_allclose(hydrofunc.coverage_factor(degrees, percent), expected, rtol=1e-9)


@given(st.floats(1, 99.999))
def test_students_factor_has_known_ends(percent):
    """One degree: Cauchy's tangent. Two: algebra. Infinitely many: the normal distribution."""
    p = percent / 100
    assert hydrofunc.coverage_factor(1, percent) == pytest.approx(math.tan(math.pi * p / 2), rel=1e-9)
    assert hydrofunc.coverage_factor(2, percent) == pytest.approx(p * math.sqrt(2 / (1 - p * p)), rel=1e-9)
    assert hydrofunc.coverage_factor(confidence=percent) == pytest.approx(stats.norm.isf((1 - p) / 2), rel=1e-5)


def test_a_bad_degree_spoils_itself_only():
    got = hydrofunc.coverage_factor(np.array([5.0, np.nan, 0.5, np.inf]), 95)
    assert np.isnan(got).tolist() == [False, True, True, False]
    assert hydrofunc.coverage_factor([[4, 9]], [[90], [95]]).shape == (2, 2)


@given(st.floats(5, 300), st.floats(0.1, 10), st.floats(20, 80))
def test_a_gauge_that_reads_what_is_planned_gives_the_planned_head(head, flow, bore):
    """The measured head undoes `running_pressure`, and a gauge above the nozzle reads less by its height."""
    reading = float(hydrofunc.running_pressure([head], flow, bore)[0])  # NaN where the pipe cannot pass the flow
    assume(reading > 0.2)
    assert hydrofunc.measured_head(reading, 0, flow, bore) == pytest.approx(head, rel=1e-9)
    lower = reading - hydrofunc.static_pressure(1)
    assert hydrofunc.measured_head(lower, 1, flow, bore) == pytest.approx(head, rel=1e-9)


@given(st.floats(0.3, 3), st.floats(0.3, 3))
def test_equal_wheels_have_equal_factors_at_any_size_and_head(size, head):
    """Speed as sqrt(H)/D, flow as D² sqrt(H) (affinity)."""
    speed, flow = 1500 * math.sqrt(head) / size, 2 * size**2 * math.sqrt(head)
    assert hydrofunc.speed_factor(speed, 150 * size, 40 * head) == pytest.approx(
        hydrofunc.speed_factor(1500, 150, 40), rel=1e-12
    )
    assert hydrofunc.discharge_factor(flow, 150 * size, 40 * head) == pytest.approx(
        hydrofunc.discharge_factor(2, 150, 40), rel=1e-12
    )


def test_the_efficiency_moves_by_its_sensitivities():
    """The sheet's budget against small changes of each reading: pressure, flow, bore, height, power."""

    def eta(p, q, d, z, w):
        return hydrofunc.measured_efficiency(w, q, hydrofunc.measured_head(p, z, q, d))

    base = {"p": 3.9, "q": 2.4, "d": 32.6, "z": 0.4, "w": 250.0}
    head = hydrofunc.measured_head(3.9, 0.4, 2.4, 32.6)
    moving = hydrofunc.pipe_velocity(2.4, 32.6) ** 2 / 2 / 9.80665
    wanted = {"p": -(head - 0.4 - moving) / head, "q": -(1 + 2 * moving / head), "d": 4 * moving / head, "w": 1.0}
    for name, sensitivity in wanted.items():
        up, down = (eta(**(base | {name: base[name] * (1 + step)})) for step in (1e-5, -1e-5))
        assert (up - down) / eta(**base) / 2e-5 == pytest.approx(sensitivity, rel=1e-6)
    up, down = (eta(**(base | {"z": 0.4 + step})) for step in (1e-4, -1e-4))
    assert (up - down) / eta(**base) / 2e-4 == pytest.approx(-1 / head, rel=1e-6)


def test_one_row_of_correlations_for_each_case():
    """GUM (JCGM 100:2008), eq. 16, for u = 1 and 2: the square is 1 + 4 + 2 · 1 · 2 r; eq. 16 from memory."""
    rows = np.array([[-1.0], [0.0], [0.5], [1.0]])
    result = uncertainty.combined_uncertainty(np.array([1.0, 2.0]), np.array([1.0, 1.0]), rows)
    assert result == pytest.approx(np.sqrt([1.0, 5.0, 7.0, 9.0]), rel=1e-14)
    three = np.array([[0.5, 0.0, 0.0], [0.0, 0.5, 0.0], [0.0, 0.0, 0.5]])  # of 1-2, of 1-3, of 2-3
    result = uncertainty.combined_uncertainty(np.array([1.0, 2.0, 4.0]), np.ones(3), three)
    assert result == pytest.approx(np.sqrt([21.0 + 2.0, 21.0 + 4.0, 21.0 + 8.0]), rel=1e-14)
    for length in (2, 4):  # lists that do not fit, in each case
        result = uncertainty.combined_uncertainty(np.array([1.0, 2.0, 4.0]), np.ones(3), np.zeros((5, length)))
        assert result.shape == (5,) and np.isnan(result).all()
