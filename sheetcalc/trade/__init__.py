"""What a carpenter knows: pure functions on floats in us units, one module per stage of the job."""
