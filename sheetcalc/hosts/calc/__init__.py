"""The cell functions in LibreOffice Calc: an add-in that hands each call to this package over a pipe."""
