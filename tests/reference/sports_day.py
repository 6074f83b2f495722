"""A sports day in Thailand, 1990: who ate what, who fell ill.

1,094 people asked after an outbreak of food poisoning; data set ``Outbreak`` of the R package
epicalc 2.15.1.0 (V. Chongsuvivatwong). Here, ill is anyone with nausea, vomiting, abdominal
pain or diarrhoea: 469 people. The source's codes 9 (beef curry, salted egg, water) and 90
(eclair) are missing answers; 80 is "ate, amount not known" and counts as eaten.

One entry is ``answers:ill:well``, the answers in the order of FOODS; "-" is a missing one.
"""

from __future__ import annotations

import pandas as pd

FOODS = ("eclair", "beef curry", "salted egg", "water")

_COUNTS = """
-NNN:1:0 -NYN:1:0 -NYY:2:4 -YNY:0:2 -YYY:67:40 NNNN:0:1 NNNY:2:28 NNYN:0:1 NNYY:3:14
NYNN:0:2 NYNY:1:19 NYYN:0:2 NYYY:9:212 Y---:0:5 YNNN:5:3 YNNY:1:2 YNYN:0:2 YNYY:7:14
YYNY:11:9 YYY-:1:0 YYYN:3:4 YYYY:355:261
"""


def sports_day() -> pd.DataFrame:
    """One row per person: ``person``, ``ill``, and Y, N or blank for each food."""
    rows: list[list[str]] = []
    for entry in _COUNTS.split():
        answers, ill, well = entry.split(":")
        for outcome, count in (("Y", ill), ("N", well)):
            rows += [[outcome, *answers.replace("-", " ")]] * int(count)
    frame = pd.DataFrame(rows, columns=["ill", *FOODS])
    frame.insert(0, "person", [str(number) for number in range(len(frame))])
    return frame.apply(lambda column: column.str.strip())
