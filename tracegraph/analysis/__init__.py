"""Answer questions about a cluster, a hull or a lot from the store."""
