"""Compute Fisher's exact test by integer arithmetic and write fisher.json.

Run from the repository root: ``python tests/reference/make_fisher.py`` (about a second).
Every probability is a ratio of integers, divided with 40 digits at the very end.
The tables come from:

F1, F2  R. A. Fisher, The Design of Experiments, 1935, ch. II (the tea tasting).
F3      R. A. Fisher, JRSS 98:39-82, 1935 (convictions of like-sex twins).
F8      A. Agresti, Categorical Data Analysis (larynx cancer, radiation and surgery).
F13     Physicians' Health Study, as tabled by Agresti (aspirin and heart attack).
F4-F7, F9-F12 are tables much used to test software; F14-F17 are made up at the size of a
build register. O1 is the vanilla ice cream of the Oswego church supper (Gross 1976).
"""

from __future__ import annotations

import json
from decimal import Decimal, getcontext
from math import comb
from pathlib import Path

TABLES = {
    "F1": (3, 1, 1, 3),
    "F2": (4, 0, 0, 4),
    "F3": (10, 2, 3, 15),
    "F4": (8, 2, 1, 5),
    "F5": (6, 2, 1, 4),
    "F6": (1, 9, 11, 3),
    "F7": (0, 12, 5, 8),
    "F8": (21, 2, 15, 3),
    "F9": (22, 0, 0, 102),
    "F10": (94, 48, 3577, 16988),
    "F11": (50, 1, 257, 375),
    "F12": (345, 455, 260, 345),
    "F13": (189, 10845, 104, 10933),
    "F14": (45, 1955, 1455, 96545),
    "F15": (60, 1940, 1440, 96560),
    "F16": (0, 2000, 1500, 96500),
    "F17": (300, 9700, 14700, 975300),
    "O1": (43, 11, 3, 18),
    "J2-1": (0, 9, 7, 14),
    "J2-2": (5, 0, 3, 12),
    "J3-1": (3, 0, 2, 25),
    "J5-1": (2500, 3100, 600000, 6200000),
    "J6-1": (6, 1, 2, 7),
    "J7-1": (900, 0, 0, 2700),
    "J7-2": (899, 1, 1, 2699),
    "J8-1": (8, 0, 0, 16),
}
DIGITS = 40
EXACT_UP_TO = 5_000
SCALE = 10**2400


def weights(a: int, b: int, c: int, d: int) -> dict[int, int]:
    """Integer weights of all tables with the same margins, by the number of exposed cases.

    Up to a total of 5,000 they are the exact products of binomial coefficients. Beyond,
    they follow from the mode by the ratio of neighbours, as integers scaled by 10**2400
    and rounded down: weights down to 1e-1200 of the largest keep 1,200 digits. That still
    decides every tie, for a true tie agrees in all the digits that are kept.
    """
    exposed, cases, total = a + b, a + c, a + b + c + d
    low, high = max(0, exposed + cases - total), min(exposed, cases)
    if total <= EXACT_UP_TO:
        return {
            x: comb(exposed, x) * comb(total - exposed, cases - x) for x in range(low, high + 1)
        }
    mode = (exposed + 1) * (cases + 1) // (total + 2)
    weight = {mode: SCALE}
    for x in range(mode, high):
        value = weight[x] * (exposed - x) * (cases - x)
        weight[x + 1] = value // ((x + 1) * (total - exposed - cases + x + 1))
    for x in range(mode, low, -1):
        value = weight[x] * x * (total - exposed - cases + x)
        weight[x - 1] = value // ((exposed - x + 1) * (cases - x + 1))
    return weight


def same(x: int, y: int) -> bool:
    """Whether two weights agree in all the digits that are kept."""
    return abs(x - y) * 10**50 <= max(x, y)


def main() -> None:
    getcontext().prec = DIGITS
    answers = {}
    for name, (a, b, c, d) in TABLES.items():
        weight = weights(a, b, c, d)
        total, own = sum(weight.values()), weight[a]
        parts = {
            "two_sided": sum(w for w in weight.values() if w <= own or same(w, own)),
            "greater": sum(w for x, w in weight.items() if x >= a),
            "less": sum(w for x, w in weight.items() if x <= a),
        }
        twice_mid = min(2 * parts["greater"] - own, 2 * parts["less"] - own)
        answer: dict[str, object] = {"table": [a, b, c, d]}
        for key, part in parts.items():
            p = Decimal(part) / Decimal(total)
            answer[key] = f"{p:.17e}"
            answer[f"log10_{key}"] = f"{p.log10():.15f}"
        answer["mid_p"] = f"{min(Decimal(1), Decimal(twice_mid) / Decimal(total)):.17e}"
        answers[name] = answer
    path = Path(__file__).with_name("fisher.json")
    path.write_text(json.dumps(answers, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
