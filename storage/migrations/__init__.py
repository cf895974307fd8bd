"""Numbered changes of the tables.

A change is a file in ``versions`` with the next number, written by hand, and the same change in
``storage/tables.py`` and ``storage/schema.py``; a test compares what the two make.
"""
