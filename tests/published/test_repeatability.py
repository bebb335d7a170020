"""Gauge studies, correlations, kappas and limits of agreement that others worked out and printed.

Sources: NIST/SEMATECH e-Handbook of Statistical Methods, 2.4.4 and 2.6.1 (gauge study of resistivity probes, the tables and
R output of its case study); NIST Statistical Reference Datasets, SiRstv; the classic data of AIAG, Measurement Systems
Analysis (from memory, recomputed); Shrout and Fleiss, Psychological Bulletin 86 (1979) 420-428 (from memory, recomputed);
Cohen, Psychological Bulletin 70 (1968) 213-220, and Fleiss, Statistical Methods for Rates and Proportions (from memory,
recomputed); Bland and Altman, Lancet 327 (1986) 307-310 (from memory, recomputed); Newcombe, Statistics in Medicine 17
(1998) 857-872 (from memory, recomputed).
"""

import math

import numpy as np
import pytest

from grader.study.agreement import agreement_from, limits_of_agreement
from grader.study.found_again import wilson
from grader.study.icc import icc_of_groups, icc_of_table, two_way
from grader.study.intervals import pooled_sd, sd_interval, student_factor
from grader.study.kappa import fleiss_kappa, step_weights, weighted_kappa
from grader.study.quantity import Values, study_quantity
from grader.study.variance import analyse_variance

# Parts along a row; each appraiser three times.
GAUGE = {
    'A': [[0.29, -0.56, 1.34, 0.47, -0.80, 0.02, 0.59, -0.31, 2.26, -1.36],
          [0.41, -0.68, 1.17, 0.50, -0.92, -0.11, 0.75, -0.20, 1.99, -1.25],
          [0.64, -0.58, 1.27, 0.64, -0.84, -0.21, 0.66, -0.17, 2.01, -1.31]],
    'B': [[0.08, -0.47, 1.19, 0.01, -0.56, -0.20, 0.47, -0.63, 1.80, -1.68],
          [0.25, -1.22, 0.94, 1.03, -1.20, 0.22, 0.55, 0.08, 2.12, -1.62],
          [0.07, -0.68, 1.34, 0.20, -1.28, 0.06, 0.83, -0.34, 2.19, -1.50]],
    'C': [[0.04, -1.38, 0.88, 0.14, -1.46, -0.29, 0.02, -0.46, 1.77, -1.49],
          [-0.11, -1.13, 1.09, 0.20, -1.07, -0.67, 0.01, -0.56, 1.45, -1.77],
          [-0.15, -0.96, 0.67, 0.11, -1.45, -0.49, 0.21, -0.49, 1.87, -2.16]],
}  # fmt: skip

SI_RSTV = (
    (196.3052, 196.1240, 196.1890, 196.2569, 196.3403),
    (196.3042, 196.3825, 196.1669, 196.3257, 196.0422),
    (196.1303, 196.2005, 196.2889, 196.0343, 196.1811),
    (196.2795, 196.1748, 196.1494, 196.1485, 195.9885),
    (196.2119, 196.1051, 196.1850, 196.0052, 196.2090),
)

# Means of probe 2362 on wafers 138 to 142 in two runs, and the standard deviations of days within each.
RUN_MEANS = (
    (95.09282, 95.12427),
    (99.30595, 99.30978),
    (96.03573, 96.07653),
    (101.06022, 101.07900),
    (94.21482, 94.24377),
)
RUN_SDS = ((0.03594, 0.04722, 0.02728, 0.02319, 0.02744), (0.04532, 0.02147, 0.02756, 0.05369, 0.03698))

JUDGES = np.array(
    [[9, 2, 5, 8], [6, 1, 3, 2], [8, 4, 6, 8], [7, 1, 2, 6], [10, 5, 6, 9], [6, 2, 4, 7]], dtype=np.float64
)  # fmt: skip
# Eight wines by four judges: the example table of pingouin 0.7.0, whose own output is compared with.
WINES = np.array(
    [[1, 1, 3, 6, 6, 7, 8, 9], [2, 3, 8, 4, 5, 5, 7, 9], [0, 3, 1, 3, 5, 6, 7, 9], [1, 2, 4, 3, 6, 2, 9, 8]]
).T

