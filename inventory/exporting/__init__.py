"""Lists as files: exactly the rows and columns that are shown, as CSV or as a workbook."""
