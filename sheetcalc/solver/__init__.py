"""Whole-number problems and how they are solved; no word of the trade."""
