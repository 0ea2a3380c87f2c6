"""Salt weighed in and let out again, and tubs that are made like the water before them."""
