"""A profile that is right, for tests that read it or break it."""

STREAM = """
schema = 1
title = "stream of the fair"
kind = "multimeter"
speaks = "text"

[transport]
asks = false

[functions.dc_current.reply]
pattern = '(?P<current>\\S+) (?P<current_unit>\\S+)'

[functions.dc_current.accuracy]
current = []
"""
