"""What a heading on screen means, in a sentence, and where the methods say how it is made."""

from __future__ import annotations

from tracegraph.report.methods import anchor_of

COMPARED = anchor_of("Who is compared with whom")
EXPOSURE = anchor_of("Exposure: three answers")
PLAIN = anchor_of("The plain tests, checkable by hand")
EVIDENCE = anchor_of("The order of evidence (the usual one)")
SERVICE = anchor_of("Claims over service time")
ONSET = anchor_of("Onset along the building order")
CONDITIONS = anchor_of("Measured conditions")
CONTAINMENT = anchor_of("Containment")
OVERVIEW = anchor_of("The Overview")
HISTORY = anchor_of("One hull among its peers")
RECORDS = anchor_of("The state of the records")

SECTIONS = (
    COMPARED, EXPOSURE, PLAIN, EVIDENCE, SERVICE, ONSET, CONDITIONS, CONTAINMENT, OVERVIEW,
    HISTORY, RECORDS,
)  # fmt: skip
"""Sections that pages lead to."""

HEADINGS: dict[str, str] = {
    "cases": "Affected hulls that carry it.",
    "expected": "Affected hulls that would carry it if it made no difference.",
    "chance": "How often claims cast at random would give so strong a suspect anywhere. Small: "
    "hardly a coincidence.",
    "evidence": "0 nothing stands out, 1 may be chance, 2 specific to it, 3 corroborated, 4 "
    "demonstrated. Claims alone never give 3 or 4.",
    "Fisher p": "How often chance alone would make the plain table so uneven or more.",
    "log10 p": "Decimal logarithm of p: -3 is one in a thousand.",
    "q": "Share of false alarms among all levels with a q as small or smaller.",
    "risk ratio": "How many times as often hulls with it are affected as hulls without.",
    "rate ratio": "How many times as often hulls with it are affected as hulls of the same months "
    "in service without.",
    "95 % interval": "Values of the ratio that the counts do not rule out.",
    "not recorded": "Hulls whose record does not say; counted neither way.",
    "affected, exposed": "Affected hulls among those that carry it.",
    "exposed": "Hulls that carry it on record.",
    "affected, others": "Affected hulls among those that do not carry it.",
    "others": "Hulls that do not carry it on record.",
    "levels tested": "Lots, molds, bands and so on that could be told from chance.",
    "safety class": "1 may hurt someone, 2 function, 3 appearance.",
    "per 100 hulls": "First claims on 100 hulls followed so long.",
    "followed so long": "Hulls that have been in service so long, or had a claim before.",
    "hulls affected": "Hulls with at least one claim of the symptom, each counted once.",
    "running share, %": "Share of all pairs of hull and symptom down to this row.",
    "peers": "Hulls of the same model, part and step within some days of building.",
    "peers below, %": "Share of peers with a lower value.",
    "place among peers, %": "Share of peers with a lower value.",
    "9 in 10 peers": "The middle 90 % of the peers lie between these values.",
    "grade": "recorded: its records say so; probable, possible: a record is missing.",
}
"""One sentence for each heading that is not plain by itself."""
