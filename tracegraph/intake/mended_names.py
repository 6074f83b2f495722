"""What the text files are called in which rows that were set aside go out."""

from __future__ import annotations

_TEXT = (".csv", ".tsv", ".txt")
_PARQUET = ".parquet"


def mended_name(name: str) -> str:
    """Name of the text file for rows of a file, or of a query, of that name.

    The name keeps what it was, so that the same mapping reads the file when it comes back.

    Parameters
    ----------
    name : str
        Name in the ledger.

    Examples
    --------
    >>> mended_name("week 1/lots.csv.gz"), mended_name("week 1/hulls.parquet")
    ('week 1/lots.csv', 'week 1/hulls.parquet.csv')
    >>> mended_name("query claims/desk")
    'query claims_desk.csv'
    """
    bare = name.removesuffix(".gz")
    if bare.casefold().endswith(_TEXT):
        return bare
    if not bare.casefold().endswith(_PARQUET):  # a query, whose name is no path
        bare = bare.replace("/", "_").replace("\\", "_")
    return f"{bare}.csv"


def before_mending(name: str) -> str | None:
    """Name of the Parquet file whose rows a text file holds; None where it holds none.

    Examples
    --------
    >>> before_mending("week 1/hulls.parquet.csv"), before_mending("hulls.csv")
    ('week 1/hulls.parquet', None)
    """
    bare = name[: -len(".csv")] if name.casefold().endswith(".csv") else ""
    return bare if bare.casefold().endswith(_PARQUET) else None
