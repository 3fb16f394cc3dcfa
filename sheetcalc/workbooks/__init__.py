"""What is done to a workbook file: declare, build, compute, sum up."""
