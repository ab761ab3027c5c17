"""The water itself: density, salinity, oxygen, ammonia, and mixing it."""
