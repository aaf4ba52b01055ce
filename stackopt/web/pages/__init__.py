"""The pages: a module a place, each page one function from records to a template.

Takes a request, calls one function below, gives a page or sends on to the next.
"""