LARGE_METER = (
    (494, 490), (395, 397), (516, 512), (434, 401), (476, 470), (557, 611), (413, 415), (442, 431), (650, 638),
    (433, 429), (417, 420), (656, 633), (267, 275), (478, 492), (178, 165), (423, 372), (427, 421),
)  # fmt: skip
MINI_METER = (
    (512, 525), (430, 415), (520, 508), (428, 444), (500, 500), (600, 625), (364, 460), (380, 390), (658, 642),
    (445, 432), (432, 420), (626, 605), (260, 227), (477, 467), (259, 268), (350, 370), (451, 443),
)  # fmt: skip


def gauge_values():
    rows = [
        (value, f'part {part:02}', appraiser)
        for appraiser, trials in GAUGE.items()
        for trial in trials
        for part, value in enumerate(trial)
    ]
    return Values(*(tuple(column) for column in zip(*rows, strict=True)))


def test_aiag_sums_of_squares():
    values = gauge_values()
    analysis = analyse_variance(values.values, values.pieces, values.setups, pool_p=1.0)
    found = {row.source: (row.sum_of_squares, row.dof) for row in analysis.rows}
    assert {name: dof for name, (_, dof) in found.items()} == {'piece': 9, 'setup': 2, 'interaction': 18, 'repeat': 60}
    assert found['setup'][0] == pytest.approx(3.167262, abs=1e-5)
    assert found['piece'][0] == pytest.approx(88.361934, abs=1e-5)
    assert found['interaction'][0] == pytest.approx(0.358982, abs=1e-5)
    assert found['repeat'][0] == pytest.approx(2.758933, abs=1e-5)
    assert sum(ss for ss, _ in found.values()) == pytest.approx(94.647112, abs=1e-5)
    assert analysis.f_test('interaction')[0] == pytest.approx(0.434, abs=5e-4)


def test_aiag_gauge_by_analysis_of_variance():
    study = study_quantity('score', 'score', 'points', gauge_values())
    assert study.is_pooled
    sds = {part.source: part.sd for part in study.components}
    assert sds['repeat'] == pytest.approx(0.199933, abs=1e-5)
    assert sds['reproducibility'] == pytest.approx(0.226838, abs=1e-5)
    assert sds['gauge'] == pytest.approx(0.302373, abs=1e-5)
    assert sds['piece'] == pytest.approx(1.042327, abs=1e-5)
    assert sds['total'] == pytest.approx(1.085300, abs=1e-5)
    gauge = next(part for part in study.components if part.source == 'gauge')
    assert gauge.percent_study == pytest.approx(27.86, abs=0.005)
    # 4.86 categories, cut.
    assert study.distinct_categories == 4


def test_si_rstv():
    pieces = [f'instrument {k}' for k, row in enumerate(SI_RSTV) for _ in row]
    analysis = analyse_variance([value for row in SI_RSTV for value in row], pieces, [''] * 25)
    between, within = analysis.rows
    assert (between.dof, within.dof) == (4, 20)
    assert between.sum_of_squares == pytest.approx(0.0511462616, rel=1e-8)
    assert within.sum_of_squares == pytest.approx(0.216636560, rel=1e-8)
    assert analysis.f_test('piece')[0] == pytest.approx(1.18046237440, rel=1e-8)


def test_handbook_repeatability_of_five_wafers():
    sums = (0.48115, 0.69209, 0.48483, 1.21752, 0.30076)
    sd, dof = pooled_sd([math.sqrt(ss / 60) for ss in sums], [60] * 5)
    assert (sd, dof) == (pytest.approx(0.10290, abs=1e-5), 300)


