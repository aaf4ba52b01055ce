"""The printed page of `plan`: what an owner asks, a line an engine, then what is asked for of the rest.

Takes an `Answer` for several engines and a `Shown`, gives text for a terminal. `page.plan_text` is the way in.
"""
