"""The cell functions in Excel on Windows, through xlwings and a generated VBA module.

None of it was run in Excel yet: what the tests run is everything up to the COM border.
"""
