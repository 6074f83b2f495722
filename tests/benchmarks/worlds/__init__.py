"""Simulated plants whose causes are known, to measure the method by."""
