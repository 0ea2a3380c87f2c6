"""One step of each balance of a water: heat, nitrogen, oxygen, alkalinity and carbon, in closed form."""
