"""Young's modulus of what rods are made of, GPa, at room temperature.

Callister, Materials Science and Engineering, table B.2 (from memory). Warmer metal gives somewhat more, so what follows
from them is an estimate.
"""

from __future__ import annotations

MODULUS_GPA = {
    "steel 4340": 207.0,
    "steel 4140": 207.0,
    "aluminium 6061": 69.0,
    "aluminium 7075": 71.0,
    "titanium 6al-4v": 114.0,
}
