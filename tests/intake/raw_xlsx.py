"""Workbooks written as XML, cell by cell: what no library would write."""

from __future__ import annotations

import zipfile
from pathlib import Path

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
PACKAGE = "http://schemas.openxmlformats.org/package/2006/relationships"
DOCUMENT = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"


def text_cell(text: str, at: str = "") -> str:
    where = f' r="{at}"' if at else ""
    return f'<c{where} t="inlineStr"><is><t>{text}</t></is></c>'


def raw_workbook(
    path: Path, rows: str, *, before: str = "", texts: str = "", styles: str = ""
) -> None:
    """Write one sheet from the XML of its rows, texts and styles."""
    path.parent.mkdir(parents=True, exist_ok=True)
    relations = "".join(
        f'<Relationship Id="r{kind}" Type="{DOCUMENT}/{kind}" Target="{target}"/>'
        for kind, target, there in (
            ("worksheet", "worksheets/sheet1.xml", True),
            ("sharedStrings", "sharedStrings.xml", bool(texts)),
            ("styles", "styles.xml", bool(styles)),
        )
        if there
    )
    files = {
        "_rels/.rels": f'<Relationships xmlns="{PACKAGE}"><Relationship Id="r1" '
        f'Type="{DOCUMENT}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{DOCUMENT}"><sheets>'
        f'<sheet name="{path.stem}" sheetId="1" r:id="rworksheet"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{PACKAGE}">{relations}'
        "</Relationships>",
        "xl/worksheets/sheet1.xml": f'<worksheet xmlns="{MAIN}">{before}'
        f"<sheetData>{rows}</sheetData></worksheet>",
    }
    if texts:
        files["xl/sharedStrings.xml"] = f'<sst xmlns="{MAIN}">{texts}</sst>'
    if styles:
        files["xl/styles.xml"] = f'<styleSheet xmlns="{MAIN}">{styles}</styleSheet>'
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for inner, content in files.items():
            archive.writestr(inner, content)
