"""What `stackopt fit --json` says of spread and chance, beside published examples, a general library and Monte Carlo.

Each engine is built so that what a source works out is all that is in doubt; the answer is read from the document.
"""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import uncertainties
from scipy.stats import t as student_t
from uncertainties import ufloat

from tests.cli.test_fit import call

BORE_MM, STROKE_MM, OPENING_MM, CHAMBER_CC = 82.0, 78.0, 83.0, 54.6
BORE_CC = math.pi / 4 * BORE_MM**2 / 1000
SWEPT_CC = BORE_CC * STROKE_MM
# JCGM 100:2008, table 1 (from memory): twenty readings, mean 100.14, s 1.49.
TWENTY = (
    96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07,
    100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72,
)  # fmt: skip
WINDOW = '[quench]\nmin = "0.76 mm"\nmax = "1.02 mm"\n'


def answer(
    folder: Path, cylinder: str, base_mm: float = 0.0, head_mm: float = 0.0, window: str = WINDOW
) -> dict[str, Any]:
    """The front cylinder as `fit --json` tells it, over gaskets of these tolerances (0: the list states none)."""
    stock = (
        "part number,kind,fits,thickness (mm),tolerance (mm),opening (mm),on hand,unit cost\n"
        f"BG-1,base gasket,KV82,0.40,{base_mm or ''},,2,4\n"
        f"HG-1,head gasket,KV82,0.60,{head_mm or ''},{OPENING_MM},2,18\n"
    )
    (folder / "stock.csv").write_text(stock, encoding="utf-8")
    text = f'engine = "X-1"\nfamily = "KV82"\nstroke = "{STROKE_MM} mm"\n{window}[[cylinder]]\nname = "front"\n'
    (folder / "engine.toml").write_text(f'{text}bore = "{BORE_MM} mm"\n{cylinder}', encoding="utf-8")
    result = call("fit", str(folder / "engine.toml"), "--book", str(folder / "stock.csv"), "--json")
    assert result.exit_code == 0, result.stderr
    told: dict[str, Any] = json.loads(result.stdout)["engines"][0]["cylinders"][0]
    return told


def readings(values: str, more: str = "") -> str:
    """The same at both pin ends, dead centre found so well that it hardly counts."""
    return "".join(
        f'[[cylinder.reading]]\nwhere = "pin end {end}"\ninstrument = "depth micrometer"\nside = "proud"\n'
        f'value = {values}\nresolution = "0.0001 mm"\ndead_centre = "0.0005 mm"\n{more}'
        for end in ("one", "two")
    )


def share(ratio: float) -> float:
    """Clearance volume over swept volume."""
    return 1 / (ratio - 1)


def test_twenty_readings_of_a_chamber(tmp_path: Path) -> None:
    """JCGM 100:2008, 4.4.3 (from memory): mean 100.14, u = 0.33; u of the ratio is u(V)·V_s/V_c²."""
    cylinder = f'chamber_volume = {json.dumps([f"{each:.2f} cc" for each in TWENTY])}\npiston_volume = "0 cc"\n'
    told = answer(tmp_path, cylinder + 'deck = "0.11 mm proud"\n')
    assert round(told["read"]["chamber_volume_cc"], 2) == pytest.approx(100.14, abs=0.011)
    clearance_cc = SWEPT_CC * share(told["compression_ratio"])
    uncertainty_cc = told["compression_ratio_spread"]["uncertainty"] * clearance_cc**2 / SWEPT_CC
    assert round(uncertainty_cc, 2) == 0.33


def test_the_factor_of_seventeen_readings(tmp_path: Path) -> None:
    """JCGM 100:2008, table G.2 (quoted): 16 degrees of freedom: 2.12 at 95 %, 2.92 at 99 %."""
    cylinder = f'chamber_volume = {json.dumps([f"{each:.2f} cc" for each in TWENTY[:17]])}\npiston_volume = "0 cc"\n'
    told = answer(tmp_path, cylinder + 'deck = "0.11 mm proud"\n')
    spread, middle = told["compression_ratio_spread"], share(told["compression_ratio"])
    uncertainty = spread["uncertainty"] * middle**2
    assert (share(spread["low"]) - middle) / uncertainty == pytest.approx(2.12, abs=0.005)
    assert (share(spread["worst_low"]) - middle) / uncertainty == pytest.approx(2.92, abs=0.005)


@pytest.mark.parametrize(
    ("tolerances_mm", "uncertainty_mm"),
    [((0.04, 0.0), 0.023), ((0.02, 0.02), 0.016)],
    ids=["rectangular", "triangular"],
)
def test_a_value_known_within_limits(tmp_path: Path, tolerances_mm: tuple[float, float], uncertainty_mm: float) -> None:
    """JCGM 100:2008, 4.4.5, 4.4.6 (from memory): half-width 4: 2.3 rectangular, 1.6 triangular, a sum of two."""
    told = answer(tmp_path, 'deck = "0.11 mm proud"\n', *tolerances_mm)
    assert round(told["quench_spread"]["uncertainty_mm"], 3) == uncertainty_mm


