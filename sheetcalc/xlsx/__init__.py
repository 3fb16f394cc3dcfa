"""A spreadsheet file as its parts: opened as untrusted, edited in place, never evaluated."""