def test_handbook_reproducibility_of_days():
    for sds, printed in zip(RUN_SDS, (0.03334, 0.03879), strict=True):
        assert pooled_sd(sds, [5] * 5) == (pytest.approx(printed, abs=1e-5), 25)
    assert pooled_sd([sd for run in RUN_SDS for sd in run], [5] * 10) == (pytest.approx(0.03617, abs=1e-5), 50)


def test_handbook_stability_of_runs():
    # Wafers are pieces, and the mean of each run is a value: the third level of the handbook's analysis.
    study = study_quantity(
        'width', 'resistivity', 'ohm.cm',
        Values(tuple(v for row in RUN_MEANS for v in row), tuple(f'wafer {138 + k}' for k in range(5) for _ in range(2)),
               ('',) * 10),
    )  # fmt: skip
    assert study.repeat.degrees_of_freedom == 5
    assert study.repeat.sd == pytest.approx(0.0196, abs=5e-5)
    sums = {row.source: row.sum_of_squares for row in study.anova}
    assert sums['repeat'] == pytest.approx(0.0019297, abs=5e-7)


def test_handbook_level_three_by_its_other_page():
    assert pooled_sd((0.0223, 0.0027, 0.0289, 0.0133, 0.0205), [1] * 5)[0] == pytest.approx(0.0197, abs=1e-4)


def test_shrout_and_fleiss_mean_squares():
    squares = two_way(JUDGES)
    assert squares.between_targets == pytest.approx(11.2417, abs=1e-4)
    assert squares.within_targets == pytest.approx(6.2639, abs=1e-4)
    assert squares.between_judges == pytest.approx(32.4861, abs=1e-4)
    assert squares.residual == pytest.approx(1.0194, abs=1e-4)


@pytest.mark.parametrize(
    ('name', 'value', 'low', 'high'),
    [
        ('ICC(1,1)', 0.1657, -0.133, 0.723),
        ('ICC(2,1)', 0.2898, 0.019, 0.761),
        ('ICC(3,1)', 0.7148, 0.342, 0.946),
        ('ICC(1,k)', 0.4428, -0.884, 0.912),
        ('ICC(2,k)', 0.6201, 0.071, 0.927),
        ('ICC(3,k)', 0.9093, 0.676, 0.986),
    ],
)
def test_shrout_and_fleiss(name, value, low, high):
    # The intervals are those that the example of the R package psych prints for these data, from memory.
    found = icc_of_table(JUDGES)[name]
    assert found.value == pytest.approx(value, abs=1e-4)
    assert (found.low, found.high) == (pytest.approx(low, abs=6e-4), pytest.approx(high, abs=6e-4))


@pytest.mark.parametrize(('name', 'value'), [('ICC(1,1)', 0.7275), ('ICC(2,1)', 0.7277), ('ICC(3,1)', 0.7295)])
def test_icc_of_wines(name, value):
    assert icc_of_table(WINES.astype(np.float64))[name].value == pytest.approx(value, abs=1e-4)


def test_one_way_forms_agree():
    of_groups, of_table = icc_of_groups(JUDGES.tolist()), icc_of_table(JUDGES)
    for name, one in of_groups.items():
        assert (one.value, one.low, one.high) == pytest.approx(
            (of_table[name].value, of_table[name].low, of_table[name].high), abs=1e-12
        )


def test_icc_of_single_values_is_a_share_of_the_components():
    # With one value in a cell, Shrout and Fleiss' ICC(2,1) is the pieces' share of the variance.
    targets = [f'target {k}' for k in range(6) for _ in range(4)]
    analysis = analyse_variance(JUDGES.ravel().tolist(), targets, ['a', 'b', 'c', 'd'] * 6)
    raw = analysis.raw
    assert raw['piece'] / sum(raw.values()) == pytest.approx(0.2898, abs=1e-4)


