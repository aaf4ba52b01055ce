"""Currencies by their codes, signs and everyday names, as they stand beside prices.

Codes are those of ISO 4217; signs and names are common practice, no source. A sign that several currencies use stands
for none of them until a code says which.
"""

from __future__ import annotations

from collections.abc import Mapping

_CODES = (
    "aed ars aud bgn brl cad chf clp cny cop czk dkk egp eur gbp gel hkd huf idr ils inr isk jpy kes krw kzt mad mdl"
    " mkd mxn myr ngn nok nzd pen php pln ron rsd rub sar sek sgd thb tnd try twd uah usd uyu vnd zar"
)
SHARED_SIGNS: Mapping[str, frozenset[str]] = {
    "$": frozenset({"USD", "AUD", "CAD", "NZD", "HKD", "SGD", "TWD", "MXN", "ARS", "CLP", "COP", "UYU"}),
    "¥": frozenset({"JPY", "CNY"}),
    "kr": frozenset({"SEK", "NOK", "DKK", "ISK"}),
}
_NAMES: Mapping[str, tuple[str, ...]] = {
    "EUR": ("€", "euro", "euros"),
    "GBP": ("£", "pounds sterling", "stg"),
    "USD": ("us$", "us $"),
    "AUD": ("a$", "au$"),
    "CAD": ("c$", "ca$", "can$"),
    "NZD": ("nz$",),
    "HKD": ("hk$",),
    "SGD": ("s$",),
    "BRL": ("r$",),
    "CHF": ("fr", "fr.", "sfr", "sfr.", "franken"),
    "HUF": ("ft", "forint"),
    "PLN": ("zł", "zl", "złoty", "złotych"),
    "CZK": ("kč", "kc"),
    "TRY": ("₺", "tl"),
    "INR": ("₹", "rs", "rs."),
    "KRW": ("₩",),
    "RUB": ("₽", "руб", "руб."),
    "UAH": ("₴", "грн", "грн."),
    "ILS": ("₪",),
    "RON": ("lei",),
    "BGN": ("лв", "лв."),
    "ISK": ("íkr",),
    "SEK": ("skr",),
    "NOK": ("nkr",),
    "DKK": ("dkr",),
}
CURRENCIES: Mapping[str, str] = {
    **{code: code.upper() for code in _CODES.split()},
    **{name: code for code, names in _NAMES.items() for name in names},
    **{sign: sign for sign in SHARED_SIGNS},
    "kr.": "kr",
}


def may_be_same(one: str, other: str) -> bool:
    """Tell whether two currencies, each a code or a shared sign, may be one and the same."""
    return bool(SHARED_SIGNS.get(one, frozenset({one})) & SHARED_SIGNS.get(other, frozenset({other})))
