"""Measured conditions, tested as measured: temperature, humidity, film, waits, pulls."""
