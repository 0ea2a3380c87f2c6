"""A body of water with a fish in it, through time.

`setup` says how things stand, the three files of events what happens, `through_time.course` what becomes of it, step by
step through the balances of heat, nitrogen, oxygen and carbon. The questions asked backwards (air, changes, heater,
power cut, irrigation, bag, cylinder, ramps) stand each in a file of its own.
"""
