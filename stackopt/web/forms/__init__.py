"""Forms of an engine as records, and records as forms: its measures, what else an engine file can say, what is in hand.

Takes what was typed, gives engines and what was tried, or Problems with the field they belong to.
"""
