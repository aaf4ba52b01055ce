"""The card for the bench: one engine on one sheet of paper, or on a page.

Takes an answer or the record of a build, gives the sheet as records, as HTML and as PDF.
The page shows the same records, so that card and page never differ.
"""
