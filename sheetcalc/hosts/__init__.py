"""Where cells live: each host hands the calls of its cells to `sheetcalc.cells`."""
