"""Salts and solutions: what a gram brings, what calcification takes, how much to dose."""
