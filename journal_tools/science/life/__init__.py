"""Animals and bacteria: mass, feed, oxygen, growth, maturing."""