@pytest.mark.parametrize(
    ('table', 'power', 'kappa'),
    [
        ([[20, 5], [10, 15]], 0, 0.40),
        ([[45, 15], [25, 15]], 0, 0.1304),
        ([[25, 35], [5, 35]], 0, 0.2593),
        ([[75, 1, 4], [5, 4, 1], [0, 0, 10]], 0, 0.6765),
        ([[75, 1, 4], [5, 4, 1], [0, 0, 10]], 1, 0.7222),
        ([[75, 1, 4], [5, 4, 1], [0, 0, 10]], 2, 0.7553),
        ([[88, 10, 2], [14, 40, 6], [18, 10, 12]], 0, 0.4915),
    ],
)
def test_kappa(table, power, kappa):
    counts = np.array(table, dtype=np.float64)
    assert weighted_kappa(counts, step_weights(len(table), power)).kappa.value == pytest.approx(kappa, abs=1e-4)


def test_standard_error_of_kappa():
    found = weighted_kappa(np.array([[75, 1, 4], [5, 4, 1], [0, 0, 10]], dtype=np.float64), step_weights(3, 0))
    assert found.standard_error == pytest.approx(0.0877, abs=1e-4)


def test_agreement_and_chance_of_kappa():
    found = weighted_kappa(np.array([[20, 5], [10, 15]], dtype=np.float64), step_weights(2, 0))
    assert (found.agreement_ratio, found.chance_ratio) == (pytest.approx(0.70), pytest.approx(0.50))


def test_cohens_weighted_kappa():
    # Weights of disagreement, which are agreement upside down.
    disagreement = np.array([[0, 1, 3], [1, 0, 6], [3, 6, 0]], dtype=np.float64)
    counts = np.array([[88, 10, 2], [14, 40, 6], [18, 10, 12]], dtype=np.float64)
    assert weighted_kappa(counts, 1 - disagreement / 6).kappa.value == pytest.approx(0.348, abs=5e-4)


def test_fleiss_kappa():
    # Ten items, 14 raters, five classes: the usual worked example, from memory, recomputed.
    counts = np.array([
        [0, 0, 0, 0, 14], [0, 2, 6, 4, 2], [0, 0, 3, 5, 6], [0, 3, 9, 2, 0], [2, 2, 8, 1, 1],
        [7, 7, 0, 0, 0], [3, 2, 6, 3, 0], [2, 5, 3, 2, 2], [6, 5, 2, 1, 0], [0, 2, 2, 3, 7],
    ], dtype=np.float64)  # fmt: skip
    assert fleiss_kappa(counts) == pytest.approx(0.2099, abs=1e-4)


def test_peak_flow_meters():
    first = [[large] for large, _ in LARGE_METER], [[mini] for mini, _ in MINI_METER]
    found, points = limits_of_agreement(*first)
    assert found.bias.value == pytest.approx(-2.1176, abs=1e-4)
    assert found.sd == pytest.approx(38.7651, abs=1e-4)
    assert (found.lower_limit.value, found.upper_limit.value) == (
        pytest.approx(-78.10, abs=0.01), pytest.approx(73.86, abs=0.01),
    )  # fmt: skip
    # Printed: -22.0 to 17.8, from rounded values.
    assert (found.bias.low, found.bias.high) == (pytest.approx(-22.0, abs=0.1), pytest.approx(17.8, abs=0.1))
    large, mini = np.array(LARGE_METER)[:, 0], np.array(MINI_METER)[:, 0]
    assert np.corrcoef(large, mini)[0, 1] == pytest.approx(0.943, abs=5e-4)
    assert points[0] == ((494 + 512) / 2, 494 - 512)


@pytest.mark.parametrize(('meter', 'mean', 'sd'), [(LARGE_METER, 4.94, 21.7), (MINI_METER, -2.88, 28.9)])
def test_repeats_of_a_peak_flow_meter(meter, mean, sd):
    pairs = np.array(meter, dtype=np.float64)
    found, _ = limits_of_agreement([[a] for a in pairs[:, 0]], [[b] for b in pairs[:, 1]])
    assert found.bias.value == pytest.approx(mean, abs=0.01)
    assert found.sd == pytest.approx(sd, abs=0.06)


