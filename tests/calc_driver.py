"""Works an office for the tests, in a Python that has UNO: one JSON command a line, one answer a line."""

import contextlib
import json
import sys
import time

ERRORS = {
    503: "#NUM!",
    519: "#VALUE!",
    521: "#NULL!",
    524: "#REF!",
    525: "#NAME?",
    532: "#DIV/0!",
    32767: "#N/A",
}
FORMULA_ERRORS = 4  # com.sun.star.sheet.FormulaResult.ERROR


class Driver:
    """One office, one open document."""

    def __init__(self, pipe, seconds):
        import uno

        self._uno = uno
        context = uno.getComponentContext()
        resolver = context.ServiceManager.createInstanceWithContext(
            "com.sun.star.bridge.UnoUrlResolver", context
        )
        end = time.time() + seconds
        while True:
            try:
                address = "uno:pipe,name={};urp;StarOffice.ComponentContext".format(pipe)  # noqa: UP032
                self._office = resolver.resolve(address)
                self._desktop = self._made("com.sun.star.frame.Desktop")
                return
            except Exception:
                if time.time() > end:
                    raise
                time.sleep(0.1)

    def _made(self, service):
        return self._office.ServiceManager.createInstanceWithContext(service, self._office)

    def _property(self, name, value):
        made = self._uno.createUnoStruct("com.sun.star.beans.PropertyValue")
        made.Name, made.Value = name, value
        return made

    def open(self, url):
        hidden = self._property("Hidden", True)
        self._last = {}
        self._document = self._desktop.loadComponentFromURL(url, "_blank", 0, (hidden,))
        return not self._document.isModified()

    def save(self, url, filter):
        self._document.storeToURL(url, (self._property("FilterName", filter),))

    def close(self):
        self._document.close(True)

    def end(self):
        with contextlib.suppress(Exception):  # it is gone before it has answered
            self._desktop.terminate()

    def put(self, sheet, cell, value):
        place = self._document.Sheets.getByName(sheet).getCellRangeByName(cell)
        if isinstance(value, str):
            place.String = value
        elif value is None:
            place.clearContents(1 | 2 | 4 | 16)
        else:
            place.Value = value

    def formula(self, sheet, cells, text):
        place = self._document.Sheets.getByName(sheet).getCellRangeByName(cells)
        if ":" in cells:
            place.setArrayFormula(text)
        else:
            place.Formula = text

    def clear(self, sheet):
        self._document.Sheets.getByName(sheet).clearContents(1 | 2 | 4 | 16)

    def text(self, sheet, cell):
        """Formula of a cell as a person sees it."""
        return self._document.Sheets.getByName(sheet).getCellRangeByName(cell).FormulaLocal

    def calculate(self):
        self._document.calculateAll()

    def values(self, sheet, cells=None):
        """Rows of values, an error as a list of its one text."""
        found = self._document.Sheets.getByName(sheet)
        if cells is None:
            cursor = found.createCursor()
            cursor.gotoEndOfUsedArea(False)
            end = cursor.RangeAddress
            area = found.getCellRangeByPosition(0, 0, end.EndColumn, end.EndRow)
        else:
            area = found.getCellRangeByName(cells)
        rows = [list(row) for row in area.getDataArray()]
        start = area.RangeAddress
        for bad in area.queryFormulaCells(FORMULA_ERRORS).RangeAddresses:
            for row in range(bad.StartRow, bad.EndRow + 1):
                for column in range(bad.StartColumn, bad.EndColumn + 1):
                    code = found.getCellByPosition(column, row).getError()
                    rows[row - start.StartRow][column - start.StartColumn] = [
                        ERRORS.get(code, "Err:{}".format(code))  # noqa: UP032
                    ]
        return rows

    def changed(self, sheet):
        """Cells that show something else than the last time this was asked: row, column and value."""
        rows = self.values(sheet)
        before = self._last.get(sheet, [])
        self._last[sheet] = rows
        found = []
        for high, row in enumerate(rows):
            old = before[high] if high < len(before) else []
            if row != old:
                for wide, value in enumerate(row):
                    if wide >= len(old) or value != old[wide]:
                        found.append([high + 1, wide + 1, value])
        return found

    def wizard(self):
        """What the function wizard tells: category, description and arguments by function."""
        functions = self._made("com.sun.star.sheet.FunctionDescriptions")
        told = {}
        for index in range(functions.getCount()):
            one = {each.Name: each.Value for each in functions.getByIndex(index)}
            arguments = [[each.Name, each.Description] for each in one["Arguments"] or ()]
            told[one["Name"]] = [one["Category"], one["Description"], arguments]
        return told

    def timed(self, *commands):
        """Carry out commands; the seconds they took together."""
        start = time.perf_counter()
        for name, *words in commands:
            getattr(self, name)(*words)
        return time.perf_counter() - start


def main():
    driver = Driver(sys.argv[1], float(sys.argv[2]))
    print(json.dumps("ready"), flush=True)
    for line in sys.stdin:
        name, *words = json.loads(line)
        try:
            answer = {"answer": getattr(driver, name)(*words)}
        except Exception as error:
            answer = {"error": "{}: {}".format(type(error).__name__, error)}  # noqa: UP032
        print(json.dumps(answer), flush=True)


if __name__ == "__main__":
    main()
