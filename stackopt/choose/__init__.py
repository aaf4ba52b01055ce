"""From candidates to a proven choice.

`stacks` enumerates what could be fitted on each seat, `program` states the linear model, `passes` solves it one
objective after another, `explain` gathers what was reached and what stood in the way. Takes engines and a supply,
gives a `Choice`.
"""
