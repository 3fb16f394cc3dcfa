"""What a cell knows: values, units, the registry of functions, a call and its answer, help."""
