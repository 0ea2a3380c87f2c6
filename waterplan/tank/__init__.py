"""A body of water with a fish in it, through time.

`setup` says how things stand, the three files of events what happens, `through_time.course` what becomes of it, step by
step through the balances in `balance/`. The questions asked backwards (air, changes, heater, bag, cylinder) stand each
in a file of its own.
"""
