"""A workbook that needs nothing installed: our calls become ordinary formulas, and what cells cannot do is stored."""

from sheetcalc.workbooks.plain.forms import FORMS, STORED, Form
from sheetcalc.workbooks.plain.write import Plain, plain

__all__ = ["FORMS", "STORED", "Form", "Plain", "plain"]
