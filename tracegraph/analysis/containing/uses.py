"""What a question asks about, in the order of time: who used what, and what is not known.

A question about a material is put to every use of that material in the plant, since work
on other parts draws on the same stock. Any other question is put to its answers in the
order of the work they belong to.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from tracegraph.analysis.containing.streams import PLANT, option_columns
from tracegraph.analysis.naming import Suspect
from tracegraph.stats.arrays import Bools, Floats, Ints
from tracegraph.store import Connection

MARGIN = np.timedelta64(400, "D")
"""Uses so long before the first and after the last recorded use are looked at."""

_COLUMNS = ["key", "hull_id", "at", "part", "step", "known", "quantity"]
_SPLITTING = ("material", "part", "step", "station", "equipment", "model")
_MATERIAL_KINDS = {"material lot": " lot", "drum": " drum", "supplier": " supplier"}


@dataclass(frozen=True, eq=False)
class UsesInTime:
    """Uses in the order of time, and those that left no record to place them by.

    Attributes
    ----------
    table : DataFrame
        One row per use: ``key`` (int), ``hull_id`` (null where not known), ``at`` (days),
        ``part``, ``step``, ``known`` (bool: all that it carried was written down),
        ``quantity`` (null where not written down).
    values : array of int, shape (n, k)
        What each carried as far as written down, as positions in ``names``; -1 fills up.
    names : list of str
        Things carried.
    carrying : array of bool
        Which of ``names`` are what is asked about, or hold some of it.
    attributes : DataFrame
        What may split the uses into streams; the first column always does, and so does
        ``plant``, which is there where several plants used it.
    placed : DataFrame
        Uses without a record of their own, placed by other work on the hull: ``hull_id``,
        ``part``, ``step``, ``at`` (days; several rows span the doubt) and attributes.
    parts : DataFrame
        The questions laid out: ``part``, ``step``.
    material : str or None
        Material asked about.
    within : UsesInTime or None
        The narrower question for the drum, put to the uses of its lot and those whose lot
        is not known.
    one_lot : bool
        Whether all that is named belongs to one lot, and lay in the store while it did.
    drums : UsesInTime or None
        All drums of all lots, from which it is learned how they are used up.
    """

    table: pd.DataFrame
    values: Ints
    names: list[str]
    carrying: Bools
    attributes: pd.DataFrame
    placed: pd.DataFrame
    parts: pd.DataFrame
    material: str | None = None
    within: UsesInTime | None = None
    one_lot: bool = False
    drums: UsesInTime | None = None

    def carries(self) -> Bools:
        """Which uses carried what is asked about, as far as written down, shape (n,)."""
        named = np.append(self.carrying, False)
        return np.asarray(named[self.values].any(axis=1))


def uses_in_time(
    session: Connection, suspect: Suspect, parts: pd.DataFrame, incomplete: pd.DataFrame
) -> UsesInTime:
    """Lay a question out in time.

    Parameters
    ----------
    session : Connection
        Line to a store.
    suspect : Suspect
        Family and level.
    parts : DataFrame
        The questions it is made of: ``family_id``, ``family``, ``part``, ``step``.
    incomplete : DataFrame
        Hulls whose record is missing: ``family_id``, ``hull_id``.

    Returns
    -------
    UsesInTime
        Within :data:`MARGIN` of the recorded uses of the level.
    """
    material = material_of(suspect, parts.iloc[0])
    if material is not None:
        found = _material_uses(session, suspect, material, parts)
        if found is not None:
            return _with_placed(session, found, incomplete)
    if suspect.family_id not in set(parts["family_id"]):
        parts = parts.iloc[:1].assign(family_id=suspect.family_id, part="any part", step="")
        incomplete = incomplete.drop_duplicates("hull_id").assign(family_id=suspect.family_id)
    return _with_placed(session, _answers(session, suspect, parts), incomplete)


def days(times: Any) -> Floats:
    """Times as days since 1970; nan where missing."""
    stamps = pd.to_datetime(pd.Series(times)).to_numpy("datetime64[us]")
    result = (stamps - np.datetime64(0, "us")) / np.timedelta64(1, "D")
    return np.asarray(result, np.float64)


def packed(use: Ints, code: Ints, count: int) -> Ints:
    """Codes of each use side by side, -1 where there are fewer.

    Examples
    --------
    >>> packed(np.array([0, 0, 2]), np.array([5, 7, 5]), 3)
    array([[ 5,  7],
           [-1, -1],
           [ 5, -1]])
    """
    pairs = np.unique(np.column_stack([use, code]), axis=0)
    size = np.bincount(pairs[:, 0], minlength=count)
    place = np.arange(len(pairs)) - np.repeat(np.cumsum(size) - size, size)
    table = np.full((count, max(1, int(size.max(initial=1)))), -1, np.int64)
    table[pairs[:, 0], place] = pairs[:, 1]
    return table


def material_of(suspect: Suspect, part: pd.Series) -> str | None:
    """Material that a question is about; None when it is about something else.

    Parameters
    ----------
    suspect : Suspect
        Family and level.
    part : Series
        ``family``, ``part``, ``step`` of the question, or of one that it rolls up.
    """
    prefix = ": ".join(text for text in (part["part"], part["step"]) if text) + ": "
    thing = str(part["family"]).removeprefix(prefix)
    ending = _MATERIAL_KINDS.get(suspect.kind)
    if ending is None or not thing.endswith(ending):
        return None
    return thing.removesuffix(ending)


def _material_uses(
    session: Connection, suspect: Suspect, material: str, parts: pd.DataFrame
) -> UsesInTime | None:
    asked: dict[str, Any] = dict.fromkeys(("lot_no", "drum_no", "supplier"))
    asked["material"] = material
    if suspect.kind == "drum":
        asked["lot_no"], _, asked["drum_no"] = suspect.level.rpartition("/")
    else:
        asked["supplier" if suspect.kind == "supplier" else "lot_no"] = suspect.level
    session.run("contain/carrying_lots", asked)
    first, last, count = session.named_rows("contain/use_span", asked)[0]
    if not count:
        return None
    span = {"first": first - MARGIN, "last": last + MARGIN}
    rows = session.frame("contain/uses", span | {"by_supplier": suspect.kind == "supplier"})
    rows["key"] = rows.groupby(["operation_no", "material"], sort=False).ngroup()
    rows["at"] = days(rows["started_at"])
    options = session.frame("contain/options").set_index("hull_id")["options"]
    rows["options"] = options.reindex(rows["hull_id"]).to_numpy()
    if suspect.kind == "drum":  # a blend of the lot holds none of the drum by name
        rows["carries"] = rows["material"].eq(material) & rows["lot_no"].eq(asked["lot_no"])
    whole = _by_use(rows, rows["material"] + "|" + rows["lot_no"], parts, material)
    if suspect.kind != "drum":
        return whole
    inside = rows[rows["carries"] | rows["lot_no"].isna()]
    drums = inside["drum_no"].where(inside["lot_no"].notna())
    inside = inside.assign(carries=drums == asked["drum_no"])
    every = _by_use(rows, rows["lot_no"] + "/" + rows["drum_no"], parts, None)
    within = replace(_by_use(inside, drums, parts, None), one_lot=True)
    return replace(whole, within=within, drums=every)


def _by_use(
    rows: pd.DataFrame,
    thing: pd.Series,
    parts: pd.DataFrame,
    material: str | None,
    splitting: tuple[str, ...] = _SPLITTING,
) -> UsesInTime:
    known = thing.notna() & rows["told"]
    code, names = pd.factorize(thing.where(known))
    carrying = np.zeros(len(names), np.bool_)
    carrying[code[known & rows["carries"]]] = True
    use, _ = pd.factorize(rows["key"])
    grouped = rows.assign(known=known).groupby("key", sort=False)
    table = grouped.agg(
        hull_id=("hull_id", "first"), at=("at", "first"), part=("part", "first"),
        step=("step", "first"), known=("known", "all"), quantity=("quantity", "sum"),
        amounts=("quantity", "count"), material=("material", "first"), model=("model", "first"),
        station=("station", "first"), equipment=("equipment", "first"),
        options=("options", "first"), plant=("plant", "first"),
    ).reset_index()  # fmt: skip
    table["quantity"] = table["quantity"].where(table["amounts"] > 0)
    return UsesInTime(
        table=table[_COLUMNS],
        values=packed(use[known], code[known], len(table)),
        names=[str(name) for name in names],
        carrying=carrying,
        attributes=_attributes(table, list(splitting)),
        placed=pd.DataFrame(),
        parts=parts,
        material=material,
    )


def _answers(session: Connection, suspect: Suspect, parts: pd.DataFrame) -> UsesInTime:
    frames = []
    for row in parts.to_dict("records"):
        asked = {name: row[name] for name in ("family_id", "part", "step")}
        frames.append(session.frame("contain/in_time", asked).assign(**asked))
    rows = pd.concat(frames, ignore_index=True)
    rows["key"] = rows.groupby(["family_id", "hull_id"], sort=False).ngroup()
    options = session.frame("contain/options").set_index("hull_id")["options"]
    rows["options"] = options.reindex(rows["hull_id"]).to_numpy()
    worked, built = days(rows["worked_at"]), days(rows["built_at"])
    rows["at"] = built if np.isnan(worked).all() else worked
    rows = rows[rows["at"].notna()].assign(
        material=None, quantity=np.nan, carries=rows["level_id"] == suspect.level_id
    )
    # A record of none of the levels is a record: it counts among the things carried.
    rows["told"] = rows["level_id"].notna()
    # What is asked about does not tell in which stream it stands.
    splitting = tuple(name for name in _SPLITTING if not suspect.family.endswith(f": {name}"))
    return _by_use(rows, rows["level_id"], parts, None, splitting)


def _attributes(table: pd.DataFrame, columns: list[str]) -> pd.DataFrame:
    if table["plant"].nunique() > 1:
        columns = [*columns, PLANT]
    plain = table[columns].astype("object").fillna({"material": "", PLANT: ""})
    return pd.concat([plain, option_columns(table["options"])], axis=1)


def _with_placed(session: Connection, found: UsesInTime, incomplete: pd.DataFrame) -> UsesInTime:
    """Place what left no record of its own by other work on the same hull."""
    inner = found if found.within is None else found.within
    there = pd.concat(
        [one.table.loc[~one.table["known"], ["hull_id", "part", "step"]] for one in (found, inner)]
    ).dropna()
    present = set(there.itertuples(index=False, name=None))
    frames: list[pd.DataFrame] = []
    for row in found.parts.to_dict("records"):
        mine = incomplete.loc[incomplete["family_id"] == row["family_id"], "hull_id"]
        gone = [hull for hull in mine if (hull, row["part"], row["step"]) not in present]
        frames.append(_placed(session, found, gone, row["part"], row["step"]))
    placed = pd.concat(frames, ignore_index=True)
    within = None if found.within is None else replace(found.within, placed=placed)
    return replace(found, placed=placed, within=within)


def _placed(
    session: Connection, found: UsesInTime, hulls: Iterable[int], part: str, step: str
) -> pd.DataFrame:
    hulls = list(hulls)
    if not hulls:
        return pd.DataFrame()
    times = session.frame("contain/lags", {"hull_ids": hulls, "part": part, "step": step})
    built = session.frame("contain/models", {"hull_ids": hulls}).set_index("hull_id")
    rows = pd.DataFrame(
        {"hull_id": times["hull_id"], "at": days(times["at"]), "part": part, "step": step}
    )
    rows["model"] = built["model"].reindex(rows["hull_id"]).to_numpy()
    if PLANT in found.attributes:
        rows[PLANT] = built["plant"].reindex(rows["hull_id"]).to_numpy()
    same = (found.table["part"] == part) & (found.table["step"] == step)
    used = found.attributes.loc[same, "material"].mode()
    rows["material"] = used.iloc[0] if len(used) else found.material
    options = session.frame("contain/options").set_index("hull_id")["options"]
    own = options.reindex(rows["hull_id"]).set_axis(rows.index)
    return pd.concat([rows, option_columns(own, found.attributes.columns.tolist())], axis=1)
