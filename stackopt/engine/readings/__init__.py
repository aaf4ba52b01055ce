"""What was measured, and how sure it is: deck height, bore, uncertainty, spread.

Takes readings with their places and instruments, gives a value with its standard uncertainty or distribution.
Standards: JCGM 100:2008 and its supplement 1.
"""
