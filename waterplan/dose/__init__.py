"""Putting a substance into a volume of water, or a drug into a weight of fish.

stock: what is on the bottle. dilution, changes, banded: how much, what water changes do, and the error of the volume.
salt, iodine, tricaine, anaesthesia, disinfectants, neutralise: the substances. drugs, injection: by body weight.
rounding: to the scale and the syringe. conflicts: what must not meet.
"""
