"""Putting a substance into a volume of water, or a drug into a weight of fish.

stock: what is on the bottle. changes: what water changes do. salt, iodine, tricaine, anaesthesia, disinfectants,
neutralise: the substances. drugs, injection: by body weight. rounding: to the scale and the syringe. substances: what may
be chosen. conflicts: what must not meet.
"""
