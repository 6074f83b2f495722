"""Write the yard's records the way its shop exports them."""

from __future__ import annotations

import gzip
from pathlib import Path

import numpy as np
import pandas as pd

from tracegraph.synthetic import dirt
from tracegraph.synthetic import tables as clean
from tracegraph.synthetic.build import Built
from tracegraph.synthetic.cells import day_text, number_text, time_text
from tracegraph.synthetic.hulls import NEVER
from tracegraph.synthetic.inspections import inspect
from tracegraph.synthetic.scenarios import Scenario
from tracegraph.synthetic.stock import Texts
from tracegraph.synthetic.workbook import write_workbook
from tracegraph.synthetic.workdays import MINUTES_A_DAY, Minutes
from tracegraph.synthetic.yard import GELCOAT_SPRAY

US_DATE = "%m/%d/%Y"
CLAIM_NUMBERS = ("Line", "Class", "Eng Hrs", "Cost", "Labour Hrs")
COPY_OF_MOLD_EVENTS = "mold_events_copy.csv"
LOST_SHEETS = 0.006  # share of spray log lines that never reached the office


def export(
    out: Path, built: Built, claims: pd.DataFrame, scenario: Scenario, affected: Minutes
) -> dict[str, int]:
    """Write every file of records.

    Parameters
    ----------
    out : Path
        An existing folder.
    built : Built
        The yard.
    claims : DataFrame
        From :func:`tracegraph.synthetic.claims.make_claims`.
    scenario : Scenario
        Says how dirty the exports are.
    affected : ndarray of int
        Hulls with a planted symptom, as indices into the build order.

    Returns
    -------
    dict of str to int
        File name to rows of data, titles and totals not counted.
    """
    numbers = clean.number_operations(built)
    tables = {
        "hulls": clean.hulls_table(built),
        "parts": clean.parts_table(built),
        "operations": clean.operations_table(built, numbers),
        "usages": clean.usages_table(built, numbers),
        "readings": clean.readings_table(built, numbers),
        "lots": clean.lots_table(built),
        "blends": clean.blends_table(built),
        "mold_events": clean.mold_events_table(built),
        "components": clean.components_table(built),
        "inspections": _inspections(built),
    }
    log, start = spray_log(built, numbers, scenario, affected)
    desk = dealer_desk(built, claims)
    if scenario.dirty:
        dirt.dirty_tables(built.chance, tables)
        dirt.dirty_spray_log(built.chance, log)
        hins = dict(zip(built.hulls.serial, built.hulls.hin, strict=True))
        desk = dirt.dirty_claims(built.chance, desk, hins)
    rows: dict[str, int] = {}
    for name, table in tables.items():
        rows[f"{name}.csv"] = _csv(out / f"{name}.csv", table)
    if scenario.dirty:
        events = (out / "mold_events.csv").read_bytes()
        (out / COPY_OF_MOLD_EVENTS).write_bytes(events)
        rows[COPY_OF_MOLD_EVENTS] = len(tables["mold_events"])
    rows["ambient.csv.gz"] = _ambient(out / "ambient.csv.gz", built, scenario)
    rows |= _spray_logs(out, log, start, scenario)
    rows["dealer_claims.xlsx"] = _claims_book(out / "dealer_claims.xlsx", desk, scenario)
    return dict(sorted(rows.items()))


def _csv(path: Path, table: pd.DataFrame) -> int:
    path.write_text(table.to_csv(index=False, lineterminator="\n"), "utf-8", newline="")
    return len(table)


def _inspections(built: Built) -> pd.DataFrame:
    table = inspect(built.chance, built.schedule, built.hulls, built.part_serial)
    table["at"] = time_text(table["at"].to_numpy())
    table["value"] = number_text(table["value"].to_numpy(), 1)
    return table


