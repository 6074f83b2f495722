"""The page that goes with a folder of synthetic builds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from tracegraph.synthetic import dirt
from tracegraph.synthetic.causes import KeyEntry
from tracegraph.synthetic.export import COPY_OF_MOLD_EVENTS
from tracegraph.synthetic.scenarios import Scenario
from tracegraph.synthetic.schedule import CUT_OFF, FIRST_DAY
from tracegraph.synthetic.tables import RENAMED_MOLD, RENAMED_ON

ABOUT: Mapping[str, str] = {
    "hulls.csv": "serial, job, HIN, model, options, dates of completion, shipping and hand-over",
    "parts.csv": "hull, deck, grid and hatch of every job: mold, pull count, when pulled",
    "operations.csv": "mold prep, skin coat, laminate, pull; bonding, rigging and water test",
    "usages.csv": "lots and drums used; second drums of gelcoat",
    "readings.csv": "gel time, peak exotherm (degC), glass content of laminates",
    "lots.csv": "lots received: supplier, dates, quantities",
    "blends.csv": "fills of the day tank (DT) and batches of bonding putty (PT), and their parents",
    "mold_events.csv": "commissioning, waxing, repairs, one renaming",
    "components.csv": "bilge pump, fuel hose, fuel tank, steering cable, livewell fitting",
    "inspections.csv": "part and hull checks with failed tries, fuel pressure test in psi",
    "ambient.csv.gz": "hourly temperature (degC) and humidity of the two booths and the hall",
    "dealer_claims.xlsx": "warranty claims, a sheet per year, title above the header",
    COPY_OF_MOLD_EVENTS: "the same bytes as mold_events.csv under another name",
}
SPRAY_LOG = "wide log of gelcoat sprays: dates month first, degF, mils"


def readme(
    scenario: Scenario, hulls: int, seed: int, rows: Mapping[str, int], key: Sequence[KeyEntry]
) -> str:
    """Text of the page.

    Parameters
    ----------
    scenario : Scenario
        The history made.
    hulls, seed : int
        As asked.
    rows : mapping of str to int
        File name to rows.
    key : sequence of KeyEntry
        Entries of the answer key.

    Returns
    -------
    str
        Markdown.
    """
    lines = [
        f"# Synthetic builds: {scenario.name}",
        "",
        "Everything here is synthetic: the sample yard, its boats, suppliers, dealers and people "
        "codes do not exist, and QZX stands for no real maker.",
        "",
        f"{scenario.line} {hulls:,} hulls of models S18, S22 and S26, built from {FIRST_DAY}; "
        f"records end on {CUT_OFF}.",
        "",
        "Made by, and made again byte for byte (but for the packing of the `.gz`, which is the "
        "work of the zlib at hand) by:",
        "",
        f"    tracegraph make-builds OUT --hulls {hulls} --seed {seed} --scenario {scenario.name}",
        "",
        "## Files",
        "",
        "| file | rows | holds |",
        "|---|---|---|",
    ]
    lines += [
        f"| `{name}` | {count:,} | {ABOUT.get(name, SPRAY_LOG)} |" for name, count in rows.items()
    ]
    lines += [
        "| `intake.toml` | | how the spray log and the claims become records |",
        "| `answer_key.json` | | the causes below, for checks; loading ignores it |",
        "",
        "Files without an entry in `intake.toml` carry the record tables' own names and headers.",
        f"Mold {RENAMED_MOLD[0]} was renamed {RENAMED_MOLD[1]} on {RENAMED_ON}.",
        "",
        "## What was planted",
        "",
    ]
    for p in key:
        where = "; ".join(
            f"`{family}`" + (f" = `{level}`" if level else "") for family, level in p.causes
        )
        lines.append(f"- **{p.symptom}** ({p.role}){': ' + where if where else ''}. {p.note}")
    lines += ["", f"All other claims are background{_differing(scenario)}."]
    if scenario.dirty:
        lines += ["", "## Dirt", "", *_dirt()]
    return "\n".join(lines) + "\n"


def _differing(scenario: Scenario) -> str:
    """How background rates differ, if they do."""
    even = all(len(set(s.by_model)) == 1 and s.trend == 1 for s in scenario.symptoms())
    if even:
        return ", with the same rates for every hull"
    return "; their rates differ by model, and some fall from the first hull built to the last"


def _dirt() -> list[str]:
    return [
        f"- Ids with stray spaces or in lower case: {dirt.SPOILT_IDS:.0%} of part serials and "
        "gelcoat lots in the spray log and of hulls and symptoms in the claims, 1% of jobs in "
        "`parts.csv`.",
        "- Lots, drums, codes and readings not written down: blank, `?` or `n/a`; some lines of "
        "the spray log never reached the office.",
        f"- {dirt.HIN_IN_CLAIMS:.0%} of claims name the hull by its HIN, a few with `US-` or "
        f"hyphens; {dirt.ORPHANS} claims (fewer in a small yard) name a hull that the yard never "
        "built.",
        f"- `{COPY_OF_MOLD_EVENTS}` repeats a whole file; one year's spray log begins with the "
        "last weeks of the year before.",
        "- A total line ends one spray log and every sheet of claims.",
        "- Unreadable on purpose: four cells in the spray log (film, air, start), two quantities "
        "in `usages.csv`, three times in `inspections.csv`, one expiry in `lots.csv`, two engine "
        "hours and one opening date in the claims; three parts without job or hull.",
        "- The loggers were off on some days.",
    ]
