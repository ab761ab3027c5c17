"""Rates from irregular tests: balances, regression, tracking."""
