"""What is typed, as forms: WTForms holds fields, labels, kept texts and what is wrong; sheets' own readers read them.

Takes what was typed, gives engines, presses and what was tried, or Problems at the field that they belong to.
"""
