"""The screens: read controls, call one function, show its result."""
