"""The call for each field, its effect and reasons, and the order.

Pure: no network, disk, database or clock.
"""