@pytest.mark.parametrize(('meter', 'sd'), [(LARGE_METER, 21.6), (MINI_METER, 28.2)])
def test_coefficient_of_repeatability(meter, sd):
    # Printed: 43.2 and 56.4 l/min, twice the standard deviation of the differences about 0.
    pieces = tuple(f'person {k:02}' for k in range(17) for _ in range(2))
    values = Values(tuple(float(v) for row in meter for v in row), pieces, ('',) * 34)
    study = study_quantity('width', 'flow', 'l/min', values)
    assert study.repeat.degrees_of_freedom == 17
    assert study.repeat.sd * math.sqrt(2) == pytest.approx(sd, abs=0.06)
    assert study.repeat.limit == pytest.approx(1.96 * sd, abs=0.2)


def test_limits_for_single_values_from_means_of_two():
    # Bland and Altman 1999, 5.1: the variance of single differences adds half of each meter's own.
    large, mini = np.array(LARGE_METER, dtype=np.float64), np.array(MINI_METER, dtype=np.float64)
    found, _ = limits_of_agreement(large.tolist(), mini.tolist())
    of_means = np.var(large.mean(axis=1) - mini.mean(axis=1), ddof=1)
    own = [np.mean(np.diff(side, axis=1) ** 2) / 2 for side in (large, mini)]
    assert found.sd**2 == pytest.approx(of_means + 0.5 * own[0] + 0.5 * own[1], rel=1e-12)


def test_limits_of_an_example_table():
    # The example table of pingouin 0.7.0, and its own output; it takes 1.96 for 1.959964.
    first = (1, 5, 10, 20, 50, 40, 50, 60, 70, 80, 90, 100, 150, 200, 250, 300, 350, 400, 450, 500, 550, 600, 650, 700,
             750, 800, 850, 900, 950, 1000)  # fmt: skip
    second = (8, 16, 30, 24, 39, 54, 40, 68, 72, 62, 122, 80, 181, 259, 275, 380, 320, 434, 479, 587, 626, 648, 738,
              766, 793, 851, 871, 957, 1001, 960)  # fmt: skip
    found, _ = limits_of_agreement([[a] for a in first], [[b] for b in second])
    assert (found.bias.value, found.sd) == (pytest.approx(-27.1667, abs=1e-4), pytest.approx(34.8059, abs=1e-4))
    assert (found.lower_limit.value, found.upper_limit.value) == (
        pytest.approx(-95.386, abs=2e-3), pytest.approx(41.053, abs=2e-3),
    )  # fmt: skip
    assert agreement_from(found.bias.value, found.sd, 30) == found


@pytest.mark.parametrize(
    ('found', 'of', 'low', 'high'),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718),
     (95, 100, 0.8882, 0.9785), (10, 10, 0.7225, 1.0)],
)  # fmt: skip
def test_wilson(found, of, low, high):
    assert wilson(found, of) == (pytest.approx(low, abs=1e-4), pytest.approx(high, abs=1e-4))


@pytest.mark.parametrize(
    ('dof', 'factor'), [(1, 12.71), (2, 4.30), (5, 2.57), (10, 2.23), (16, 2.12), (20, 2.09), (50, 2.01)]
)
def test_student_factors(dof, factor):
    # JCGM 100:2008, table G.2.
    assert student_factor(dof) == pytest.approx(factor, abs=0.006)


def test_interval_of_a_standard_deviation():
    # Factors for 10 degrees of freedom from any table of chi-squared: 3.247 and 20.483.
    found = sd_interval(1.0, 10)
    assert found.low == pytest.approx(math.sqrt(10 / 20.483), abs=1e-4)
    assert found.high == pytest.approx(math.sqrt(10 / 3.247), abs=1e-4)
