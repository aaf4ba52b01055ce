"""Coefficients of linear expansion, 1/K, at room temperature.

Callister, Materials Science and Engineering, table B.6. Warmer metal expands somewhat more, so what follows from them
is an estimate.
"""

from __future__ import annotations

EXPANSION_PER_K = {
    "aluminium 6061": 23.6e-6,
    "aluminium 356.0": 21.5e-6,
    "grey iron": 11.4e-6,
    "ductile iron": 11.2e-6,
    "steel 1020": 11.7e-6,
    "steel 4140": 12.3e-6,
    "steel 4340": 12.3e-6,
}
