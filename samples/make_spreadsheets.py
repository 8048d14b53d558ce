#!/usr/bin/env python3
"""Makes the invented spreadsheets: survey_spreadsheet.xlsx here, and the same table as .xlsx, .xls and .ods under
tests/data/workbooks. Needs openpyxl, xlwt and odfpy.

    python3 samples/make_spreadsheets.py

The sheet is what a mapper hands over: two title rows, headers of his own in two rows of which the upper one is
merged over its columns, scanlines in cells merged over their rows, strikes and dips by quadrants, faults and a
contact among the joints, rows that cannot be read, and a second sheet with codes.
"""
import pathlib
import random

import openpyxl
import xlwt
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import CoveredTableCell, Table, TableCell, TableRow
from odf.text import P

HERE = pathlib.Path(__file__).parent
DATA = HERE.parent / "tests" / "data" / "workbooks"
HEADER = ["No", "Line", "Dist (m)", "Chainage (m)", "Strike/dip", "Kind", "Trace (m)", "Ends", "Remark"]
LINES = [("W1", 100.0, 20.0), ("W2", 122.0, 18.0)]
# strike, dip and its side, share
SETS = [(312, 68, 0.45), (70, 61, 0.35), (25, 22, 0.2)]


def quadrant(strike, dip):
    """Right-hand strike and dip by quadrants, dip direction as one of eight points."""
    direction = (strike + 90) % 360
    point = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"][round(direction / 45) % 8]
    s = strike % 360
    if s < 90:
        text = f"N{s}E"
    elif s < 180:
        text = f"S{180 - s}E"
    elif s < 270:
        text = f"S{s - 180}W"
    else:
        text = f"N{360 - s}W"
    return f"{text}/{dip}{point}"


def rows():
    rng = random.Random(15)
    table, number = [], 0
    for line, start, length in LINES:
        at = 0.0
        while True:
            at += rng.expovariate(2.2)
            if at > length:
                break
            number += 1
            strike, dip, _ = rng.choices(SETS, [s[2] for s in SETS])[0]
            strike, dip = round(strike + rng.gauss(0, 7)) % 360, min(90, round(abs(dip + rng.gauss(0, 6))))
            kind = "Joint"
            if number in (14, 51):
                strike, dip, kind = 292, 74, "Fault"
            if number == 37:
                strike, dip, kind = 10, 85, "Contact"
            orientation = quadrant(strike, dip)
            if number in (9, 60):
                orientation = "not reached"
            trace = round(min(rng.expovariate(0.4) + 0.3, 9.0), 1)
            table.append([number, line, round(at, 2), round(start + at, 2), orientation, kind, trace,
                          rng.choice([0, 1, 1, 2, 2, 2]), "steep wall" if number % 17 == 0 else None])
    return table


def spans(table):
    """First and last row of each line, from 0."""
    found = {}
    for at, row in enumerate(table):
        found.setdefault(row[1], [at, at])[1] = at
    return list(found.values())


TITLES = [["Wall mapping, level 12 (invented)"], ["Compass on mine grid; # is the wall's number"]]
UPPER = ["", "Place", "", "", "Joint", "", "", "", ""]
CODES = [["Code", "Meaning"], ["Joint", "an ordinary joint"], ["Fault", "moved"]]


def xlsx(table, path):
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Mapping"
    for row in TITLES + [[], UPPER, HEADER] + table:
        sheet.append(row)
    sheet.merge_cells("B4:D4")
    sheet.merge_cells("E4:I4")
    for first, last in spans(table):
        sheet.merge_cells(start_row=first + 6, end_row=last + 6, start_column=2, end_column=2)
    codes = book.create_sheet("Codes")
    for row in CODES:
        codes.append(row)
    book.properties.created = book.properties.modified = __import__("datetime").datetime(2026, 1, 1)
    book.save(path)


def xls(table, path):
    book = xlwt.Workbook()
    sheet = book.add_sheet("Mapping")
    merged = {r for first, last in spans(table) for r in range(first + 5, last + 6)}
    for r, row in enumerate(TITLES + [[], UPPER, HEADER] + table):
        for c, value in enumerate(row):
            if value not in (None, "") and not (c == 1 and r in merged):
                sheet.write(r, c, value)
    for first, last in spans(table):
        sheet.write_merge(first + 5, last + 5, 1, 1, table[first][1])
    codes = book.add_sheet("Codes")
    for r, row in enumerate(CODES):
        for c, value in enumerate(row):
            codes.write(r, c, value)
    book.save(str(path))


def ods(table, path):
    book = OpenDocumentSpreadsheet()
    for name, rows_ in (("Mapping", TITLES + [[], UPPER, HEADER] + table), ("Codes", CODES)):
        sheet = Table(name=name)
        merged = {first + 5: last - first + 1 for first, last in spans(table)} if name == "Mapping" else {}
        covered = {r + i for r, count in merged.items() for i in range(1, count)}
        for r, row in enumerate(rows_):
            line = TableRow()
            for c, value in enumerate(row):
                if c == 1 and r in covered:
                    cell = CoveredTableCell()
                elif c == 1 and r in merged:
                    cell = TableCell(valuetype="string", numberrowsspanned=merged[r], numbercolumnsspanned=1)
                    cell.addElement(P(text=value))
                elif value in (None, ""):
                    cell = TableCell()
                elif isinstance(value, str):
                    cell = TableCell(valuetype="string")
                    cell.addElement(P(text=value))
                else:
                    cell = TableCell(valuetype="float", value=value)
                    cell.addElement(P(text=str(value)))
                line.addElement(cell)
            sheet.addElement(line)
        book.spreadsheet.addElement(sheet)
    book.save(str(path))


if __name__ == "__main__":
    DATA.mkdir(parents=True, exist_ok=True)
    made = rows()
    xlsx(made, HERE / "survey_spreadsheet.xlsx")
    xlsx(made, DATA / "survey.xlsx")
    xls(made, DATA / "survey.xls")
    ods(made, DATA / "survey.ods")