@pytest.mark.parametrize(
    ("largest_mm", "half_mm"),
    [(0.01, 3.88 * 0.01), (0.1, 17.0 * 0.01)],
    ids=["four alike", "one ten times as large"],
)
def test_a_sum_of_four_rectangulars(tmp_path: Path, largest_mm: float, half_mm: float) -> None:
    """JCGM 101:2008, 9.2 (from memory): four with u = 1: ± 3.88; one of them with u = 10: ± 17.0 (GUM ± 3.92, ± 19.9).

    The four: error limit of the instrument, gasket under the reading, base and head gasket fitted.
    """
    one_mm, other_mm = 0.01 * math.sqrt(3), largest_mm * math.sqrt(3)
    more = f'error_limit = "{one_mm} mm"\nbase_gasket_in_place = "0.40 mm"\nbase_gasket_tolerance = "{one_mm} mm"\n'
    told = answer(
        tmp_path, readings(json.dumps(["0.1100 mm"] * 5), more).replace("proud", "below"), one_mm, other_mm, WIDE
    )
    assert told["quench_spread"]["high_mm"] - told["quench_mm"] == pytest.approx(half_mm, rel=5e-3)


WIDE = '[quench]\nmin = "0.1 mm"\nmax = "1.4 mm"\n'
DOUBTS = 'chamber_error_limit = "0.3 cc"\npiston_error_limit = "0.2 cc"\ndeck_error_limit = "0.03 mm"\n'
ALL = f'chamber_volume = "{CHAMBER_CC} cc"\npiston_volume = "3.1 cc dome"\ndeck = "0.11 mm proud"\n{DOUBTS}'


def test_uncertainties_and_correlation_equal_those_of_a_general_library(tmp_path: Path) -> None:
    """The library `uncertainties` propagates to first order with automatic derivatives (JCGM 100:2008, 5.1, 5.2)."""
    told = answer(tmp_path, ALL, 0.02, 0.04)
    root = math.sqrt(3)
    deck, base, head = ufloat(-0.11, 0.03 / root), ufloat(0.40, 0.02 / root), ufloat(0.60, 0.04 / root)
    chamber, piston = ufloat(CHAMBER_CC, 0.3 / root), ufloat(3.1, 0.2 / root)
    clearance = chamber + math.pi / 4 * OPENING_MM**2 / 1000 * head + BORE_CC * (deck + base) - piston
    quench, ratio = deck + base + head, (SWEPT_CC + clearance) / clearance
    assert told["quench_spread"]["uncertainty_mm"] == pytest.approx(quench.std_dev)
    assert told["compression_ratio_spread"]["uncertainty"] == pytest.approx(ratio.std_dev)
    correlation = uncertainties.correlation_matrix([quench, ratio])[0][1]
    assert told["quench_ratio_correlation"] == pytest.approx(correlation)


def drawn(builds: int = 400_000) -> tuple[np.ndarray, np.ndarray]:
    """Quench, mm, and ratio of so many builds of `ALL`, every doubt anywhere within its limits."""
    rng = np.random.default_rng(20270212)

    def within(middle: float, limit: float) -> np.ndarray:
        return middle + rng.uniform(-limit, limit, builds)

    deck, base, head = within(-0.11, 0.03), within(0.40, 0.02), within(0.60, 0.04)
    clearance = within(CHAMBER_CC, 0.3) + math.pi / 4 * OPENING_MM**2 / 1000 * head + BORE_CC * (deck + base)
    return deck + base + head, 1 + SWEPT_CC / (clearance - within(3.1, 0.2))


def test_intervals_and_chance_equal_those_of_monte_carlo(tmp_path: Path) -> None:
    """JCGM 101:2008, 7: 400,000 draws; the window's lower end lies 0.03 mm below the quench of 0.89."""
    window = '[quench]\nmin = "0.86 mm"\nmax = "1.02 mm"\n'
    told, (quench_mm, ratio) = answer(tmp_path, ALL, 0.02, 0.04, window), drawn()
    spread, of_ratio = told["quench_spread"], told["compression_ratio_spread"]
    assert (spread["low_mm"], spread["high_mm"]) == pytest.approx(np.percentile(quench_mm, (2.5, 97.5)), abs=5e-4)
    assert (of_ratio["low"], of_ratio["high"]) == pytest.approx(np.percentile(ratio, (2.5, 97.5)), abs=2e-3)
    assert told["chance_in_window"] == pytest.approx(np.mean((quench_mm >= 0.86) & (quench_mm <= 1.02)), abs=3e-3)
    assert spread["worst_low_mm"] <= quench_mm.min() <= quench_mm.max() <= spread["worst_high_mm"]


def test_scatter_and_limits_together_equal_monte_carlo(tmp_path: Path) -> None:
    """Five repeats an end: Student's t beside two rectangulars, drawn with SciPy (JCGM 101:2008, 6.4.9).

    Believed: v = 0.008² + 0.005²/3, worth 8 repeats; seen: squares S of (0.10, 0.11, 0.12, 0.11, 0.11) at each end.
    """
    values = [0.10, 0.11, 0.12, 0.11, 0.11]
    text = readings(json.dumps([f"{each:.2f} mm" for each in values]))
    text = text.replace('resolution = "0.0001 mm"\ndead_centre = "0.0005 mm"\n', "")
    told = answer(tmp_path, text, 0.02, 0.04)
    believed_mm2, squares_mm2 = 0.008**2 + 0.005**2 / 3, 2 * float(np.var(values)) * 5
    freedom = 8 + 8
    scale_mm = math.sqrt((8 * believed_mm2 + squares_mm2) / freedom / 10)
    rng = np.random.default_rng(7)
    limits = rng.uniform(-0.02, 0.02, 400_000) + rng.uniform(-0.04, 0.04, 400_000)
    drawn_mm = limits + scale_mm * student_t(freedom).rvs(400_000, random_state=rng)
    assert told["quench_spread"]["high_mm"] - told["quench_mm"] == pytest.approx(
        np.percentile(drawn_mm, 97.5), rel=0.01
    )
