"""What if: a workbook computed with other entries, again and again, and never written."""
