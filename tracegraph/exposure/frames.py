"""The exposure table from plain frames, for a notebook or another system's export."""

from __future__ import annotations

import pandas as pd

from tracegraph.domain.errors import FlatTableError
from tracegraph.exposure.build import NO_ROWS_KEPT, number
from tracegraph.store import Build, in_memory_build

_HULL_DATES = ("completed_on", "shipped_on", "in_service_on", "exit_on")
_HULL_TEXTS = ("job_no", "hin", "dealer", "place", "plant")
_CLAIM_TEXTS = ("line_no", "component", "zone", "certainty", "repeat_of")


def exposure_from_frames(
    hulls: pd.DataFrame,
    exposure: pd.DataFrame,
    claims: pd.DataFrame,
    families: pd.DataFrame | None = None,
) -> Build:
    """Make a build in memory from frames.

    Parameters
    ----------
    hulls : DataFrame
        ``hull_serial``, ``model``, ``in_service_on``; optional ``completed_on``,
        ``shipped_on``, ``exit_on``, ``dealer``, ``place``, ``plant``, ``hin``, ``job_no``.
    exposure : DataFrame
        ``hull_serial``, ``family``, ``level``. A null level says that the record is
        missing; no row says that the family does not apply to the hull.
    claims : DataFrame
        ``claim_no``, ``hull_serial``, ``opened_on``, ``symptom``; optional ``line_no``,
        ``failed_on``, ``component``, ``zone``, ``certainty``, ``solicited``.
    families : DataFrame, optional
        ``family``, ``kind``, ``part``, ``step``, ``stage``; what is left out is read from
        the family's name.

    Returns
    -------
    Build
        With index and exposure tables filled. The caller closes it.

    Raises
    ------
    FlatTableError
        If a frame lacks a column that it must have, or names a hull twice.
    """
    _require(hulls, "hulls", ("hull_serial", "model", "in_service_on"))
    _require(exposure, "exposure", ("hull_serial", "family", "level"))
    _require(claims, "claims", ("claim_no", "hull_serial", "opened_on", "symptom"))
    repeated = hulls["hull_serial"][hulls["hull_serial"].duplicated()]
    if len(repeated):
        raise FlatTableError(
            f"hulls must name each hull once; {repeated.iloc[0]!r} comes twice. "
            "Keep one row for each hull."
        )
    build = in_memory_build()
    _insert_hulls(build, hulls)
    _insert_claims(build, claims)
    build.run_folder("linkage")
    build.register("given_exposure", _texts(exposure, ("hull_serial", "family", "level")))
    build.register("given_families", _described(exposure, families))
    build.run("exposure/from_frames")
    build.unregister("given_exposure")
    build.unregister("given_families")
    build.execute(NO_ROWS_KEPT)
    number(build)
    return build


def _require(frame: pd.DataFrame, name: str, columns: tuple[str, ...]) -> None:
    lacking = [column for column in columns if column not in frame.columns]
    if lacking:
        raise FlatTableError(
            f"{name} must have the columns {', '.join(columns)}; it lacks {', '.join(lacking)} "
            f"and has {', '.join(map(str, frame.columns))}."
        )


def _texts(frame: pd.DataFrame, columns: tuple[str, ...]) -> pd.DataFrame:
    texts = {}
    for column in columns:
        if column in frame.columns:
            texts[column] = (
                frame[column].astype("object").map(str, na_action="ignore").astype("str")
            )
        else:
            texts[column] = pd.Series([None] * len(frame), index=frame.index, dtype="str")
    return pd.DataFrame(texts)


def _dates(frame: pd.DataFrame, columns: tuple[str, ...]) -> pd.DataFrame:
    dates = {}
    for column in columns:
        values = frame[column] if column in frame.columns else pd.Series(pd.NaT, index=frame.index)
        dates[column] = pd.to_datetime(values).astype("datetime64[s]")
    return pd.DataFrame(dates)


def _insert_hulls(build: Build, hulls: pd.DataFrame) -> None:
    texts = _texts(hulls, ("hull_serial", "model", *_HULL_TEXTS))
    build.register("given", texts.join(_dates(hulls, _HULL_DATES)))
    build.execute(
        "INSERT INTO hulls BY NAME SELECT hull_serial, job_no, hin, model, dealer, place, plant, "
        "CAST(completed_on AS DATE) AS completed_on, CAST(shipped_on AS DATE) AS shipped_on, "
        "CAST(in_service_on AS DATE) AS in_service_on, CAST(exit_on AS DATE) AS exit_on, "
        "0 AS source_id, 0 AS source_row FROM given"
    )
    build.unregister("given")


def _insert_claims(build: Build, claims: pd.DataFrame) -> None:
    texts = _texts(claims, ("claim_no", "hull_serial", "symptom", *_CLAIM_TEXTS))
    texts["symptom"] = texts["symptom"].str.strip().str.lower()
    solicited = claims["solicited"] if "solicited" in claims.columns else False
    given = texts.join(_dates(claims, ("opened_on", "failed_on"))).assign(solicited=solicited)
    build.register("given", given)
    build.execute(
        "INSERT INTO claims BY NAME SELECT claim_no, line_no, hull_serial, symptom, component, "
        "zone, certainty, repeat_of, CAST(opened_on AS DATE) AS opened_on, "
        "CAST(failed_on AS DATE) AS failed_on, CAST(solicited AS BOOLEAN) AS solicited, "
        "0 AS source_id, 0 AS source_row FROM given"
    )
    build.unregister("given")


def _described(exposure: pd.DataFrame, families: pd.DataFrame | None) -> pd.DataFrame:
    names = pd.DataFrame({"family": exposure["family"].astype(str).unique()})
    pieces = names["family"].str.split(": ")
    described = pd.DataFrame(
        {
            "family": names["family"],
            "kind": "process reading",
            "part": pieces.map(lambda words: words[0] if len(words) > 1 else "any part"),
            "step": pieces.map(lambda words: words[1] if len(words) > 2 else ""),
            "stage": 1,
        }
    ).set_index("family")
    if families is not None:
        given = families.drop_duplicates("family").set_index("family")
        for column in ("kind", "part", "step", "stage"):
            if column in given.columns:
                described[column] = given[column].reindex(described.index).fillna(described[column])
    return described.reset_index().astype({"stage": "int64"})
