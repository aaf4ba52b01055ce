"""The shop's own installed thicknesses out of its measured builds, and which of them the shop goes by."""

from __future__ import annotations
