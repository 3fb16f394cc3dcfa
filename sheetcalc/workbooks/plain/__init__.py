"""A workbook that needs nothing installed: ordinary formulas for our calls; what no cell can do is stored."""

from sheetcalc.workbooks.plain.forms import FORMS, STORED, Form
from sheetcalc.workbooks.plain.write import Plain, is_plain, plain

__all__ = ["FORMS", "STORED", "Form", "Plain", "is_plain", "plain"]
