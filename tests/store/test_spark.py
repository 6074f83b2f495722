"""Both engines give the same answers to the same texts, to the last count."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from tests.support import spark_server
from tracegraph.analysis.cohort import draw_cohort
from tracegraph.domain.definition import CaseDefinition
from tracegraph.domain.errors import StoreError
from tracegraph.domain.kinds import PEOPLE
from tracegraph.store import open_store
from tracegraph.store.connection import Connection
from tracegraph.store.engine import PUBLISHED, SHARED
from tracegraph.store.publishing import publish
from tracegraph.store.spark import open_spark

BLISTERS = CaseDefinition(symptoms=("blister",))


@pytest.fixture(scope="module")
def needs_spark() -> None:
    lacking = spark_server.why_not()
    if lacking:
        pytest.skip(lacking)


@pytest.fixture(scope="module")
def published(sample_store: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("spark") / "published"
    with open_store(sample_store) as store:
        written = publish(store, folder)
    assert set(written.rows) == set(PUBLISHED)
    return folder


@pytest.fixture(scope="module")
def server(needs_spark: None, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    with spark_server.running(tmp_path_factory.mktemp("server")) as address:
        yield address


def answers(session: Connection) -> dict[str, pd.DataFrame]:
    """Every shared text, with each of its parameters at work."""
    found = session.rows(
        "SELECT family_id, max(level_id) FROM exposure GROUP BY ALL HAVING count(*) > 9 ORDER BY 1"
    )
    family_id, level_id = found[len(found) // 2]
    asked = {
        "answered": {"level_id": level_id, "family_ids": [one for one, _ in found[:40]]},
        "carried": {"family_id": family_id},
        "exposure_counts": {"people": False, "people_kind": PEOPLE},
        "exposure_rows": {},
        "family_answers": {"family_id": family_id},
    }
    assert set(asked) == set(SHARED)
    return {name: session.shared_frame(name, given) for name, given in asked.items()}


def test_every_shared_text_gives_the_same_rows_on_both_engines(
    sample_store: Path, published: Path, server: str
) -> None:
    with open_store(sample_store) as store:
        with store.session() as session:
            draw_cohort(session, BLISTERS)
            own = answers(session)
        store.count_by(open_spark(str(published), store.version, server))
        with store.session() as session:
            draw_cohort(session, BLISTERS)
            counted = answers(session)
    for name, frame in own.items():
        assert len(frame) > 0, name
        columns = list(frame.columns)
        left = frame.sort_values(columns, ignore_index=True)
        right = counted[name].sort_values(columns, ignore_index=True)
        pd.testing.assert_frame_equal(left, right, check_dtype=False, obj=name)


def test_the_commands_print_the_same_with_spark_in_their_own_process(
    needs_spark: None, sample_store: Path, published: Path
) -> None:
    spark = ["--engine", "spark", "--published", str(published)]
    rank = ["rank", "--symptom", "blister", "--resamples", "19"]
    assert said(rank, sample_store) == said([*rank, *spark], sample_store)


def test_containment_prints_the_same_through_a_server(
    sample_store: Path, published: Path, server: str
) -> None:
    best = json.loads(said(["rank", "--symptom", "blister", "--order", "fisher"], sample_store))
    first = best["suspects"][0]
    contain = ["contain", "--family", first["family"], "--level", first["level"]]
    spark = ["--engine", "spark", "--published", str(published), "--spark-remote", server]
    assert said(contain, sample_store) == said([*contain, *spark], sample_store)


def said(arguments: list[str], store: Path) -> str:
    program = "import sys; from tracegraph.cli.main import run; sys.exit(run(sys.argv[1:]))"
    done = subprocess.run(
        [sys.executable, "-c", program, *arguments, "--store", str(store), "--format", "json"],
        capture_output=True,
        text=True,
        # A session through a server marks the environment of its process; not of this one.
        env={key: value for key, value in os.environ.items() if not key.startswith("SPARK_")},
        check=False,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    return done.stdout


def test_tables_of_other_records_are_refused(
    sample_store: Path, published: Path, server: str
) -> None:
    with pytest.raises(StoreError, match="were published from records"):
        open_spark(str(published), "other records", server)


def test_no_tables_are_one_plain_line(tmp_path: Path, server: str) -> None:
    with pytest.raises(StoreError, match="No published tables at"):
        open_spark(str(tmp_path / "nothing"), "any", server)


def test_a_server_that_does_not_answer_is_said_at_once() -> None:
    with pytest.raises(StoreError, match=r"No Spark Connect server answers at sc://127\.0\.0\.1:1"):
        open_spark("anywhere", "any", "sc://127.0.0.1:1")


@pytest.mark.parametrize("remote", ["http://127.0.0.1:1", "127.0.0.1:15002", "sc://", "sc://a:b"])
def test_an_address_of_another_form_is_refused(remote: str) -> None:
    with pytest.raises(StoreError, match="sc://"):
        open_spark("anywhere", "any", remote)


def test_publishing_again_replaces_the_tables(sample_store: Path, tmp_path: Path) -> None:
    folder = tmp_path / "tables"
    with open_store(sample_store) as store:
        first = publish(store, folder)
        (folder / "exposure" / "part-00007.parquet").write_bytes(b"left over")
        again = publish(store, folder)
    assert first.rows == again.rows
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["tables"]
    assert not (folder / "exposure" / "part-00007.parquet").exists()


def test_a_folder_of_something_else_is_left_alone(sample_store: Path, tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("mine")
    with open_store(sample_store) as store, pytest.raises(StoreError, match="something other"):
        publish(store, tmp_path)
    assert (tmp_path / "letter.txt").read_text() == "mine"


def test_published_rows_are_those_of_the_store(sample_store: Path, published: Path) -> None:
    with open_store(sample_store) as store:
        rows = store.frame("shared/exposure_rows")
    parquet = pd.read_parquet(published / "exposure")
    assert len(parquet) == len(rows)
    key = ["family_id", "level_id", "hull_id"]
    parquet["level_id"] = parquet["level_id"].fillna(-1).astype(np.int64)
    left = rows[key].sort_values(key, ignore_index=True)
    right = parquet[key].sort_values(key, ignore_index=True)
    pd.testing.assert_frame_equal(left, right, check_dtype=False)
