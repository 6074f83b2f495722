"""Damaged files by a fixed seed: what a fuzz test feeds to a load."""

from __future__ import annotations

import gzip
import io
import random
import zipfile

import pyarrow as pa
import pyarrow.parquet as pq
import xlsxwriter

from tests.intake.yard import Yard
from tracegraph.intake import LoadReport

_ROWS = 60
_SPLICES = [b'"', b",", b"\n", b"\r", b"\0", b"\xff", b"\xef\xbb\xbf", b"\t", b"=", b"]]>", b"'"]


def originals() -> dict[str, bytes]:
    """Whole files of every form, by name."""
    header = ["hull_serial", "model", "completed_on", "options"]
    rows = [
        [f"BT-{n}", "S22", f"2026-01-{n % 28 + 1:02d}", f'said "{n}", \u00fc'] for n in range(_ROWS)
    ]
    quoted = [",".join('"' + cell.replace('"', '""') + '"' for cell in row) for row in rows]
    text = "\n".join([",".join(header), *quoted]) + "\n"
    plain = "\n".join(";".join(row[:3]) for row in [header, *rows])
    book = io.BytesIO()
    workbook = xlsxwriter.Workbook(book)
    sheet = workbook.add_worksheet("hulls")
    for number, row in enumerate([header, *rows]):
        sheet.write_row(number, 0, row)
    workbook.close()
    parquet = io.BytesIO()
    columns = {name: [row[i] for row in rows] for i, name in enumerate(header)}
    pq.write_table(pa.table(columns), parquet)
    return {
        "hulls.csv": text.encode(),
        "hulls.tsv": plain.encode("cp1252"),
        "hulls.txt": plain.encode("utf-16"),
        "hulls.csv.gz": gzip.compress(text.encode(), mtime=0),
        "hulls.xlsx": book.getvalue(),
        "hulls.parquet": parquet.getvalue(),
    }


def damaged(content: bytes, chance: random.Random) -> bytes:
    """Content after one to four accidents."""
    data = bytearray(content)
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(data) + 1)
        length = chance.choice([1, 3, 40, 400])
        accident = chance.randrange(6)
        if accident == 0:
            del data[at:]
        elif accident == 1:
            del data[at : at + length]
        elif accident == 2:
            data[at:at] = chance.choice(_SPLICES) * chance.choice([1, 1, 5])
        elif accident == 3:
            data[at : at + length] = chance.randbytes(length)
        elif accident == 4:
            data[at:at] = data[at : at + length]
        elif data:
            data[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
    return bytes(data)


def damaged_inside(name: str, content: bytes, chance: random.Random) -> bytes:
    """Content whose packing is whole while what it packs had accidents."""
    if name.endswith(".gz"):
        return gzip.compress(damaged(gzip.decompress(content), chance), mtime=0)
    if not name.endswith(".xlsx"):
        return damaged(content, chance)
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        files = {inner: archive.read(inner) for inner in archive.namelist()}
    inner = chance.choice([*files, "xl/worksheets/sheet1.xml", "xl/sharedStrings.xml"])
    files[inner] = damaged(files[inner], chance)
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for path, held in files.items():
            archive.writestr(path, held)
    return packed.getvalue()


_SHARE = 0.05
_ODD = "\u0000\u200b\u202e\u0301\ufeff\ufffd\U0001f6a4\u0663\u2028\u00a0\uff10,;\t|\"'\n\r=@-\\"


def rows_damaged(chance: random.Random, rows: int) -> tuple[bytes, str]:
    """One text file of which one row in twenty met an accident, and its ending."""
    mark = chance.choice([",", ";", "\t", "|"])
    encoding = chance.choice(["utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-16-be", "utf-32"])
    lines = [mark.join(("hull_serial", "model", "completed_on", "options"))]
    for number in range(rows):
        day = f"2026-01-{number % 28 + 1:02d}"
        line = mark.join(
            (f"BT-{chance.randrange(10**6)}", "S22", day, f'"say ""{number}"", \u00fc"')
        )
        if chance.random() < _SHARE:
            at = chance.randrange(len(line))
            accident = chance.randrange(4)
            if accident == 0:
                line = line[:at]
            elif accident == 1:
                line = line.replace(mark, chance.choice([",", ";", "\t", "|"]), 2)
            elif accident == 2:
                line = line[:at] + "".join(chance.choices(_ODD, k=3)) + line[at:]
            else:
                line = line[:at] + chr(chance.randrange(1, 0xD800)) + line[at + 1 :]
        lines.append(line)
    content = chance.choice(["\n", "\r\n", "\r"]).join(lines).encode(encoding, "replace")
    packed = chance.random() < 0.2
    return (gzip.compress(content, mtime=0), ".csv.gz") if packed else (content, ".csv")


def load_rows_damaged(yard: Yard, files: int, seed: int, rows: int = 200) -> LoadReport:
    """Load a folder in which one row in twenty is damaged; every file has its ledger."""
    chance = random.Random(seed)
    for number in range(files):
        content, ending = rows_damaged(chance, rows)
        yard.write(f"{number:04d}/hulls{ending}", content)
    report = yard.load()
    assert len(report.files) + len(report.left_out) == files
    return report


def load_damaged(yard: Yard, files: int, seed: int) -> None:
    """Load a folder of damaged files beside a whole one; nothing may stop it."""
    chance = random.Random(seed)
    whole = originals()
    for number in range(files):
        name = chance.choice(sorted(whole))
        inside = chance.random() < 0.7
        content = (
            damaged_inside(name, whole[name], chance) if inside else damaged(whole[name], chance)
        )
        yard.write(f"{number:04d}/{name}", content)
    yard.write("lots.csv", "material,lot_no\ngelcoat,G-1\n")
    report = yard.load()
    assert yard.ledger("lots.csv").loaded == 1
    named = {file.name for file in report.files} | {out.name for out in report.left_out}
    assert {name.partition(" (")[0] for name in named} == {
        *(path.relative_to(yard.folder).as_posix() for path in yard.folder.rglob("*.*")),
    }
