"""The heat page: temperatures of both needles through time, and where the energy goes."""
