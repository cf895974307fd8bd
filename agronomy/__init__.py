"""Formulas only: arrays in, arrays out, the last axis is hours or days.

Nothing of ours is imported here from outside.
"""
