"""The forms of a packet: a page, a PDF, a workbook, CSV and JSON, each written from the same document."""
