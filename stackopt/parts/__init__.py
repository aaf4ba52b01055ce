"""What can be fitted and what can be bought.

Frozen records of parts, shelf, offers, suppliers and kits (`part_records`), and the rules which part may go on which
cylinder (`rules`). Takes and gives values; nothing here reads a file.
"""