def _ambient(path: Path, built: Built, scenario: Scenario) -> int:
    """The logger's series; a dirty yard's loggers were off now and then."""
    table = clean.ambient_table(built)
    if scenario.dirty:
        day = table["at"].str.slice(0, 10) + table["station"]
        days = sorted(set(day))
        rng = built.chance.of("logger gaps")
        off = {days[i] for i in dirt.drawn(rng, len(days), len(days) // 150)}
        table = table[~day.isin(off)]
    text = table.to_csv(index=False, lineterminator="\n").encode()
    with path.open("wb") as raw, gzip.GzipFile("", "wb", 6, raw, mtime=0) as packed:
        packed.write(text)
    return len(table)


def spray_log(
    built: Built, numbers: dict[tuple[str, str], Texts], scenario: Scenario, affected: Minutes
) -> tuple[pd.DataFrame, Minutes]:
    """Wide log of every gelcoat spray, in order of start, and the starts."""
    frames = []
    starts = []
    hit = built.among(affected)
    for key, work in built.works.items():
        if work.step != GELCOAT_SPRAY:
            continue
        size = work.hull.size
        lot, drum, colour = (np.full(size, "", dtype=object) for _ in range(3))
        cat_lot = np.full(size, "", dtype=object)
        pounds = np.zeros(size)
        for use in (u for u in work.uses if u.logged):
            if use.material == "catalyst":
                cat_lot[use.row] = use.lot_no
            else:
                lot[use.row], drum[use.row] = use.lot_no, use.drum_no
                pounds[use.row] = use.quantity
        colour[:] = built.hulls.colour[work.hull] if work.part == "hull" else "deck white"
        rng = built.chance.of(f"lost lots {work.part}")
        any_hull, hit_hull = scenario.lost_lots
        chance = np.where(hit[work.hull], hit_hull, any_hull)
        reading = work.readings
        frames.append(
            pd.DataFrame(
                {
                    "Spray No": numbers[key],
                    "Part SN": built.part_serial[work.part][work.hull],
                    "Booth": work.station,
                    "Gun": work.equipment,
                    "Sprayer": work.operator,
                    "Crew": work.crew,
                    "Shift": work.shift,
                    "Start": time_text(work.start, US_DATE),
                    "End": time_text(work.finish, US_DATE),
                    "Try": work.attempt,
                    "Colour": colour,
                    "Gelcoat Lot": dirt.lose(rng, lot, chance),
                    "Drum": drum,
                    "Lb": number_text(pounds, 1),
                    "Cat Lot": cat_lot,
                    "Cat %": number_text(reading["catalyst_pct", "%"], 2),
                    "Air F": number_text(reading["ambient_temp", "degF"], 0),
                    "Mold F": number_text(reading["mold_temp", "degF"], 0),
                    "RH %": number_text(reading["relative_humidity", "%"], 0),
                    "Wet Film": number_text(reading["wet_film", "mil"], 1),
                    "Gel Min": number_text(reading["gel_time", "min"], 0),
                }
            )
        )
        starts.append(work.start)
    log = pd.concat(frames, ignore_index=True)
    start = np.concatenate(starts)
    order = np.argsort(start, kind="stable")
    if scenario.dirty:
        kept = built.chance.of("lost sheets").random(order.size) >= LOST_SHEETS
        order = order[kept]
    return log.iloc[order].reset_index(drop=True), start[order]


def _spray_logs(out: Path, log: pd.DataFrame, start: Minutes, scenario: Scenario) -> dict[str, int]:
    """One file a year; a dirty yard's files overlap, and one ends with a total."""
    rows: dict[str, int] = {}
    day = start // MINUTES_A_DAY
    year = 1970 + day.astype("datetime64[D]").astype("datetime64[Y]").astype(np.int64)
    for value in np.unique(year).tolist():
        first = int(np.datetime64(f"{value}-01-01", "D").astype(np.int64))
        wanted = year == value
        if scenario.dirty and value == int(year.max()) - 1:
            wanted |= (day < first) & (day >= first - dirt.OVERLAP_DAYS - 9)  # 9 days closed
        part = log[wanted]
        if scenario.dirty and value == int(year.min()) + 1:
            pounds = pd.to_numeric(part["Lb"]).sum()
            total = dict.fromkeys(part.columns, "") | {"Spray No": "Total", "Lb": f"{pounds:.1f}"}
            text = pd.concat([part, pd.DataFrame([total])], ignore_index=True)
        else:
            text = part
        name = f"spray_log_{value}.csv"
        _csv(out / name, text)
        rows[name] = len(part)
    return rows


def dealer_desk(built: Built, claims: pd.DataFrame) -> pd.DataFrame:
    """Claims as the dealer desk lists them, all text."""
    return pd.DataFrame(
        {
            "Claim No": claims["claim_no"].to_numpy(dtype=object),
            "Line": claims["line_no"].astype(str).to_numpy(dtype=object),
            "Hull": built.hulls.serial[claims["hull"].to_numpy()],
            "Opened": day_text(claims["opened_on"].to_numpy()),
            "Failed": day_text(claims["failed_on"].to_numpy()),
            "Symptom": claims["symptom"].to_numpy(dtype=object),
            "Component": claims["component"].to_numpy(dtype=object),
            "Zone": claims["zone"].to_numpy(dtype=object),
            "Class": claims["safety_class"].astype(str).to_numpy(dtype=object),
            "Certainty": claims["certainty"].to_numpy(dtype=object),
            "Solicited": claims["solicited"].to_numpy(dtype=object),
            "Eng Hrs": number_text(claims["engine_hours"].to_numpy(), 0),
            "Cost": number_text(claims["cost"].to_numpy(), 2),
            "Labour Hrs": number_text(claims["labour_hours"].to_numpy(), 1),
            "Repeat Of": claims["repeat_of"].to_numpy(dtype=object),
            "Status": claims["status"].to_numpy(dtype=object),
            "Dealer": claims["dealer"].to_numpy(dtype=object),
            "Remarks": claims["note"].to_numpy(dtype=object),
        }
    )


def _claims_book(path: Path, desk: pd.DataFrame, scenario: Scenario) -> int:
    """One sheet a year of opening."""
    year = desk["Opened"].str.slice(0, 4)
    sheets = {name: desk[year == name] for name in sorted(set(year))}
    titles = {name: f"Dealer desk: warranty claims {name} (synthetic)" for name in sheets}
    write_workbook(
        path,
        sheets,
        titles,
        dates=("Opened", "Failed"),
        numbers=CLAIM_NUMBERS,
        totals=("Cost", "Labour Hrs") if scenario.dirty else (),
    )
    return len(desk)


def sheet_names(desk_years: Minutes) -> list[str]:
    """Names of the workbook's sheets, from the days of opening."""
    years = 1970 + desk_years.astype("datetime64[D]").astype("datetime64[Y]").astype(np.int64)
    return [str(y) for y in np.unique(years[desk_years != NEVER]).tolist()]
