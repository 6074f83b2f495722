"""Statistics on plain numbers: counts and arrays in, numbers out.

Nothing here knows a hull, a lot or a database. Every module holds one idea; functions
that work on many 2x2 tables at once take a `TableArrays`, functions on one
table take a `ContingencyTable`.
"""
