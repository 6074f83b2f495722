"""One spelling for each identity: letters that differ only in case name the same thing.

The spelling of the table that defines the thing wins; else the most frequent, then the
first in alphabetical order. Two defined spellings of one identity stay apart.
"""

from __future__ import annotations

from dataclasses import dataclass

from tracegraph.intake.compose import compose
from tracegraph.intake.filled import filled_tables
from tracegraph.intake.kinds import DEFINING
from tracegraph.intake.mapping import LotOfSupplier
from tracegraph.intake.rules import DOUBTFUL_WORDS
from tracegraph.store import Build
from tracegraph.store.queries import sql_text


@dataclass(frozen=True)
class Domain:
    """One set of identities.

    Attributes
    ----------
    master : tuple of (str, str)
        Table and field that define them.
    others : tuple of (str, str)
        Tables and fields that refer to them.
    """

    master: tuple[tuple[str, str], ...]
    others: tuple[tuple[str, str], ...]


def _units(field: str) -> tuple[tuple[str, str], ...]:
    return tuple((table, field) for table in ("operations", "inspections"))


DOMAINS: tuple[Domain, ...] = (
    Domain(
        (("hulls", "hull_serial"),),
        (
            *_units("hull_serial"),
            ("parts", "hull_serial"),
            ("components", "hull_serial"),
            ("claims", "hull_serial"),
        ),
    ),
    Domain(
        (("hulls", "job_no"),), (*_units("job_no"), ("parts", "job_no"), ("components", "job_no"))
    ),
    Domain((("hulls", "hin"),), ()),
    Domain((("hulls", "model"),), ()),
    Domain((("hulls", "dealer"),), ()),
    Domain((("parts", "part_serial"),), _units("part_serial")),
    Domain(
        (("operations", "operation_id"),),
        (("usages", "operation_id"), ("readings", "operation_id")),
    ),
    Domain((), (("mold_events", "mold_no"), ("parts", "mold_no"))),
    Domain(
        (("lots", "lot_no"), ("blends", "lot_no")),
        (("usages", "lot_no"), ("components", "lot_no"), ("blends", "parent_lot_no")),
    ),
    Domain((), (("usages", "drum_no"),)),
    Domain((("lots", "supplier"),), (("components", "supplier"),)),
    Domain((), (("operations", "station"), ("ambient", "station"))),
    Domain((), (("operations", "equipment"),)),
    Domain(
        (), (("operations", "operator"), ("inspections", "inspector"), ("components", "fitted_by"))
    ),
    Domain((), (("operations", "crew"),)),
    Domain((), (("operations", "shift"),)),
    Domain((("claims", "claim_no"),), (("claims", "repeat_of"),)),
    Domain((("claims", "line_no"),), ()),
    Domain((("inspections", "inspection_id"),), ()),
    Domain((("components", "serial_no"),), ()),
)


def unify_spellings(build: Build, apart: tuple[tuple[str, str], ...] = ()) -> None:
    """Give each identity one spelling in all record tables; keep the text as written.

    Parameters
    ----------
    build : Build
        Record tables are filled.
    apart : tuple of (str, str)
        Fields and spellings that are never taken for one another. Lots that differ in
        case and come from different suppliers are kept apart in any case.
    """
    filled = filled_tables(build)
    for domain in DOMAINS:
        columns = [c for c in (*domain.master, *domain.others) if c[0] in filled]
        if not _mixed(build, columns):
            continue
        uses = " UNION ALL ".join(
            f'SELECT "{field}" AS spelling, count(*) AS uses, {column in domain.master} AS defines '
            f'FROM {table} WHERE "{field}" IS NOT NULL GROUP BY ALL'
            for column in columns
            for table, field in [column]
        )
        fields = {field for _, field in columns}
        given = {
            "apart": [word for field, word in apart if field in fields],
            "lots": ("lots", "lot_no") in columns,
        }
        build.execute(compose("intake/spellings", uses=uses), given)
        if build.scalar(sql_text("intake/any_respelled")):
            for table, field in columns:
                build.execute(
                    compose("intake/respell", table=table, field=f'"{field}"'),
                    {"table_name": table, "column_name": field},
                )


def restore_codes(build: Build) -> None:
    """Give back words like NA where a table that defines codes lists them.

    Parameters
    ----------
    build : Build
        Record tables are filled; such words were read as missing and noted.
    """
    filled = filled_tables(build)
    for domain in DOMAINS:
        for master_table, master_field in domain.master:
            if (master_table, master_field) not in DEFINING or master_table not in filled:
                continue
            for table, field in domain.others:
                slots = {
                    "table": table,
                    "field": f'"{field}"',
                    "master": master_table,
                    "code": f'"{master_field}"',
                }
                given = {
                    "table_name": table,
                    "column_name": field,
                    "doubtful": sorted(DOUBTFUL_WORDS),
                }
                build.execute(compose("intake/restore_codes", **slots), given)


def tell_lots_apart(build: Build, lots: tuple[LotOfSupplier, ...]) -> None:
    """Give lots of one number and two suppliers a number each, by the day of use.

    Parameters
    ----------
    build : Build
        Record tables are filled.
    lots : tuple of LotOfSupplier
        What the site says about them.
    """
    if lots:
        told = [{**lot.model_dump(), "own_name": lot.own_name} for lot in lots]
        for lot in told:
            lot["material"] = lot["material"].lower()
        build.run("intake/tell_lots_apart", {"lots": told})


def split_shared_numbers(build: Build) -> None:
    """Make the lots of one number and two suppliers two lots; what cannot be told stays bare.

    Parameters
    ----------
    build : Build
        Record tables are filled and settled.
    """
    if build.scalar(sql_text("intake/shared_numbers")):
        build.run("intake/split_shared_numbers")


def join_shared_numbers(build: Build) -> None:
    """Give lots that an earlier load told apart back the number that they share.

    Parameters
    ----------
    build : Build
        Record tables are filled.
    """
    if build.scalar(sql_text("intake/any_shared_numbers")):
        build.run("intake/join_shared_numbers")


def _mixed(build: Build, columns: list[tuple[str, str]]) -> bool:
    """Whether small and capital letters both occur in a domain."""
    small = capital = False
    for table, field in columns:
        has_small, has_capital = build.rows(
            compose("intake/letter_cases", table=table, field=f'"{field}"')
        )[0]
        small, capital = small or bool(has_small), capital or bool(has_capital)
    return small and capital
