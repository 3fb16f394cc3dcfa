"""What is done to a workbook file: declare, build, compute, sum up."""

import os

# openpyxl writes the same file in other words where lxml is installed; ours is the same everywhere.
os.environ.setdefault("OPENPYXL_LXML", "False")
