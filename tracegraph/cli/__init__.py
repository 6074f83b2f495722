"""The command line: parse, call one function, print its result."""
